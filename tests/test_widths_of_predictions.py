"""How far predictions and readings are left open, and by how much an explanation misses: each width added up by hand.

The pack of ``near_misses``: 24 modules of 7.92 V, each read with 0.03 % + 2 mV; blocks of two.
"""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import Any

import pytest
from by_hand import exactly, thing
from near_misses import TOTAL, U, V, record, vector
from workshop import clean_record, grouped_layout, pack_of, record_of

from packcheck.diagnosis.hypothesis import Free, Hypothesis, pair_of
from packcheck.diagnosis.of_modules import module_hypotheses
from packcheck.diagnosis.search import Excluded, Fit, Search, observe
from packcheck.diagnosis.switched_network import Probe, ghost
from packcheck.diagnosis.worlds import Sight, World

READ = 0.0003 * V + 0.002 + 0.005
"""What one module's own reading leaves open, and what it may have drifted by 5 mV since."""
BLOCK = 2 * READ + 0.001
METER = 0.0003 * U + 0.002
OUT, LIVE = "plug out", "live"


def searched(*, loaded: tuple[float, ...] = (), total: float | None = None, **blocks: float) -> Search:
    told = record(vector(**blocks), total, loaded=loaded)
    return Search(Sight(told), observe(told))


def test_a_reading_whose_instrument_states_nothing_is_off_by_half_a_percent_and_5_mv() -> None:
    reading: Any = thing(words=("T01", "T00"), name="X1", value_v=exactly(10.0), load_a=0.0)
    (one,) = observe(thing(readings=[reading], loaded=[]))
    assert one.half == pytest.approx(0.005 * 10 + 0.005)


def test_between_parts_that_nothing_joins_a_meter_shows_a_twentieth_of_what_the_cut_holds_at_most() -> None:
    assert ghost(-100.0).volts == 0.0
    assert ghost(-100.0).half == pytest.approx(0.05 * 100 + 0.2)


def test_a_module_that_nobody_read_may_rest_anywhere_in_its_window() -> None:
    told = record(vector(), TOTAL)
    window = told.pack.module_type_at("P07").rest_v
    assert window.low is not None
    assert window.high is not None
    unread = replace(told, modules={**told.modules, "P07": replace(told.modules["P07"], rest_v=None)})
    sight = Sight(unread)
    assert sight.half_v["P07"] == pytest.approx((window.high - window.low) / 2)
    assert sight.half_v["P08"] == pytest.approx(READ)
    assert sight.widest_share == pytest.approx(sight.half_v["P07"] / abs(sight.modules["P07"].emf_v))


@pytest.mark.parametrize(("all_read", "share"), [(True, 0.02), (False, 0.05)])
def test_a_drop_is_off_by_2_percent_where_every_resistance_was_read_and_by_5_where_not(
    all_read: bool, share: float
) -> None:
    told = record(vector(), TOTAL)
    if not all_read:
        told = replace(told, modules={**told.modules, "P07": replace(told.modules["P07"], resistance_ohm=None)})
    world = World(Sight(told), Hypothesis("", (), "", 0.0))
    rest, load = (world.shows(Probe("T01", "T00", LIVE, load_a)) for load_a in (0.0, 20.0))
    drop = rest.volts - load.volts
    assert drop == pytest.approx(20 * (0.020 + 0.00018), abs=1e-6), "two modules and the bar between them"
    assert load.half - rest.half == pytest.approx(share * drop)


def test_what_one_of_a_group_drives_otherwise_is_off_by_a_fifth_of_what_then_circulates() -> None:
    """Of two alike half of 8 V reaches the terminals and half circulates: 4 V, off by 0.2 × 4 V × 1/2 more."""
    pack = pack_of(grouped_layout(4, 2))
    sight = Sight(record_of(clean_record(pack), pack))
    probe = Probe("S1", "S-", OUT)
    before = World(sight, Hypothesis("", (), "", 0.0)).shows(probe)
    after = World(sight, Hypothesis("", (), "", 0.0, emf_by={"G1a": -8.0})).shows(probe)
    assert before.volts - after.volts == pytest.approx(4.0, rel=0.02)
    assert after.half - before.half == pytest.approx(0.2 * 4.0 * 0.5, rel=0.03)


def test_a_part_taken_out_leaves_what_is_read_past_it_as_open_as_the_least_certain_module() -> None:
    """A block with nothing done to it keeps the wider of its own width and its share; over a short amperes flow."""
    search = searched()
    sight, probe = search.sight, Probe("T03", "T02", OUT)
    away = World(sight, Hypothesis("", (), "", 0.0, out=("P20",))).shows(probe)
    assert away.volts == pytest.approx(U)
    assert away.half == pytest.approx(max(BLOCK, READ / V * U + 0.001))
    put = next(h for h in _every(sight) if h.kind == "module bridged" and h.parts == ("P05",))
    shorted = World(sight, replace(put, out=())).shows(probe)
    assert shorted.volts == pytest.approx(V, abs=0.25), "what the bar is over gives next to nothing"
    assert shorted.half == pytest.approx(BLOCK + 0.2 * (U - shorted.volts), abs=1e-4)


def _every(sight: Sight) -> list[Hypothesis]:
    return list(module_hypotheses(sight))


def test_a_weak_module_is_as_much_lower_as_the_block_says_give_or_take_both_widths() -> None:
    """A block of 13.84 V instead of 15.84 V: 2 V less, ± what the meter and the two modules leave open."""
    search = searched(X4=U - 2.0)
    weak = next(h for h in _every(search.sight) if h.kind == "module weak" and h.parts == ("P07",))
    assert weak.free == Free("emf", "P07", pytest.approx(-0.4 * V), pytest.approx(V / 4))  # type: ignore[arg-type]
    found = search.fit(weak)
    assert isinstance(found, Fit)
    assert found.size == pytest.approx(-2.0)
    width = BLOCK + 0.0003 * (U - 2.0) + 0.002
    assert found.sizes == pytest.approx((-2.0 - width, -2.0 + width), abs=1e-5)
    assert found.predicted[3].volts == pytest.approx(U - 2.0)
    free_v, unlikely = 0.4 * V + V / 4, (2 * 2.0 / width) ** 2 / 2  # a half width is two standard deviations
    assert found.score == pytest.approx(weak.cost + log(free_v / (2 * width)) - unlikely, rel=0, abs=0.05)


def test_two_readings_share_a_free_size_by_how_well_each_knows_it() -> None:
    """Block 4 is 2.000 V low and the total 2.010 V: what the total, forty times wider, adds moves it little."""
    search = searched(X4=U - 2.0, total=TOTAL - 2.01)
    found = search.fit(next(h for h in _every(search.sight) if h.kind == "module weak" and h.parts == ("P07",)))
    assert isinstance(found, Fit)
    widths = (BLOCK + 0.0003 * (U - 2.0) + 0.002, 24 * READ + 0.001 + 0.0003 * (TOTAL - 2.01) + 0.002)
    by = [1 / width**2 for width in widths]
    assert found.size == pytest.approx(-(2.0 * by[0] + 2.01 * by[1]) / sum(by), abs=1e-5)


def test_an_explanation_is_excluded_by_so_many_widths() -> None:
    """A module that gives nothing would leave 7.92 V of block 4, which shows 13.84 V."""
    search = searched(X4=U - 2.0)
    found = search.fit(next(h for h in _every(search.sight) if h.kind == "module flat" and h.parts == ("P07",)))
    assert isinstance(found, Excluded)
    assert found.reading == "X4"
    assert found.would_be_v == pytest.approx(V)
    assert found.widths == pytest.approx((U - 2.0 - V) / (0.0003 * (U - 2.0) + 0.002 + BLOCK), rel=1e-4)


def test_of_two_things_at_once_one_may_have_a_free_size_and_no_more() -> None:
    free = Free("emf", "P1", -1.0, 1.0)
    sized, plain = Hypothesis("", ("P1",), "", 1.0, free=free), Hypothesis("", ("P2",), "", 1.0)
    for one, other in ((sized, plain), (plain, sized)):
        both = pair_of(one, other)
        assert both is not None
        assert both.free == free
    assert pair_of(sized, replace(plain, free=free)) is None
