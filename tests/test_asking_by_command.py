"""``packcheck lesson ask`` and ``mark`` on a case with questions: what is printed, and marks less their price."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from asked_cases import PASSPHRASE, asked_lesson, path_file  # noqa: F401

from packcheck.app.cli import run
from packcheck.app.teaching.folder import open_key


def test_asked_and_marked_on_the_command_line(lesson: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = str(lesson / "case-01.yaml")
    assert run(["lesson", "ask", case, "--by", "MK", "resistance", "B01/P01"]) == 0
    told = capsys.readouterr().out
    assert "µΩ ±" in told
    assert "2: four clips on bare metal" in told
    assert "5 of 10 points for questions left" in told
    assert run(["lesson", "ask", case, "--by", "MK", "resistance", "B01/P01"]) == 0
    assert "asked before, as number 4: costs nothing" in capsys.readouterr().out
    assert run(["lesson", "ask", case, "--by", "MK"]) == 0
    assert "isolation poles: both poles" in capsys.readouterr().out
    assert run(["lesson", "ask", case, "--by", "TO", "look", "P01"]) == 0
    sheet = lesson / "answer-case-01.yaml"
    place = open_key(lesson, "case-01", PASSPHRASE).holds["faults"][0]["place"]
    text = sheet.read_text(encoding="utf-8").replace("by: none", "by: MK", 1)
    for name, value in (("what", "module-turned"), ("where", place), ("energize", "no")):
        text = re.sub(rf"{name}: none", f"{name}: {value}", text, count=1)
    sheet.write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert run(["lesson", "mark", str(lesson), str(sheet)]) == 0
    told = capsys.readouterr().out
    assert "case-01  MK: 7 of 20" in told, "find 3, locate 4, explain 3, weigh 0 + 2: 12, less 1 + 1 + 1 + 2"
    assert "questions -5" in told
    assert "asked: look P01: a module, its + at" in told
    assert told.startswith("MARKS of lesson (1 answer)")
    assert "asked: look (1), volts (1), count (1), resistance (1)" in told, "of the class"
    assert "case-01  to: 1 question, 1 point" in told, "who asked and handed nothing in"
    assert run(["lesson", "mark", str(lesson), str(sheet), "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["marks"][0]["cost"] == 5
    assert len(data["marks"][0]["asked"]) == 4
    assert data["asked without an answer"] == ["case-01  to: 1 question, 1 point"]


def test_a_shortened_path_is_not_marked(lesson: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = lesson / "answer-case-01.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("by: none", "by: mk", 1), encoding="utf-8")
    file = path_file(lesson).file
    file.write_text("".join(file.read_text(encoding="utf-8").splitlines(keepends=True)[:-1]), encoding="utf-8")
    assert run(["lesson", "mark", str(lesson), str(sheet)]) == 4
    told = capsys.readouterr().err
    assert "case-01.mk.path.yaml" in told
    assert "3 questions: so many were answered" in told


def test_without_the_passphrase_nothing_is_answered(lesson: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE + "?")
    assert run(["lesson", "ask", str(lesson / "case-01.yaml"), "--by", "MK", "look", "P01"]) == 2
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE)
    shutil.rmtree(lesson / "keys")
    assert run(["lesson", "ask", str(lesson / "case-01.yaml"), "--by", "MK", "look", "P01"]) == 2
