"""``packcheck draw``: the file that it writes, what it prints, a step highlighted, and what it refuses."""

from __future__ import annotations

from pathlib import Path

import pytest
from demonstrations import demonstration
from drawn_sheets import LAYOUTS
from svg_pages import Page

from packcheck.app.cli import run

SKERRY = str(LAYOUTS / "skerry-24" / "skerry-24.yaml")
LINKS = str(demonstration("skerry-24/sk-0421-two-links.yaml"))
STOPPED = str(demonstration("skerry-24/sk-0440-stopped-for-the-day.yaml"))
CLEAN = str(LAYOUTS / "skerry-24" / "clean-sk-0417.yaml")


def test_command_writes_a_whole_file_and_replaces_only_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "pack.svg"
    assert run(["draw", LINKS, "-o", str(target)]) == 1
    first = target.read_text(encoding="utf-8")
    assert first.endswith("</svg>\n")
    assert "drawing of SK-0421" in capsys.readouterr().out
    assert run(["draw", SKERRY, "--output", str(target)]) == 0
    assert target.read_text(encoding="utf-8") != first
    other = tmp_path / "mine.svg"
    other.write_text("<svg/>", encoding="utf-8")
    assert run(["draw", SKERRY, "-o", str(other)]) == 2
    assert other.read_text(encoding="utf-8") == "<svg/>"
    assert "--force" in capsys.readouterr().err
    assert run(["draw", SKERRY, "-o", str(other), "--force"]) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.svg", "pack.svg"]


def test_command_prints_where_no_file_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", LINKS, "--gate", "release"]) == 1
    page = Page(capsys.readouterr().out)
    assert page.words()[0] == "Pack SK-0421, 24 modules and 27 conductors"


def test_a_step_is_highlighted(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", SKERRY, "--step", "4"]) == 0
    page = Page(capsys.readouterr().out)
    lit = [g.get("data-part") for g in page.parts("bar") if any("halo" in (r.get("class") or "") for r in g)]
    assert sorted(lit) == ["B06", "B18"]  # type: ignore[type-var]
    assert "highlighted: step 4, B06, B18" in page.words()
    assert run(["draw", SKERRY, "--step", "9"]) == 2
    assert "it has 1.1, 1.2" in capsys.readouterr().err


def test_command_refuses_what_it_cannot_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", str(tmp_path / "none.yaml")]) == 4
    assert run(["draw", SKERRY, "--gate", "tomorrow"]) == 2
    assert capsys.readouterr().out == ""


def test_of_a_record_the_first_step_not_done_is_highlighted(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", STOPPED]) == 3
    told = [words for words in Page(capsys.readouterr().out).words() if "highlighted" in words]
    assert told == ["highlighted: step 2.2, the first that is not recorded as done: CA"]
    assert run(["draw", CLEAN]) == 0
    assert not any("highlighted" in words for words in Page(capsys.readouterr().out).words())
