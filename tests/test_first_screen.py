"""What a technician sees first: 24 lines at 80 columns hold the verdict, what to do now, the count, the worst."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from demonstrations import records
from faulty_builds import shipped_rules
from workshop import Data, clean_record, grouped_layout, pack_of, stick_layout, write

from packcheck.judging.check import check_file
from packcheck.judging.report import Report
from packcheck.render.first_screen import LINES, Sorted
from packcheck.render.next_stage import render_next
from packcheck.render.paragraph import Choice
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Gate

ROOT = Path(__file__).resolve().parents[1]
RECORDS = records()
SIZES = (6, 24, 96, 200)
WIDTHS = (40, 60, 80, 120)


def clean(record: Data) -> Data:
    return record


def empty(record: Data) -> Data:
    return {key: record[key] for key in ("record", "layout", "of", "people", "instruments")}


def with_many_faults(record: Data) -> Data:
    """Turn every third module round in the record, leave out every fourth torque, tighten every fifth joint too far."""
    modules, joints = dict(record["modules"]), dict(record["joints"])
    for index, name in enumerate([key for key in modules if key not in ("columns", "taken")]):
        if index % 3 == 0:
            row = list(modules[name])
            modules[name] = [row[0], {"A": "B", "B": "A", "F": "R", "R": "F"}[row[1]], *row[2:]]
    for index, name in enumerate([key for key in joints if key not in ("columns", "taken")]):
        row: list[Any] = joints.pop(name)
        if index % 4:
            joints[name] = [9.5, *row[1:]] if index % 5 == 0 else row
    return {**record, "modules": modules, "joints": joints, "tools": {"columns": ["out", "in"], "spanner-8": [2, 1]}}


@cache
def answer(size: int, how: str, groups: bool) -> Report:
    layout = grouped_layout(size, 2) if groups else stick_layout(size)
    if size > 24:
        layout["creepage"] = {"pollution degree": 1, "material group": "I"}  # bars this close at so many volts
    record = {"clean": clean, "empty": empty, "many faults": with_many_faults}[how](clean_record(pack_of(layout)))
    with tempfile.TemporaryDirectory() as folder:
        write(Path(folder) / "layout.yaml", layout)
        path = write(Path(folder) / "record.yaml", record)
        return check_file(path, rules=shipped_rules(), gate=Gate.PLUG_IN)


def first_screen(text: str) -> str:
    """Return what stands before the first part that is told in full."""
    lines = text.splitlines()
    ends = ("IN DETAIL", "TO DO", "ADVICE", "THE DRAWING", "CHECKED", "WAIVED", "CAUTIONS")
    return "\n".join(lines[: next(i for i, line in enumerate(lines) if line.startswith(ends))]).rstrip()


@pytest.mark.parametrize("groups", [False, True], ids=["string", "groups"])
@pytest.mark.parametrize("how", ["clean", "empty", "many faults"])
@pytest.mark.parametrize("size", SIZES)
def test_the_first_screen_holds_verdict_act_count_and_the_worst(size: int, how: str, groups: bool) -> None:
    report = answer(size, how, groups)
    first = first_screen(render_terminal(report, width=80))
    assert len(first.splitlines()) <= LINES
    drawing_is_held = (size, groups) == (200, False)  # bars 6 mm apart at 1.7 kV
    verdicts = {"clean": "HOLD" if drawing_is_held else "NO RULE BROKEN", "empty": "HOLD"}
    assert first.startswith(verdicts.get(how, "DO NOT ENERGIZE"))
    assert "\nDo now " in first
    assert "\nFound " in first
    assert ("\n1. " in first) is (how != "clean" or drawing_is_held)
    if how == "many faults":
        assert "FORBIDS ENERGIZING" in first


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("how", ["clean", "empty", "many faults"])
@pytest.mark.parametrize("size", SIZES)
def test_no_line_is_wider_than_asked(size: int, how: str, width: int) -> None:
    report = answer(size, how, groups=False)
    for choice in (Choice(), Choice(brief=True), Choice(everything=True)):
        assert max(map(len, render_terminal(report, width=width, choice=choice).splitlines())) <= width
    assert max(map(len, render_next(report, width=width).splitlines())) <= width


@pytest.mark.parametrize("size", SIZES)
def test_a_clean_build_is_nowhere_called_broken(size: int) -> None:
    for choice in (Choice(), Choice(brief=True), Choice(everything=True)):
        text = " ".join(render_terminal(answer(size, "clean", groups=False), choice=choice).split())
        assert "broken" not in text.removeprefix("NO RULE BROKEN").replace("'no rule broken'", "").lower()


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_the_first_screen_of_a_shipped_record_is_one_screen(path: Path) -> None:
    text = render_terminal(check_file(path, rules=shipped_rules(), gate=Gate.RELEASE), width=80)
    assert len(first_screen(text).splitlines()) <= LINES
    assert " .. " not in text
    assert " by 2" not in text


def test_a_place_one_must_go_to_is_never_left_out() -> None:
    report = answer(24, "many faults", groups=False)
    text = " ".join(render_terminal(report, width=80).split())
    assert re.findall(r"and \d+ more (?!\(--all|findings? below)", text) == []
    torques = next(errand for errand in report.to_do if "torque" in errand.what)
    assert len(torques.places) == 6
    assert "B01/P01, B03/P03, B05/P05, B07/P07, B09/P09, B11/P11" in text
    short = [paragraph for paragraph in Sorted.of(report).weighty if 1 < len(paragraph.places) <= 12]
    assert short
    for paragraph in short:
        assert all(place in text for place in paragraph.places)


@pytest.mark.parametrize(("columns", "widest"), [("", 80), ("60", 60), ("100", 100), ("0", 80), ("many", 80)])
def test_a_pipe_is_as_wide_as_columns_says_and_80_without(columns: str, widest: int) -> None:
    environment = {**os.environ, "COLUMNS": columns, "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "packcheck", "check", "layouts/skerry-24/sk-0424-bench-1.yaml"]
    done = subprocess.run(
        command, cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, capture_output=True, check=False
    )
    lines = done.stdout.decode().splitlines()
    assert widest - 8 < max(map(len, lines)) <= widest


def test_what_a_layout_lacks_is_settled_by_an_engineer_and_sends_nobody_to_a_record(tmp_path: Path) -> None:
    layout = stick_layout(6)
    layout["joint types"]["post"]["torque"] = "4.5 N·m"
    report = check_file(write(tmp_path / "layout.yaml", layout), rules=shipped_rules(), gate=Gate.PLUG_IN)
    first = render_terminal(report, width=80, choice=Choice(brief=True))
    assert "An engineer settles in the layout: thread, class and torque band" in " ".join(first.split())
    assert "packcheck next" not in first


def test_what_comes_before_the_bars_is_recorded_before_and_not_at_before_them(tmp_path: Path) -> None:
    layout = ROOT / "layouts/eider-20/eider-20.yaml"
    clean = layout.with_name("clean-ed-0031.yaml")
    (tmp_path / layout.name).write_bytes(layout.read_bytes())
    undated = re.sub(r"(micro-ohmmeter,.*), due: [0-9-]+", r"\1", clean.read_text(encoding="utf-8"))
    (tmp_path / "record.yaml").write_text(undated, encoding="utf-8")
    report = check_file(tmp_path / "record.yaml", rules=shipped_rules(), gate=Gate.PLUG_IN)
    words = " ".join(render_terminal(report, width=80, choice=Choice(brief=True)).split())
    assert "Record before the bars: date its calibration is due" in words
