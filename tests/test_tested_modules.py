"""Capacity and internal resistance of modules: against the drawn and against their like, in packs of other numbers."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_builds import Build, judged
from test_laws import outcomes_of
from workshop import Data, record_of, stick_layout

from packcheck.rules.findings import Gate, Outcome, Verdict

CAPACITY, RESISTANCE = "module-capacity-low", "module-resistance-high"


def build(drawn: str | None = "6 Ah") -> Build:
    layout = stick_layout(8)
    layout["module types"]["stick"]["capacity"] = drawn
    if drawn is None:
        del layout["module types"]["stick"]["capacity"]
    return Build(layout, release=True)


def benched(b: Build, heading: str, values: list[Any]) -> Data:
    """Return the clean record with one more column of its modules."""
    rows = {name: [*b.clean["modules"][name], value] for name, value in zip(b.pack.positions, values, strict=True)}
    columns, taken = b.clean["modules"]["columns"], b.clean["modules"]["taken"]
    name = heading.split()[0]
    instruments = {**b.clean["instruments"], "C1": {"kind": "cycler", "accuracy": "0.5 %", "due": "2027-02-01"},
                   "L9": {"kind": "load tester", "accuracy": "0.5 %", "due": "2027-02-01"}}  # fmt: skip
    by = {"rest": "V1", name: "C1" if name == "capacity" else "L9"}
    return {**b.clean, "instruments": instruments,
            "modules": {"columns": [*columns, heading], "taken": {**taken, "with": by}, **rows}}  # fmt: skip


def outcome(b: Build, record: Data, rule: str, position: str) -> Outcome | None:
    return outcomes_of(record_of(record, b.pack)).get((rule, position))


@pytest.mark.parametrize(("values", "worst"), [
    ([5.8, 5.9, 5.7, 5.8, 5.9, 5.8, 5.7, 5.8], Outcome.MET),
    ([5.8, 5.9, 5.7, 5.8, 5.9, 5.8, 5.7, 4.9], Outcome.BROKEN),  # above 0.8 × 6, below 0.85 × 5.8 = 4.93
    ([4.7] * 8, Outcome.BROKEN),  # all alike, below 0.8 × 6 = 4.8
    ([5.0] * 8, Outcome.MET),
])  # fmt: skip
def test_capacity(values: list[float], worst: Outcome) -> None:
    b = build()
    record = benched(b, "capacity Ah", values)
    assert outcome(b, record, CAPACITY, "P8") is worst
    verdict = judged(record_of(record, b.pack), Gate.FIT_BARS).verdict
    assert verdict is (Verdict.HOLD if worst is Outcome.BROKEN else Verdict.NO_RULE_BROKEN)


def test_without_a_drawn_capacity_the_others_say_what_is_due() -> None:
    b = build(drawn=None)
    record = benched(b, "capacity Ah", [2.5, 2.4, 2.5, 2.5, 2.4, 2.5, 2.5, 2.0])
    assert outcome(b, record, CAPACITY, "P1") is Outcome.MET
    assert outcome(b, record, CAPACITY, "P8") is Outcome.BROKEN  # 0.85 × 2.5 = 2.125


@pytest.mark.parametrize(("values", "worst"), [
    ([10.2, 10.1, 10.3, 10.2, 10.0, 10.2, 10.1, 10.2], Outcome.MET),
    ([6.2, 6.1, 6.3, 6.2, 6.0, 6.2, 6.1, 9.8], Outcome.BROKEN),  # below the drawn 10 mΩ, above 1.5 × 6.2 = 9.3
    ([20.5] * 8, Outcome.BROKEN),  # all alike, above 2 × 10
    ([18.0] * 8, Outcome.MET),
])  # fmt: skip
def test_resistance(values: list[float], worst: Outcome) -> None:
    b = build()
    record = benched(b, "resistance mΩ", values)
    assert outcome(b, record, RESISTANCE, "P8") is worst


@pytest.mark.parametrize(("heading", "rule", "good", "bad"), [
    ("capacity Ah", CAPACITY, 5.8, 3.0), ("resistance mΩ", RESISTANCE, 10.2, 30.0),
])  # fmt: skip
def test_leaving_out_the_number_that_was_wrong_makes_nothing_better(
    heading: str, rule: str, good: float, bad: float
) -> None:
    b = build()
    assert outcome(b, benched(b, heading, [good] * 7 + [bad]), rule, "P8") is Outcome.BROKEN
    blank = benched(b, heading, [good] * 7 + ["none"])
    assert outcome(b, blank, rule, "P8") is Outcome.UNPROVEN
    assert judged(record_of(blank, b.pack), Gate.FIT_BARS).verdict is Verdict.HOLD


def test_where_no_module_was_tested_nothing_is_asked() -> None:
    b = build()
    found = outcomes_of(record_of(b.clean, b.pack))
    assert {found[rule, "P1"] for rule in (CAPACITY, RESISTANCE)} == {Outcome.NOT_APPLICABLE}


def test_voltage_lost_between_two_readings_at_rest_by_plain_arithmetic() -> None:
    """Six cells, two days: 6 × (10 + 2 × 2) mV + 10 mV = 94 mV; the meter leaves 2.8 mV open of the difference."""
    b = build()
    first = b.clean["modules"]["P3"][3]
    for lost, expected in ((0.08, Outcome.MET), (0.093, Outcome.UNDECIDED), (0.11, Outcome.BROKEN)):
        when = {"at": "2026-10-07 08:40", "by": "TO", "with": "V1", "why": "checked"}
        again = {**when, "module": "P3", "rest": f"{first - lost:.3f} V"}
        found = outcome(b, {**b.clean, "again": [again]}, "module-loses-charge", "rest of P3")
        assert found is expected, lost
