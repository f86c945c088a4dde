"""``packcheck next`` with the drawing of its stage: written whole, never over a file that was read."""

from __future__ import annotations

from pathlib import Path

import pytest
from demonstrations import demonstration

from packcheck.app.cli import run

RECORD = demonstration("skerry-24/sk-0440-stopped-for-the-day.yaml")


def test_the_stage_is_printed_and_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawn = tmp_path / "next.svg"
    assert run(["next", str(RECORD), "--drawing", str(drawn)]) == 3
    assert capsys.readouterr().out.startswith("NEXT, pack SK-0440: step 2.2: covers CA\n")
    picture = drawn.read_text(encoding="utf-8")
    assert picture.startswith("<svg")
    assert "in hand in this step" in picture
    assert run(["next", str(RECORD)]) == 3
    assert [path.name for path in tmp_path.iterdir()] == ["next.svg"]


def test_the_drawing_replaces_nothing_that_is_not_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = tmp_path / "notes.svg"
    other.write_text("mine\n", encoding="utf-8")
    assert run(["next", str(RECORD), "--drawing", str(other)]) == 2
    assert other.read_text(encoding="utf-8") == "mine\n"
    assert "--force" in capsys.readouterr().err


def test_a_layout_has_no_next_stage(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["next", str(RECORD.parent / "skerry-24.yaml")]) == 2
    assert "name the record of a build of it" in capsys.readouterr().err


def test_a_blank_record_has_a_pack_without_a_number(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "skerry-24.yaml").write_bytes((RECORD.parent / "skerry-24.yaml").read_bytes())
    blank = tmp_path / "blank.yaml"
    assert run(["sheet", str(tmp_path / "skerry-24.yaml"), "--output", str(blank)]) == 0
    capsys.readouterr()
    assert run(["next", str(blank)]) == 3
    assert capsys.readouterr().out.startswith("NEXT, pack without a number: ")
    assert run(["check", str(blank)]) == 3
    assert "\nPack without a number, layout skerry-24" in capsys.readouterr().out
