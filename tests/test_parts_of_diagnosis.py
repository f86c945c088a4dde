"""Small parts of a diagnosis, each at the case where a slip in it would show: what is observed, slips, wires, steps."""

from __future__ import annotations

from typing import Any

import pytest
from by_hand import exactly, thing
from near_misses import TOTAL, V, record, vector
from workshop import Data, clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout

from packcheck.diagnosis.answer import diagnose
from packcheck.diagnosis.hypothesis import Hypothesis
from packcheck.diagnosis.of_modules import _blocks
from packcheck.diagnosis.of_senses import _one_off, paper_hypotheses
from packcheck.diagnosis.plan import Planner, _about, _overlapping
from packcheck.diagnosis.search import Search, observe
from packcheck.diagnosis.switched_network import Probe
from packcheck.diagnosis.worlds import Sight, World
from packcheck.model.record.entry import Entry


@pytest.mark.parametrize(("instrument", "value", "less"), [("V1", -0.4, "X1"), ("V2", 15.44, "")])
def test_under_load_counts_the_difference_only_where_one_meter_read_both(
    instrument: str, value: float, less: str
) -> None:
    """15.84 V at rest and 15.44 V at 20 A: a sag of 0.40 V of one meter; what two meters differ by is no sag."""
    rest = exactly(15.84)._replace(instrument="V1", low=15.83, high=15.85)
    loaded = exactly(15.44)._replace(instrument=instrument, low=15.43, high=15.45)

    def reading(name: str, entry: Entry, load_a: float) -> Any:
        return thing(words=("T01", "T00"), name=name, value_v=entry, load_a=load_a)

    first, second = observe(thing(readings=[reading("X1", rest, 0.0)], loaded=[reading("L1", loaded, 20.0)]))
    assert (first.value, first.probe.less) == (15.84, "")
    assert second.value == pytest.approx(value)
    assert second.probe.less == less
    assert second.half == pytest.approx(0.02 if less else 0.01)


def test_a_reading_may_be_a_copy_of_its_neighbour_but_nothing_is_no_copy_of_nothing() -> None:
    probes = [Probe(f"T{n}", f"T{n - 1}", "plug out", 0.0, f"X{n}", "V1") for n in range(1, 5)]
    found = [h.parts for h in paper_hypotheses(probes, [15.84, 15.84, 0.0, 0.0], ()) if h.kind == "reading copied"]
    assert found == [("X2",), ("X1",)]


def test_wires_one_pin_along_leave_the_last_or_the_first_without_one_and_two_are_an_exchange() -> None:
    taps = list(pack_of(stick_layout(4)).taps.values())[:3]
    one, two, three = (tap.node for tap in taps)
    names = [tap.name for tap in taps]
    (up,), (down,) = (list(_one_off(taps, step)) for step in (1, -1))
    assert dict(up.taps) == dict(zip(names, (two, three, ""), strict=True))
    assert dict(down.taps) == dict(zip(names, ("", one, two), strict=True))
    assert list(_one_off(taps[:2], 1)) == []


def planner(**blocks: float) -> Planner:
    told = record(vector(**blocks), TOTAL)
    return Planner(Search(Sight(told), observe(told)))


def test_a_load_is_made_for_the_highest_voltage_of_the_module_not_for_that_of_today() -> None:
    """7.92 V over 5 A are 1.6 Ω; the module may stand at 8.7 V, and twice 8.7 V × 5 A are 87 W."""
    asked = planner()._care(("load", "P07"))
    assert asked == "disconnect out; a resistor of 1.6 Ω, which draws about 5 A, made for 8.7 V and 87 W, for 5 s"
    assert planner()._care(("seen", "P07")) == ""


@pytest.mark.parametrize(
    ("plus", "minus", "volts", "dearer"), [("T01", "T00", 2 * V, False), ("T05", "T00", 10 * V, True)]
)
def test_a_voltage_above_60_v_costs_one_more_and_comes_with_care(
    plus: str, minus: str, volts: float, dearer: bool
) -> None:
    """A turned module's fits; 15.84 V are cheap, 79.2 V of class B are not.  One unit, and one more for each 200 V."""
    fits = diagnose(record(vector(X9=0.0), TOTAL - 2 * V)).fits
    step = planner()._voltage(Probe(plus, minus, "plug out"), "Read", fits)
    assert step.volts == pytest.approx(volts, abs=0.2)
    assert step.cost == pytest.approx(1 + volts / 200 + dearer, abs=0.002)
    assert ("gloves" in step.care) is dearer


@pytest.mark.parametrize("factor", [2.0, 0.5, -1.0])
def test_a_meter_that_shows_wrongly_does_so_with_what_is_left_open_too(factor: float) -> None:
    """Of 15.84 V it shows the factor, and of what the modules' own readings leave open the same share."""
    sight = Sight(record(vector(), TOTAL))
    probe = Probe("T01", "T00", "plug out", 0.0, "X1", "V1")
    wrong = World(sight, Hypothesis("meter shows wrongly", ("V1",), "", 1.0, meters={"V1": factor}))
    seen, of_another = wrong.written(probe, {}), wrong.written(probe._replace(instrument="V2"), {})
    assert of_another.volts == pytest.approx(2 * V)
    assert of_another.half > 2 * (0.002 + 0.0003 * V), "two modules, each read to 0.03 % + 2 mV"
    assert (seen.volts, seen.half) == pytest.approx((factor * of_another.volts, abs(factor) * of_another.half))


def test_of_twelve_strings_in_parallel_each_module_drives_a_twelfth() -> None:
    """However little it is: 48 modules, of each a twelfth of its voltage stands between the two bars."""
    pack = pack_of(rack_layout([4] * 12))
    told = record_of(clean_record(pack), pack)
    shares = Sight(told).view("plug in").driven_by("BP", "BN")
    assert len(shares) == 48
    assert list(shares.values()) == pytest.approx([1 / 12] * 48, rel=0.01)
    assert sum(shares.values()) == pytest.approx(4.0)


def blocks(layout: Data) -> list[list[str]]:
    pack = pack_of(layout)
    return [list(modules) for _, modules in _blocks(Sight(record_of(clean_record(pack), pack)))]


def test_a_block_is_what_stands_alone_between_two_neighbouring_taps_with_the_disconnect_in() -> None:
    """T2 and T3 lie on either side of the disconnect; of a group of two, neither member stands alone."""
    assert blocks(stick_layout(4)) == [["P1"], ["P2"], ["P3"], ["P4"], ["P3", "P4"]]
    assert {tuple(block) for block in blocks(grouped_layout(4, 2))} == {()}


def test_what_overlaps_one_of_a_group_is_not_told_from_any_of_it() -> None:
    """0 to 10 V holds 1 to 2 V and reaches over 3 to 4 V; 11 to 12 V is apart."""
    spans: Any = [(3.0, 4.0, "c", True), (0.0, 10.0, "a", True), (11.0, 12.0, "d", True), (1.0, 2.0, "b", True)]
    found: Any = [[span[2] for span in group] for group in _overlapping(spans)]
    assert found == [["a", "b", "c"], ["d"]]


@pytest.mark.parametrize(("low", "high", "joined", "words"), [
    (1.92, 2.08, True, "about 2.00 V"),  # within a tenth of a volt
    (1.8, 2.2, True, "1.80 V to 2.20 V"),
    (97.5, 102.5, True, "about 100.00 V"),  # within three in a hundred
    (96.0, 104.0, True, "96.00 V to 104.00 V"),
    (-8.0, -7.9, True, "about −7.95 V"),
    (-0.01, 0.01, False, "next to nothing, for nothing joins the two"),
])  # fmt: skip
def test_what_a_reading_would_show_is_told_as_one_number_where_it_is_as_good_as_one(
    low: float, high: float, joined: bool, words: str
) -> None:
    assert _about(low, high, joined) == words


def test_a_reading_that_does_not_fit_may_be_taken_again_whatever_the_explanations_say_of_it() -> None:
    asked = planner(X4=0.0)
    differing = [one.probe.reading for one in asked._search.observed if asked._differs(one.probe, [])]
    assert differing == ["X4"]
