"""Small parts of facts about readings, each at the case where a slip in it would show."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from by_hand import exactly, thing
from faulty_builds import Build
from workshop import clean_record, pack_of, rack_layout, record_of, stick_layout

from packcheck.facts.checked_readings import check_readings
from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_loaded import _sag_v
from packcheck.facts.of_readings import _size
from packcheck.facts.of_sums import _chain
from packcheck.facts.of_totals import _part
from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Measured


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
