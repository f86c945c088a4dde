"""A page and a drawing as a person reads them: what is said, in which order, which parts are drawn with which words."""

from __future__ import annotations

from pathlib import Path

import pytest
from demonstrations import KEPT
from goldens import assert_golden
from html_pages import LAYOUTS, page_of
from outlined import outline

from packcheck.app.cli import run


def test_the_page_of_a_record_says_what_it_said(tmp_path: Path) -> None:
    text = outline(page_of(("plover-16/pl-0060-count-at-five.yaml",), tmp_path))
    assert_golden("page-pl-0060-count-at-five.txt", text.replace(f"{KEPT}/", ""))


def test_the_drawing_of_a_record_shows_what_it_showed(capsys: pytest.CaptureFixture[str]) -> None:
    run(["draw", str(LAYOUTS / "skerry-24" / "sk-0424-bench-1.yaml")])
    assert_golden("drawing-sk-0424-bench-1.txt", outline(capsys.readouterr().out))
