"""What a record tells without being asked is judged: a joint that moved, a switch that was tried before the build."""

from __future__ import annotations

import re

import pytest
from faulty_builds import above_advice, shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text
from packcheck.rules.findings import Gate, Judgement, Verdict

FOLDER = shipped_folder("layouts") / "skerry-24"
LAYOUT = (FOLDER / "skerry-24.yaml").read_text("utf-8")
CLEAN = (FOLDER / "clean-sk-0417.yaml").read_text("utf-8")


def judged(record: str, layout: str = LAYOUT) -> Judgement:
    drawn = Text(layout.encode(), "skerry-24.yaml")
    return check(record.encode(), "r.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=drawn).judgement


def changed(pattern: str, into: str, text: str = CLEAN) -> str:
    """Return a text with the first place of a pattern written otherwise; it must be there."""
    told, count = re.subn(pattern, into, text, count=1, flags=re.MULTILINE)
    assert count == 1, pattern
    return told


def test_a_joint_that_moved_is_found_where_the_layout_asks_for_no_re_check() -> None:
    without = changed(r"^ +recheck: after 12 h\n", "", LAYOUT)
    assert judged(CLEAN, without).verdict is Verdict.NO_RULE_BROKEN
    told = changed(r"^(  B05/P05: .*)\bheld\b", r"\1moved")
    found = above_advice(judged(told, without))
    assert [(f.rule, f.subject) for f in found] == [("joint-moved-at-recheck", "B05/P05")]


@pytest.mark.parametrize("row", ["mains out", "past K1", "past K2"])
def test_a_switch_is_not_shown_open_by_a_reading_from_before_the_build(row: str) -> None:
    line = re.search(rf"^  {row}: .*$", CLEAN, re.MULTILINE)
    assert line
    words = re.findall(r"[\w.]+", line[0].partition(":")[2].replace("between", "").replace(" and:", ""))
    volts = next(word for word in words if re.fullmatch(r"\d+\.\d+", word))
    ends = [word for word in words if re.fullmatch(r"K\d\.\d", word)]
    state = "plug in" if row.startswith("past") else "plug out"
    early = f"  {row}: {{between: {ends[0]}, and: {ends[1]}, value: {volts} V, state: {state}, at: 2026-09-01 08:00}}"
    found = above_advice(judged(CLEAN.replace(line[0], early)))
    assert {f.rule for f in found} == {"written-out-of-order"}
    assert any(f.subject.startswith(f"{row}, reading after torque") for f in found)
