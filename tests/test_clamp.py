"""A clamp of which the layout draws only a part: what is drawn is judged, what is not is asked of nobody."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_builds import Build, judged
from test_laws import outcomes_of
from workshop import Data, record_of, stick_layout

from packcheck.rules.findings import Gate, Outcome, Verdict

LENGTH, TORQUE, BAND = "clamp-length-off", "clamp-torque-off", "clamp-band-missing"


def build(clamp: Data) -> Build:
    return Build({**stick_layout(6), "clamp": clamp}, release=True)


def outcome(b: Build, written: Data, rule: str) -> Outcome:
    taken = {"at": "2026-10-05 10:00", "by": "MK", "with": {"length": "L1", "torque": "W1"}}
    clamp = {key: item for key, item in {**written, "taken": taken}.items() if item}
    return outcomes_of(record_of({**b.clean, "clamp": clamp}, b.pack))[rule, b.pack.name]


@pytest.mark.parametrize("clamp", [
    {"length": "120 mm ± 0.5 mm"}, {"torque": "5 N·m to 7 N·m", "rods": "4 rod-m6"},
    {"length": "119 mm to 121 mm", "torque": "at most 7 N·m", "rods": "4 rod-m6"},
])  # fmt: skip
def test_a_build_that_keeps_what_is_drawn_is_clean_at_every_gate(clamp: Data) -> None:
    b = build(clamp)
    written = {"length": "120 mm" if "length" in clamp else None, "torque": "6 N·m" if "torque" in clamp else None}
    taken = {"at": "2026-10-05 10:00", "by": "MK", "with": {"length": "L1", "torque": "W1"}}
    told = {key: item for key, item in {**written, "taken": taken}.items() if item}
    record = record_of({**b.clean, "clamp": told}, b.pack)
    assert judged(record, Gate.RELEASE).verdict is Verdict.NO_RULE_BROKEN


@pytest.mark.parametrize(("clamp", "written", "rule", "expected"), [
    ({"length": "120 mm ± 0.5 mm"}, {"length": "123 mm"}, LENGTH, Outcome.BROKEN),
    ({"length": "at most 121 mm"}, {"length": "123 mm"}, LENGTH, Outcome.BROKEN),
    ({"length": "at most 121 mm"}, {"length": "110 mm"}, LENGTH, Outcome.MET),
    ({"length": "at least 119 mm"}, {"length": "130 mm"}, LENGTH, Outcome.MET),
    ({"length": "at least 119 mm"}, {"length": "118 mm"}, LENGTH, Outcome.BROKEN),
    ({"length": "120 mm ± 0.5 mm"}, {"length": "120 mm"}, TORQUE, Outcome.NOT_APPLICABLE),
    ({"length": "120 mm ± 0.5 mm"}, {}, LENGTH, Outcome.UNPROVEN),
    ({"length": "120 mm"}, {"length": "120 mm"}, BAND, Outcome.BROKEN),
])  # fmt: skip
def test_each_end_that_is_drawn_is_judged(clamp: Data, written: dict[str, Any], rule: str, expected: Outcome) -> None:
    assert outcome(build(clamp), written, rule) is expected
