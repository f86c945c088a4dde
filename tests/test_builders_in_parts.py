"""More small parts of the fact builders and the network, each at the case where a slip in it would show."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import isclose
from types import SimpleNamespace
from typing import Any

import pytest
from faulty_builds import Build
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.facts.checked_readings import check_readings
from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_conductors import _looked_at
from packcheck.facts.of_gaps import loose_parts
from packcheck.facts.of_groups import _in_series
from packcheck.facts.of_hardware import _Changes
from packcheck.facts.of_isolation import isolation_of
from packcheck.facts.of_joints import joint_type_rows
from packcheck.facts.of_loaded import _sag_v
from packcheck.facts.of_places import _Box, _with_first_overlap
from packcheck.facts.of_readings import _size
from packcheck.facts.of_second_readings import _of_torque
from packcheck.facts.of_sums import _chain
from packcheck.facts.of_test_points import _in_its_scale, _limit_of, _word_right
from packcheck.facts.of_totals import _part
from packcheck.files.problems import OwnFault
from packcheck.files.quantities import Dimension
from packcheck.geometry.bodies import PIN_PITCH_MM, bodies_of
from packcheck.model.pack.curves_of_tests import LEAST_SHARE, MOST_SHARE
from packcheck.model.pack.types import Bounds
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Amended
from packcheck.model.record.tested import IsolationTest, TakenTest
from packcheck.network.chains import gather_chains
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.elimination import by_degree
from packcheck.network.graph import Edge
from packcheck.network.topology import nodes_on_the_way
from packcheck.rules.catalogue import Measured


def exactly(value: float) -> Entry:
    return Entry(value, value, value)


def thing(**parts: Any) -> Any:
    """Return something that has just these parts, to stand where a builder looks at no others."""
    return SimpleNamespace(**parts)


# what is drawn


def test_a_chassis_or_an_outlet_makes_a_pack_branch_and_mains_alone_do_not() -> None:
    layout = stick_layout(6)
    assert Drawn(pack_of(layout)).has_branches is False
    assert (
        Drawn(pack_of(layout | {"leads": layout["leads"] | {"WC": {"lands": ["P1.B", "chassis"]}}})).has_branches
        is True
    )


def test_the_largest_loose_part_of_a_face_is_found_among_small_ones_too() -> None:
    layout = stick_layout(6)
    kinds = {name: layout["joint types"]["post"] | {"stack": ["bar", "shim"]} for name in ("post", "lug")}
    small = {"shim": {"largest": "0.8 mm"}}
    pack = pack_of(layout | {"joint types": layout["joint types"] | kinds, "parts": layout["parts"] | small})
    found = loose_parts(pack)
    assert found == {"A": (0.8, "shim"), "B": (0.8, "shim")}


def test_pins_lie_a_pitch_apart_from_the_first_on() -> None:
    layout = stick_layout(4)
    layout["harness"] = {"X1": list(layout["taps"])}
    pins = [body for body in bodies_of(pack_of(layout)) if body.kind == "pin"]
    steps = {round(b.centre[0] - a.centre[0], 9) for a, b in itertools.pairwise(pins)}
    assert steps == {PIN_PITCH_MM}
    middle = sum(10.0 + 20.0 * (int(node[1]) - 1) for node in layout["taps"].values()) / len(layout["taps"])
    assert pins[0].centre[0] == pytest.approx(middle)


def test_a_lead_that_is_fixed_at_both_ends_swings_from_either_and_one_at_a_device_from_where_its_lead_starts() -> None:
    layout = stick_layout(4)
    leads = layout["leads"] | {"W9": {"lands": ["P1.A", "P4.B"], "length": "90 mm"}}
    names = {body.name for body in bodies_of(pack_of(layout | {"leads": leads})) if body.kind == "lead end"}
    assert {name for name in names if "W9" in name} == {
        "free end of W9, fixed at P1.A", "free end of W9, fixed at P4.B",
    }  # fmt: skip
    assert "end of W1 at SD.1" in names
    assert not any(name.startswith("free end of W1,") for name in names)


def test_a_bar_lies_across_where_the_posts_of_its_module_are_not_apart() -> None:
    """Posts at x = 30 and x = -30 of one face are 60 mm apart along x, though the sum of the two is nothing."""
    layout = stick_layout(4)
    kind = layout["module types"]["stick"]
    posts = {
        "A": {"at": ["-30 mm", "5 mm", "60 mm"], "face": "A", "joint": "post"},
        "B": {"at": ["30 mm", "5 mm", "60 mm"], "face": "A", "joint": "post"},
    }
    kinds = {"stick": kind | {"posts": posts}}
    places = {"P1..P4": layout["positions"]["P1..P4"] | {"step": ["0 mm", "40 mm", "0 mm"]}}
    pack = pack_of(layout | {"module types": kinds, "positions": places, "faces": {"A": "front"}, "covers": {}})
    bar = next(body for body in bodies_of(pack) if body.name == "B1")
    assert bar.half[0] == pytest.approx(8.0)  # 16 mm wide along x, as it runs along y
    assert bar.half[2] == pytest.approx(1.0)


def test_modules_that_share_a_place_are_found_where_they_stand_below_the_origin_too() -> None:
    low, high = _Box("low", (-100.0,) * 3, (10.0, 10.0, 10.0)), _Box("high", (-50.0,) * 3, (-20.0, -20.0, -20.0))
    assert [(box.name, other and other.name) for box, other in _with_first_overlap([low, high])] == [
        ("low", None), ("high", "low"),
    ]  # fmt: skip


def test_a_joint_type_with_a_torque_and_no_thread_is_looked_at_and_one_with_neither_is_not() -> None:
    layout = stick_layout(4)
    kinds = layout["joint types"] | {"clip": {"torque": "2.0 N·m to 3.0 N·m"}, "push": {"stack": ["bar"]}}
    pack = pack_of(layout | {"joint types": kinds})
    rows = {row.subject for row in joint_type_rows(Evidence(pack, None, Adopted()))}
    assert "clip" in rows
    assert "push" not in rows


def test_a_bar_that_ends_at_a_device_has_an_end_that_swings_there() -> None:
    names = {body.name for body in bodies_of(pack_of(grouped_layout(4, 2))) if body.kind == "lead end"}
    assert "end of M1 at SD.1" in names
    assert not any("end of B1" in name or "end of E" in name for name in names)


def test_two_bars_on_the_same_posts_are_confirmed_by_no_voltage() -> None:
    layout = stick_layout(6)
    bars = {"X1": {"lands": ["P1.A", "P2.A"], "size": ["34 mm", "16 mm", "2 mm"]}}
    build = Build(layout | {"bars": bars}, release=True)
    told = {row.subject: row.values["confirmable"] for row in build_facts(build.pack, build.record())["conductor"]}
    assert (told["X1"], told["B1"], told["B2"]) == (False, False, True)


# what was recorded


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


# readings


def test_nothing_read_exactly_does_not_tell_where_plus_is() -> None:
    """0 V, without any uncertainty, between the two posts of a module: neither of them is the +."""
    pack = pack_of(stick_layout(4))
    record = record_of(clean_record(pack), pack)
    for volts, plus in ((0.0, None), (7.9, "A"), (-7.9, "B")):
        first = replace(record.modules["P1"], plus="A", rest_v=exactly(volts)._replace(state="plug out"))
        told = replace(record, modules=record.modules | {"P1": first}, readings=())
        assert Confirmed(Evidence(pack, told, Adopted()), ()).plus_of(pack.positions["P1"]) == plus


def test_a_reading_beside_a_way_that_nobody_recorded_has_no_expected_value() -> None:
    """Two strings side by side with the plugs in: whether the second joins on decides what runs through the first."""
    build = Build(rack_layout([4, 4]), release=True)
    series = {name: told for name, told in build.clean["bars"].items() if name != "S2-B1"}
    readings = {key: build.clean["readings"][key] for key in ("columns", "taken")}
    readings |= {"X1": {"between": "S1-P1.A", "and": "S1-P1.B", "value": "7.9 V", "state": "plug in"}}
    for bars, known in ((build.clean["bars"], True), (series, False)):
        record = record_of(build.clean | {"bars": bars, "readings": readings}, build.pack)
        (one,) = check_readings(Evidence(build.pack, record, Adopted()))
        assert (one.expected is not None) is known


def checked(name: str, minus: str, plus: str, value: float = 1.0, expected: Measured | None = None) -> Any:
    reading = thing(name=name, minus=minus, plus=plus, value_v=exactly(value)._replace(state="plug out"))
    return thing(reading=reading, expected=expected)


@pytest.mark.parametrize(("rest", "read", "sag"), [(16.0, 15.5, 0.5), (-16.0, -15.5, 0.5), (-16.0, -17.0, -1.0)])
def test_a_sag_is_what_a_reading_is_nearer_to_nothing_than_at_rest(rest: float, read: float, sag: float) -> None:
    assert _sag_v(checked("R1", "a", "b", read, Measured(rest - 0.1, rest + 0.1))) == pytest.approx(sag)


@pytest.mark.parametrize(("low", "high", "size"), [
    (0.2, 0.6, (0.2, 0.6)), (-0.6, -0.2, (0.2, 0.6)), (-0.9, 0.5, (-0.9, 0.5)), (-0.6, 0.0, (0.0, 0.6)),
])  # fmt: skip
def test_a_reading_that_may_be_of_either_sign_keeps_both(low: float, high: float, size: tuple[float, float]) -> None:
    one = thing(reading=thing(value_v=Entry(low, high, (low + high) / 2)))
    found = _size(low, high, one)
    assert isinstance(found, Measured)
    assert (found.low, found.high) == pytest.approx(size)


def test_the_fewest_readings_lead_from_a_place_to_another_and_none_runs_back() -> None:
    """a-b-c-d-e, with c to a and d to b read backwards beside them: four readings, none of the two backward ones."""
    from_node: dict[str, dict[str, Any]] = {}
    for minus, plus in ("ab", "bc", "ca", "cd", "db", "de", "bd"):
        from_node.setdefault(minus, {})[plus] = checked(minus + plus, minus, plus)
    assert [one.reading.name for one in _chain("a", "e", from_node)] == ["ab", "bd", "de"]
    del from_node["b"]["d"]
    assert [one.reading.name for one in _chain("a", "e", from_node)] == ["ab", "bc", "cd", "de"]
    assert _chain("e", "a", from_node) == []


def test_a_reading_over_groups_of_another_string_is_no_part_of_a_total() -> None:
    """A rack of two strings: what was read over one block of the second lies nowhere along the first."""
    pack = pack_of(rack_layout([3, 3]))
    first, last = next(iter(pack.groups)), list(pack.groups)[-1]
    step = lambda group: thing(forward=True, edge=thing(kind="module", part=pack.groups[group][0]))  # noqa: E731
    one = lambda group: thing(  # noqa: E731
        reading=thing(value_v=thing(state="plug out", value=1.0)), walk=(step(group),), modules=(step(group).edge,)
    )
    evidence = Evidence(pack, None, Adopted())
    along = _part(evidence, one(first), {first: 0})
    assert along is not None
    assert (along.first, along.end) == (0, 1)
    assert _part(evidence, one(last), {first: 0}) is None


# tests


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


# work


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


# network


def test_fewest_neighbours_are_taken_out_first_and_every_junction_once() -> None:
    """A hub of four around it, one of three, and ends of one: the degrees come in rising order."""
    arms: list[dict[int, Any]] = [{1: 1, 2: 1, 3: 1, 4: 1}, {0: 1, 2: 1, 3: 1}, {0: 1, 1: 1}, {0: 1, 1: 1}, {0: 1}]
    assert [len(arms[junction]) for junction in by_degree(arms)] == [1, 2, 2, 3, 4]


def test_a_chain_runs_from_where_three_meet_to_where_three_meet() -> None:
    """Three ways of three branches each between two junctions are three chains of 3 Ω."""
    tail, head, number = [], [], 2
    for _ in range(3):
        tail += [0, number, number + 1]
        head += [number, number + 1, 1]
        number += 2
    found = gather_chains([*reversed(tail)], [*reversed(head)], [1.0] * 9, [0.0] * number)
    assert len(found) == 3
    assert all(isclose(chain.resistance, 3.0) and {chain.start, chain.end} == {0, 1} for chain in found)


def test_a_terminal_alone_lies_on_no_way_between_terminals() -> None:
    edge = lambda a, b: Edge(a, b, f"{a}{b}", "joint", a, 1e-4)  # noqa: E731
    assert nodes_on_the_way([edge("a", "b"), edge("b", "c"), edge("c", "d")], ("a", "c")) == {"a", "b", "c"}
    assert nodes_on_the_way([edge("a", "b")], ("a",)) == frozenset()


def test_what_is_fed_into_an_island_is_weighed_against_all_that_is_fed() -> None:
    """1 GA in and out leave what rounding leaves, though the last feed is a milliampere; 1 A too much is refused."""
    ring = [Branch("a", "b", 1.0), Branch("b", "c", 1.0), Branch("c", "a", 1.0)]
    solve_circuit(ring, {"a": 1e9, "b": -1e9 - 1e-3 + 1e-7, "c": 1e-3})
    with pytest.raises(OwnFault, match="leave"):
        solve_circuit(ring, {"a": 10.0, "b": -9.0, "c": 0.5})
