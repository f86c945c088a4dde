"""Words do not part a string: a reading past each open switch does."""

from __future__ import annotations

from functools import cache

import pytest
from faulty_builds import Build, every_finding, judged
from workshop import Data, grouped_layout, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.rules.findings import Gate, Outcome, Verdict

SHAPES = {
    "sticks": lambda: stick_layout(9),
    "groups": lambda: grouped_layout(5, 3),
    "trays": lambda: trayed_layout(4),
    "rack": lambda: rack_layout([5, 5, 5]),
}


@cache
def build(shape: str) -> Build:
    return Build(SHAPES[shape](), release=True)


def with_readings(b: Build, **readings: Data | None) -> Data:
    """Return the clean record with some readings otherwise, or left out."""
    kept = {name: row for name, row in {**b.clean["readings"], **readings}.items() if row is not None}
    return {**b.clean, "readings": kept}


def between_mains(b: Build) -> list[str]:
    """Return the readings of a clean record that lie between the ends of the pack with the plug out."""
    rows = b.clean["readings"].items()
    return [name for name, row in rows if isinstance(row, list) and tuple(row[:2]) == b.ends]


def outcomes(b: Build, record: Data, gate: Gate, rule: str) -> set[Outcome]:
    return {f.outcome for f in every_finding(judged(record_of(record, b.pack), gate)) if f.rule == rule}


@pytest.mark.parametrize("shape", SHAPES)
def test_as_drawn_and_nothing_else_do_not_stand_for_the_mains_read_with_the_plug_out(shape: str) -> None:
    b = build(shape)
    rule, names = "disconnect-not-shown-open", between_mains(b)
    assert names
    assert outcomes(b, b.clean, Gate.PLUG_IN, rule) == set()
    without = with_readings(b, **dict.fromkeys(names))
    assert outcomes(b, without, Gate.PLUG_IN, rule) == {Outcome.UNPROVEN}
    assert judged(record_of(without, b.pack)).verdict is Verdict.HOLD
    total = float(b.clean["readings"]["total"]["value"].split()[0])
    bridged = with_readings(b, **{name: [*b.ends, round(0.999 * total, 2)] for name in names})
    assert outcomes(b, bridged, Gate.PLUG_IN, rule) == {Outcome.BROKEN}
    assert judged(record_of(bridged, b.pack)).verdict is Verdict.DO_NOT_ENERGIZE


@pytest.mark.parametrize("shape", SHAPES)
def test_each_contactor_needs_a_reading_of_its_own_past_it(shape: str) -> None:
    b = build(shape)
    rule, readings = "contactor-not-shown-open", b.clean["readings"]
    names = [name for name in readings if name.startswith("open ")]
    assert names
    total = readings["total"]["value"]
    for name in names:
        assert outcomes(b, with_readings(b, **{name: None}), Gate.CLOSE_CONTACTORS, rule) == {Outcome.UNPROVEN}
        welded = with_readings(b, **{name: {**readings[name], "value": total}})
        assert outcomes(b, welded, Gate.CLOSE_CONTACTORS, rule) == {Outcome.BROKEN}
        assert judged(record_of(welded, b.pack), Gate.CLOSE_CONTACTORS).verdict is Verdict.DO_NOT_ENERGIZE
    assert outcomes(b, b.clean, Gate.CLOSE_CONTACTORS, rule) == set()


def test_between_both_outer_ends_one_welded_contactor_shows_nothing() -> None:
    b = build("sticks")
    names = [name for name in b.clean["readings"] if name.startswith("open ")]
    outer = {"between": "K1.2", "and": "K2.1", "value": "0.001 V", "state": "plug in"}
    record = with_readings(b, outer=outer, **dict.fromkeys(names))
    assert outcomes(b, record, Gate.CLOSE_CONTACTORS, "contactor-not-shown-open") == {Outcome.UNPROVEN}


def test_a_second_reading_that_shows_nothing_does_not_hide_one_that_shows_the_whole_voltage() -> None:
    b = build("trays")
    total = float(b.clean["readings"]["total"]["value"].split()[0])
    record = with_readings(b, more=[*b.ends, round(total, 2)])
    assert judged(record_of(record, b.pack)).verdict is Verdict.DO_NOT_ENERGIZE
