"""Small parts of facts about what was recorded, tested and done, each at the case where a slip in it would show."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from by_hand import exactly, thing
from faulty_builds import Build
from workshop import clean_record, grouped_layout, pack_of, record_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_conductors import _looked_at
from packcheck.facts.of_groups import _in_series
from packcheck.facts.of_hardware import _Changes
from packcheck.facts.of_isolation import isolation_of
from packcheck.facts.of_second_readings import _of_torque
from packcheck.facts.of_test_points import _in_its_scale, _limit_of, _word_right
from packcheck.files.quantities import Dimension
from packcheck.model.pack.test_limits import LEAST_SHARE, MOST_SHARE
from packcheck.model.pack.types import Bounds
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Amended
from packcheck.model.record.test_results import IsolationTest, TakenTest
from packcheck.rules.catalogue import Measured


def looks(*told: tuple[str, str, str, str]) -> Any:
    return thing(amended=tuple(
        Amended("B1", "condition", first, later, None, by, "", first_by=first_by) for first, later, by, first_by in told
    ))  # fmt: skip


@pytest.mark.parametrize(("told", "second"), [
    ((("cracked", "sound", "MK", "MK"),), False),  # the same person
    ((("cracked", "sound", "TO", "MK"),), True),
    ((("cracked", "sound", "", "MK"),), None),  # nobody knows who
    ((("cracked", "sound", "TO", ""),), None),
    ((("cracked", "sound", "TO", ""), ("sound", "sound", "MK", "")), True),  # two, whoever was first
])  # fmt: skip
def test_who_called_a_damaged_part_sound_is_open_where_one_of_the_two_is_not_named(told: Any, second: Any) -> None:
    assert _looked_at(looks(*told), "B1") == {"first_condition": "cracked", "second_opinion": second}


@pytest.mark.parametrize(("least", "first", "slipped"), [
    (0.0, 45.0, False),  # the wrench has 45 N·m, it may have given it
    (5.0, 0.45, True),  # it starts at 5 N·m: 0.45 it never gave
    (0.2, 0.45, False),
])  # fmt: skip
def test_a_torque_that_the_wrench_does_not_have_is_a_slip_of_the_pen(least: float, first: float, slipped: bool) -> None:
    pack = pack_of(stick_layout(4))
    record = record_of(clean_record(pack), pack)
    wrench = replace(record.instruments["W1"], low=least, high=60.0)
    record = replace(record, instruments=record.instruments | {"W1": wrench})
    joint = next(iter(pack.joints))
    facts = _of_torque(Evidence(pack, record, Adopted()), joint, exactly(first)._replace(instrument="W1"))
    assert facts["torque_slipped"] is slipped


def test_screws_counted_on_a_cover_are_what_the_build_needs() -> None:
    pack = pack_of(stick_layout(4))
    record = record_of(clean_record(pack), pack)
    five = replace(record, covers=record.covers | {"CA": replace(record.covers["CA"], fitted=True, screws=5)})
    off = replace(record, covers=record.covers | {"CA": replace(record.covers["CA"], fitted=False)})
    needed = [_Changes.of(one).needed["screw-m4"] for one in (record, five, off)]
    assert needed == [6 + 8, 5 + 8, 8]


def test_an_isolation_that_may_be_nothing_begins_at_nothing() -> None:
    """The pole may have fallen by nothing at all with the resistor in: then no resistance is left to speak of."""
    wide = lambda value, half: Entry(value - half, value + half, value)  # noqa: E731
    test = IsolationTest("whole", "a", "b", wide(100, 1), wide(60, 1), wide(40, 1), exactly(1e5), wide(59.5, 1))
    found = isolation_of(test)
    assert found is not None
    assert found.low == 0.0
    assert found.high > 0


def test_the_voltage_of_a_string_counts_the_members_of_a_group_as_one() -> None:
    """Two groups of two: (3.6 + 3.8)/2 + (3.7 + 3.7)/2 = 7.4 V, each by ± 0.01 V."""
    pack = pack_of(grouped_layout(4, 2))
    names = ["G1a", "G1b", "G2a", "G2b"]
    each = [Measured(v - 0.01, v + 0.01) for v in (3.6, 3.8, 3.7, 3.7)]
    found = _in_series(Evidence(pack, None, Adopted()), names, each)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((7.38, 7.42))
    assert _in_series(Evidence(pack, None, Adopted()), names, [*each[:3], None]) is None


def test_a_bar_moved_across_the_disconnect_bypasses_it_only_where_its_whole_way_was_recorded() -> None:
    """B2 put from the post where W1 begins to the post where W2 ends; where W2 was not recorded, nobody knows."""
    build = Build(stick_layout(6))
    disconnect = build.pack.devices["SD"]
    moved = build.clean["bars"] | {"B2": {"lands": ["P3.A", "P4.A"]}}
    leads = {name: told for name, told in build.clean["leads"].items() if name != "W2"}
    whole = record_of(build.clean | {"bars": moved}, build.pack)
    part = record_of(build.clean | {"bars": moved, "leads": leads}, build.pack)
    assert Evidence(build.pack, whole, Adopted()).bypassed_by(disconnect) == ["B2"]
    assert Evidence(build.pack, part, Adopted()).bypassed_by(disconnect) == []


def at_of(limit: Bounds, **test: Any) -> Any:
    return thing(limit=limit, test=thing(**test))


def test_a_limit_beside_a_new_one_is_in_percent_of_it_and_a_usual_one_is_the_usual_share() -> None:
    """800 S of a new one of 1,000 S are 80 %; no lower limit stays none; what nobody wrote is the usual share."""
    found = _limit_of(at_of(Bounds(800.0, 1200.0), reference_s=1000.0, written="800 S to 1200 S"))
    assert found == Bounds(80.0, 120.0)
    assert _limit_of(at_of(Bounds(None, 1200.0), reference_s=1000.0, written="at most 1200 S")) == Bounds(None, 120.0)
    assert _limit_of(at_of(Bounds(800.0, None), reference_s=1000.0, written="at least 800 S")) == Bounds(80.0, None)
    usual = _limit_of(at_of(Bounds(800.0, None), reference_s=1000.0, written=""))
    assert usual == Bounds(LEAST_SHARE * 100, MOST_SHARE * 100)
    assert _limit_of(at_of(Bounds(2.0, 3.0), reference_s=None, written="2 to 3")) == Bounds(2.0, 3.0)


def test_a_value_with_a_limit_of_its_own_is_compared_as_it_was_read() -> None:
    """Without one, what is not known of the condition widens the reading; without the condition there is nothing."""
    pack = pack_of(stick_layout(4))
    evidence = Evidence(pack, None, Adopted())
    kind = thing(curve="probe")
    taken = TakenTest("x", value=exactly(10_000.0)._replace(instrument="R1"))
    of = lambda written: thing(  # noqa: E731
        kind=kind, written=written, instrument="ohmmeter", reference_s=None, quantity=Dimension.RESISTANCE
    )
    found = _in_its_scale(evidence, of("9 kΩ to 11 kΩ"), thing(), taken, None)
    assert found is not None
    assert (found.low, found.high) == (10_000.0, 10_000.0)
    assert _in_its_scale(evidence, of(""), thing(), taken, None) is None


def test_a_word_is_right_only_where_a_word_was_asked() -> None:
    pack = pack_of(stick_layout(4))
    evidence = Evidence(pack, None, Adopted())
    kind = thing(expects="", curve="")
    at = lambda found, quantity: thing(  # noqa: E731
        taken=TakenTest("x", found=found), test=thing(quantity=quantity, kind=kind, words=("dry", "wet"))
    )
    assert _word_right(evidence, at("dry", None)) is True
    assert _word_right(evidence, at("wet", None)) is False
    assert _word_right(evidence, at(None, None)) is None
    assert _word_right(evidence, at("dry", "a quantity")) is None


def told_by(steps: list[dict[str, Any]], layout: dict[str, Any]) -> list[dict[str, Any]]:
    b = Build(layout, release=True)
    by = {"by": "MK", "second": "TO", "gloves": "none"}
    work = [{"at": f"2026-10-05 {9 + n:02d}:00"} | by | step for n, step in enumerate(steps)]
    record = record_of({key: value for key, value in b.clean.items() if key != "work"} | {"work": work}, b.pack)
    return [dict(row.values) for row in build_facts(b.pack, record)["worked"]]


def test_what_is_taken_off_needs_no_cover_first_and_closes_nothing() -> None:
    layout = stick_layout(6)
    order = [["P1..P6"], ["CB"], ["B1", "B2", "B4", "B5"], ["leads"], ["taps"], ["CA"], ["SD"]]
    on = {"did": ["P1..P6"]}
    rows = told_by(
        [on, {"did": ["B1"]}, {"took off": ["B1"]}, {"took off": ["SD"]}, {"did": ["SD"]}], layout | {"order": order}
    )
    assert [row["covers_due"] for row in rows] == [0, 1, 0, 0, 2]  # of the disconnect both covers
    assert [row["is_disconnect"] for row in rows] == [False, False, False, False, True]


def test_work_that_leaves_out_many_parts_names_six_runs_of_them_and_counts_the_others() -> None:
    """Every third of 23 bars but the dropped one is told of: 16 bars and 2 covers are left."""
    b = Build(stick_layout(24), release=True)
    did = [name for name in (f"B{number:02d}" for number in range(3, 24, 3)) if name != "B12"]
    step = {"at": "2026-10-05 09:00", "by": "MK", "second": "TO", "gloves": "none", "did": did}
    record = record_of({k: v for k, v in b.clean.items() if k != "work"} | {"work": [step]}, b.pack)
    (row,) = build_facts(b.pack, record)["told"]
    assert row.place == ("the work, which does not tell of B01, B02, B04, B05, B07, B08 and 12 more")


def test_of_a_layout_alone_no_table_about_a_build_is_filled() -> None:
    """What was fitted, read, worked and tested has no row where nobody recorded anything."""
    facts = build_facts(pack_of(stick_layout(4)))
    assert {"pack", "device", "joint_type"} <= {name for name, rows in facts.items() if rows}
    of_builds = {"module", "conductor", "joint", "reading", "instrument", "part", "cover", "test", "worked", "total"}
    assert not of_builds & facts.keys()


@pytest.mark.parametrize(("accuracy", "half"), [("0.03 % + 2 mV", 0.00437), ("0.5 % + 1 µΩ", None), ("6 %", 0.474)])
def test_the_accuracy_of_something_else_is_none_for_a_voltage(accuracy: str, half: float | None) -> None:
    """Of 7.9 V, 0.03 % are 2.37 mV and 6 % are 474 mV; what is stated for ohms tells nothing of volts."""
    pack = pack_of(stick_layout(4))
    clean = clean_record(pack)
    clean["modules"]["P1"][3] = 7.9
    clean["instruments"]["V1"] = clean["instruments"]["V1"] | {"accuracy": accuracy}
    read = record_of(clean, pack).modules["P1"].rest_v
    assert read is not None
    assert read.high - read.value == pytest.approx(half or 0.0)
    assert read.fit is (half is not None)
    assert read.unfit_because == ("" if half else "instrument V1 states no accuracy for a voltage")
