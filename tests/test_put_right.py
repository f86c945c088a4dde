"""What was changed between two looks leaves its joints, and the readings over it, to be made again."""

from __future__ import annotations

import pytest
from faulty_builds import shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.judging.report import Report
from packcheck.model.opening import Text
from packcheck.rules.findings import Gate, Outcome, Verdict

SKERRY = shipped_folder("layouts") / "skerry-24"
LAYOUT = Text((SKERRY / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
CLEAN = (SKERRY / "clean-sk-0417.yaml").read_text(encoding="utf-8")
BAR = ("  B01..B11: as drawn", "  B01..B10: as drawn\n  B11: {lands: [P12.A, P13.A], part: bar-20}")
RIGHT = "  - {conductor: B11, lands: [P11.A, P12.A], at: 2026-10-06 09:30, by: TO, why: put right}\n"
JOINTS = "".join(
    f"  - {{joint: B11/{at}, torque: 4.5 N·m, resistance: 78 µΩ, at: 2026-10-06 09:50, by: TO,"
    " with: {torque: W1, resistance: R1}, why: made anew}\n"
    for at in ("P11", "P12")
)


def answer(text: str) -> Report:
    return check(text.encode(), "record.yaml", rules=shipped_rules(), gate=Gate.PLUG_IN, layout=LAYOUT)


def again(*entries: str, change: tuple[str, str] = BAR) -> str:
    assert change[0] in CLEAN
    text = CLEAN.replace(*change)
    assert "\nagain:\n" in text
    return text.replace("\nagain:\n", "\nagain:\n" + "".join(entries))


def out_of_order(report: Report) -> str:
    return "; ".join(
        f.subject for f in report.judgement.findings if f.rule == "written-out-of-order" and f.outcome is Outcome.BROKEN
    )


def test_a_bar_put_right_does_not_keep_the_torque_and_the_readings_of_the_wrong_one() -> None:
    report = answer(again(RIGHT))
    assert report.judgement.verdict is Verdict.HOLD
    assert "B11/P11, B11/P12" in out_of_order(report)
    assert "X6" in out_of_order(report)


def test_joints_made_anew_count_and_the_readings_are_still_asked_for() -> None:
    found = out_of_order(answer(again(RIGHT, JOINTS)))
    assert "its torque or resistance after what was changed" not in found
    assert "cover over it after its torque" in found
    assert "X6" in found


@pytest.mark.parametrize("entry", [
    "  - {conductor: B11, condition: sound, at: 2026-10-06 09:30, by: TO, why: looked at under the lamp}\n",
    "  - {conductor: B11, lands: [P11.A, P12.A], at: 2026-10-06 09:30, by: TO, why: looked again}\n",
])  # fmt: skip
def test_a_second_look_that_finds_the_same_asks_for_nothing(entry: str) -> None:
    same = ("  B01..B11: as drawn", "  B01..B10: as drawn\n  B11: {lands: [P11.A, P12.A], part: bar-20}")
    report = answer(again(entry, change=same))
    assert (out_of_order(report), report.judgement.verdict) == ("", Verdict.NO_RULE_BROKEN)


def test_a_tap_put_right_asks_for_the_reading_at_it() -> None:
    moved = ("  T00..T12: as drawn", "  T00..T02: as drawn\n  T04..T12: as drawn\n  T03: {on: P08.B}")
    entry = "  - {tap: T03, on: P06.B, at: 2026-10-06 09:30, by: TO, why: put right}\n"
    assert "X3" in out_of_order(answer(again(entry, change=moved)))
