"""Small parts of the fact builders, each against numbers worked out by hand beside it."""

from __future__ import annotations

from dataclasses import replace
from math import inf, sqrt
from typing import Any

import pytest
from faulty_builds import Build
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.measured_values import half_of_difference
from packcheck.facts.of_devices import fuse_ratings
from packcheck.facts.of_gaps import Gap, gap_rows
from packcheck.facts.of_hardware import could_bridge
from packcheck.facts.of_joints import middle_nut_factor
from packcheck.facts.of_readings import unread_rows
from packcheck.facts.of_since import since_rows
from packcheck.facts.peers import peers_of
from packcheck.facts.slips_of_the_pen import shifted_into
from packcheck.geometry.bodies import Body
from packcheck.geometry.reach import build_geometry, way_of
from packcheck.model.pack.types import Bounds
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Unread
from packcheck.network.stress import Short
from packcheck.physics.creepage import creepage_mm
from packcheck.physics.hardware import standard_part
from packcheck.physics.isolation import leak_share
from packcheck.physics.parallel_sources import greatest_surge


def read(value: float, own: float, share: float, meter: str = "V1") -> Entry:
    """Return a reading with a half width of its own and one that grows with it."""
    half = own + share * abs(value)
    return Entry(value - half, value + half, value, meter, share=share)


def test_what_one_meter_has_in_common_counts_once_and_what_two_have_counts_twice() -> None:
    """Two readings of 10 V and 8 V at 1 % + 2 mV: their difference is 2 V ± (√2 · 2 mV + 1 % of 2 V)."""
    one, other = read(10.0, 0.002, 0.01), read(8.0, 0.002, 0.01)
    assert half_of_difference([(1.0, one), (-1.0, other)]) == pytest.approx(sqrt(2) * 0.002 + 0.01 * 2)
    apart = read(8.0, 0.002, 0.01, "V2")
    assert half_of_difference([(1.0, one), (-1.0, apart)]) == pytest.approx(sqrt(2) * 0.002 + 0.01 * 10 + 0.01 * 8)
    assert half_of_difference([(2.0, one)]) == pytest.approx(2 * 0.002 + 0.01 * 20)


def test_peers_have_a_middle_a_scatter_and_room_for_those_not_read() -> None:
    """1, 2, 3, 4, 100: the middle is 3, the middle distance from it 1, and 1 / 0.67449 its standard deviation."""
    peers = peers_of([1.0, 2.0, 3.0, 4.0, 100.0])
    assert (peers.number, peers.asked, peers.middle) == (5, 5, 3.0)
    assert peers.scatter == pytest.approx(1 / 0.67449, rel=1e-4)
    assert (peers.low, peers.high) == (3.0, 3.0)
    wide = peers_of([1.0, 2.0, 3.0, None])
    assert wide.low <= 2.0 <= wide.high
    assert wide.high > wide.low


@pytest.mark.parametrize(("value", "factor"), [
    (7.9, 1.0), (0.79, 10.0), (79.0, 0.1), (0.0079, 1000.0), (12.3, 1.0), (0.0, 1.0),
])  # fmt: skip
def test_a_slip_of_the_point_is_found_or_none_is_made_up(value: float, factor: float) -> None:
    assert shifted_into(value, 7.8, 8.0) == pytest.approx(factor)
    assert shifted_into(value, None, 8.0) == 1.0


def test_the_surge_onto_two_others_goes_through_all_three() -> None:
    """4.1 V behind 1 mΩ onto two of 3.6 V behind 1 mΩ each: 0.5 V over 1 mΩ + 0.5 mΩ are 333.3 A."""
    surge = greatest_surge([(4.1, 4.1), (3.6, 3.6), (3.6, 3.6)], [0.001] * 3)
    assert surge is not None
    assert surge[:4] == pytest.approx((4.1, 3.6, 0.001, 0.0005))
    assert surge.current_a == pytest.approx(0.5 / 0.0015)
    low = greatest_surge([(3.1, 3.1), (3.6, 3.6), (3.6, 3.6)], [0.001, 0.002, 0.004])
    assert low is not None
    assert low[:4] == pytest.approx((3.1, 3.6, 0.001, 1 / (500 + 250)))
    assert greatest_surge([(4.1, 4.1)], [0.001]) is None


def test_the_smallest_fuse_that_carries_enough_of_a_short_is_asked() -> None:
    """Of 900 A, 600 run through F1, 300 through F2 and all through F3: half of the whole is 450."""
    short = Short("+", "-", 900.0, {"F1": 600.0, "F2": 300.0, "F3": 900.0, "F4": 90.0}, 48.0)
    ratings = {"F1": 80.0, "F2": 60.0, "F3": 125.0, "F4": 10.0, "F5": 5.0}
    assert short.smallest_fuse_a(ratings) == 125.0
    assert short.smallest_fuse_a(ratings, beside=0.5) == 80.0
    assert short.smallest_fuse_a(ratings, beside=0.25) == 60.0
    assert short.smallest_fuse_a({"F5": 5.0}, beside=0.25) is None


def gap(name: str, mm: float, volts: float) -> Gap:
    return Gap(name, "A", mm, volts, (name,))


def test_where_a_lost_nut_could_lie_is_said_with_how_many_more_such_places() -> None:
    gaps = [gap("B01 to B03", 6.0, 15.8), gap("B03 to B05", 6.2, 31.7), gap("B05 to B07", 9.0, 60.0)]
    assert could_bridge(8.0, True, gaps) == (
        "its 8 mm span the gap B03 to B05 on face A (31.7 V at most), and 1 more kinds of gap"
    )
    assert could_bridge(6.0, True, gaps) == "its 6 mm span the gap B01 to B03 on face A (15.8 V at most)"
    assert could_bridge(5.9, None, gaps) == "its 5.9 mm span none of the gaps between bare conductors"
    assert "not in the layout" in could_bridge(None, True, gaps)
    assert could_bridge(9.0, False, gaps) == "it does not conduct"


def asked_of(insulation: dict[str, Any]) -> dict[str, Any]:
    pack = pack_of(stick_layout(4) | {"creepage": insulation})
    return dict(next(iter(gap_rows(pack, [gap("B01 to B03", 0.7, 400.0)]))).values)


def test_a_clearance_is_worked_out_only_with_impulse_and_pollution_degree() -> None:
    """IEC 60664-1 as transcribed: 0.8 kV at degree 3 needs 0.8 mm."""
    full = asked_of({"impulse": "0.8 kV", "pollution degree": 3, "material group": "IIIa"})
    assert full["clearance_needed_mm"] == pytest.approx(0.8)
    assert full["clearance_asked"] is True
    without = asked_of({"impulse": "0.8 kV", "material group": "IIIa"})
    assert (without["clearance_needed_mm"], without["clearance_asked"]) == (None, True)
    assert without["creepage_needed_mm"] is None
    assert without["creepage_known"] is False
    silent = asked_of({"pollution degree": 2, "material group": "IIIa"})
    assert (silent["clearance_needed_mm"], silent["clearance_asked"]) == (None, False)


def test_only_fuses_have_a_fuse_rating() -> None:
    layout = rack_layout([4, 4])
    pack = pack_of(layout)
    fuses = {name for name, device in layout["devices"].items() if device.get("kind") == "fuse"}
    assert set(fuse_ratings(pack)) == fuses
    assert fuses


def instrument_facts(changes: dict[str, Any]) -> dict[str, Any]:
    b = Build(stick_layout(4), release=True)
    spare = {"S9": {"kind": "multimeter", "accuracy": "0.1 %"} | changes}
    record = record_of(b.clean | {"instruments": b.clean["instruments"] | spare}, b.pack)
    rows = build_facts(b.pack, record)["instrument"]
    return next(dict(row.values) for row in rows if row.subject == "S9")


def test_an_instrument_that_nothing_was_read_with_is_in_date_only_if_a_date_is_known() -> None:
    assert instrument_facts({"due": "2027-01-01"})["in_calibration"] is True
    assert instrument_facts({})["in_calibration"] is None
    assert instrument_facts({})["was_used"] is False


def test_work_that_is_told_without_an_order_is_asked_for_bars_links_and_covers() -> None:
    b = Build(grouped_layout(4, 2), release=True)
    pack = pack_of({key: value for key, value in grouped_layout(4, 2).items() if key != "order"})
    bars = [name for name, conductor in pack.conductors.items() if conductor.kind != "lead"]
    step = {"at": "2026-10-05 09:00", "by": "MK", "second": "TO", "gloves": "none"}
    rest = {key: value for key, value in b.clean.items() if key != "work"}
    whole = record_of(rest | {"work": [step | {"did": [*bars, *pack.covers]}]}, pack)
    part = record_of(rest | {"work": [step | {"did": [*bars[1:], *pack.covers]}]}, pack)
    assert [row.values["steps_told"] for row in build_facts(pack, whole)["told"]] == [True]
    (row,) = build_facts(pack, part)["told"]
    assert row.values["steps_told"] is None
    assert row.missing["steps_told"].place == bars[0]


def test_where_a_leak_lies_is_as_uncertain_as_both_readings() -> None:
    """40 V and 60 V, each by 1 %: 0.4, and by 0.4 · 0.6 · (0.01 + 0.01) = 0.0048 to either side."""
    assert leak_share(40.0, 60.0, 0.01) == pytest.approx((0.3952, 0.4048))


def test_nothing_read_has_no_middle_and_may_be_anything() -> None:
    peers = peers_of([None, None])
    assert (peers.number, peers.asked, peers.middle, peers.low, peers.high) == (0, 2, None, -inf, inf)


def test_a_material_that_no_table_knows_has_no_creepage_even_where_all_materials_are_alike() -> None:
    """At pollution degree 1 the table has one column for every material, and yet none for a group IV."""
    assert creepage_mm(100.0, 1, "IV") is None
    assert creepage_mm(100.0, 1, "IIIb") == creepage_mm(100.0, 1, "I") is not None


@pytest.mark.parametrize(("standard", "size", "across", "thick"), [
    ("ISO 4032", "M12", 18.0 * 2 / sqrt(3), 10.8), ("ISO 4032", "M6", 10.0 * 2 / sqrt(3), 5.2),
    ("ISO 7093", "M5", 15.0, 1.4), ("ISO 7093", "M12", 37.0, 3.3), ("ISO 7089", "M3", 7.0, 0.55),
])  # fmt: skip
def test_sizes_of_nuts_and_washers(standard: str, size: str, across: float, thick: float) -> None:
    """Handbook tables of ISO 4032, ISO 7089 and ISO 7093-1, recalled from memory."""
    part = standard_part(standard, size)
    assert part is not None
    assert part.across_mm == pytest.approx(across)
    assert part.thickness_mm == thick


@pytest.mark.parametrize(("centre", "way"), [
    ((10.0, 8.0, 0.0), "across face front"),  # 10 - 4 - 5 = 1 along, 8 - 3 - 3 = 2 across
    ((12.0, 8.0, 0.0), "along face front"),  # 3 along, 2 across
    ((8.0, 6.5, 0.0), "across face front"),  # they overlap along, 0.5 across
])  # fmt: skip
def test_a_bridge_lies_along_the_row_where_the_gap_is_longest(centre: tuple[float, float, float], way: str) -> None:
    one = Body("one", "bar", "a", "B1", "front", (0.0, 0.0, 0.0), (4.0, 3.0, 1.0))
    other = Body("other", "bar", "b", "B2", "front", centre, (5.0, 3.0, 1.0))
    assert way_of(one, other, 0) == way_of(other, one, 0) == way


def test_whether_a_module_is_the_same_is_open_where_either_serial_was_not_read() -> None:
    pack = pack_of(stick_layout(6))
    now = record_of(clean_record(pack), pack)
    first = next(iter(now.modules))
    about = f"rest of {first}"
    silent = replace(now, modules={name: replace(one, serial=None) for name, one in now.modules.items()})
    told = [
        [row.values["same"] for row in since_rows(Evidence(pack, later, Adopted()), earlier) if row.subject == about]
        for later, earlier in ((now, now), (now, silent), (silent, now))
    ]
    assert told == [[True], [None], [None]]


@pytest.mark.parametrize(("given", "taken"), [
    (Bounds(0.12, 0.18), 0.15), (Bounds(0.12, 0.18, 0.14), 0.14), (Bounds(0.16, 0.16), 0.16),
])  # fmt: skip
def test_the_nut_factor_of_a_joint_is_the_one_stated_or_the_middle_of_its_band(given: Bounds, taken: float) -> None:
    kind = replace(next(iter(pack_of(stick_layout(6)).joint_types.values())), nut_factor=given)
    assert middle_nut_factor(kind) == pytest.approx(taken)


def test_a_reading_without_a_value_is_asked_for_where_its_state_closes_nothing() -> None:
    pack = pack_of(stick_layout(6))
    record = record_of(clean_record(pack), pack)
    states = ("plug out", "plug in", "live", "")
    record = replace(record, unread=tuple(Unread(f"U{i}", ("P01.A", "P01.B"), s) for i, s in enumerate(states)))
    assert [row.subject for row in unread_rows(Evidence(pack, record, Adopted()))] == ["U0", "U3"]


def test_a_geometry_is_asked_of_tools_and_of_what_can_fall() -> None:
    """Beside the tools, each once and the shortest first, the pack's own loose parts: its nuts, washers and bars."""
    pack = pack_of(stick_layout(6))
    tools, parts = build_geometry(pack, (150.0, 20.0, 150.0)).reaches[:2], build_geometry(pack, ()).reaches
    assert [(reach.words, reach.length_mm) for reach in tools] == [
        ("a tool of 20 mm", 20.0),
        ("a tool of 150 mm", 150.0),
    ]
    assert len(parts) > 0
    assert build_geometry(pack, (150.0,)).reaches[1:] == parts
