"""The numbers that modules are matched by, and those that an arrangement tells, each worked out by hand."""

from __future__ import annotations

from itertools import permutations
from statistics import fmean

import pytest
from workshop import Data, grouped_layout, pack_of, record_of, stick_layout

from packcheck.matching.answer import Arrangement, arrange
from packcheck.matching.placing import warmth_of

METERS = {"L1": {"kind": "load tester", "accuracy": "1 % + 0.1 mΩ", "due": "2027-01-01"},
          "C1": {"kind": "charger", "accuracy": "2 %", "due": "2027-01-01"}}  # fmt: skip
PAIRED = stick_layout(4) | {"taps": {"T0": "P1.B", "T1": "P2.B", "T2": "P4.B"}}
"""Two blocks of two sticks each."""


def arranged(layout: Data, shelf: Data | None = None, modules: Data | None = None, **asked: float) -> Arrangement:
    taken = {"at": "2026-10-01 09:00", "by": "MK", "with": {"resistance": "L1", "capacity": "C1"}}
    record: Data = {"record": 1, "layout": "layout.yaml", "people": {"MK": "tests"}, "instruments": METERS,
                    "of": {"name": layout["name"], "revision": 1, "pack": "SK-1"}}  # fmt: skip
    if shelf:
        record["shelf"] = {"taken": taken, **shelf}
    if modules:
        record["modules"] = {"taken": {**taken, "state": "loose"}, **modules}
    return arrange(record_of(record, pack_of(layout)), **asked)  # type: ignore[arg-type]


def sticks(*milliohms: float, **more: str) -> Data:
    return {f"M-{n}": {"resistance": f"{r} mΩ", **more} for n, r in enumerate(milliohms)}


def test_a_stick_gives_way_by_its_resistance_and_by_what_the_load_takes_from_it() -> None:
    """10 A over 9.5 mΩ are 95 mV; 10 A for 0.3 h are 3 Ah, half of 6 Ah, so half of the 0.9 V of the window: 450 mV.

    The load tester may be off by 0.1 mΩ, 1 mV, and by 1 % of 95 mV; the charger by 2 % of 450 mV.
    """
    found = arranged(stick_layout(4), sticks(9.5, 9.5, 9.5, 9.5, capacity="6 Ah"), load_a=10.0, hours_h=0.3)
    assert [(m.unit, m.size, m.proven) for m in found.matches] == [("V", 1, True)]
    for one in found.matches[0].together:
        assert one.total == pytest.approx(0.095 + 0.9 * 3 / 6)
        assert one.half == pytest.approx(0.001 + 0.01 * 0.095 + 0.02 * 0.45)


def test_where_no_load_is_told_it_is_the_one_that_empties_the_smallest_in_an_hour_for_a_tenth_of_one() -> None:
    """6 Ah: 6 A for 0.1 h; over 9.5 mΩ 57 mV, and of 6 Ah a tenth: 90 mV."""
    found = arranged(stick_layout(4), sticks(9.5, 9.5, 9.5, 9.5, capacity="6 Ah"))
    assert (found.duty.load_a, found.duty.hours_h) == (6.0, 0.1)
    assert found.matches[0].together[0].total == pytest.approx(0.057 + 0.09)


def test_members_of_a_group_without_capacities_add_up_what_they_conduct() -> None:
    """1/0.8 mΩ + 1/0.8 mΩ are 2500 S; each is off by 1 % of 1250 S, and by 0.1 mΩ / (0.8 mΩ)² = 156.25 S."""
    shelf = {f"M-{n}": {"resistance": "0.8 mΩ"} for n in range(8)}
    (match,) = arranged(grouped_layout(4, 2), shelf).matches
    assert (match.unit, match.size, match.alike_unit) == ("1/Ω", 2, "1/Ω")
    assert [one.total for one in match.together] == pytest.approx([2500.0] * 4)
    assert [one.half for one in match.together] == pytest.approx([2 * (12.5 + 156.25)] * 4)


def test_the_spread_at_random_is_the_mean_of_all_groupings_and_the_plan_has_the_least() -> None:
    """Sticks of 9, 9.1, 9.4 and 10 mΩ at 10 A: the pairs 9 + 10 and 9.1 + 9.4 lie 5 mV apart, the others 9 and 13."""
    values = (9.0, 9.1, 9.4, 10.0)
    (match,) = arranged(PAIRED, sticks(*values), load_a=10.0).matches
    every = [abs(a + b - c - d) / 100 for a, b, c, d in permutations(values)]
    assert match.spread * 1e3 == pytest.approx(5.0)
    assert match.random == pytest.approx(fmean(every), rel=0.1)
    assert match.hidden * 1e3 == pytest.approx(10.0), "9 mΩ beside 10 mΩ, which no tap tells apart"
    assert match.recorded is None


def row(serial: str, milliohms: float, **more: str) -> Data:
    return {"serial": serial, "resistance": f"{milliohms} mΩ", **more}


def test_modules_that_stand_in_the_pack_have_a_spread_as_recorded_and_so_many_moves() -> None:
    """As they stand 9 + 9.1 against 9.4 + 10 mΩ: 13 mV at 10 A.  Who does not stand where planned moves."""
    values = (9.0, 9.1, 9.4, 10.0)
    there = {f"P{n}": row(f"M-{n}", r) for n, r in enumerate(values, 1)}
    found = arranged(PAIRED, modules=there, load_a=10.0)
    assert found.matches[0].recorded == pytest.approx(0.013)
    stay = {f"P{n}" for n in range(1, 5) if found.plan[f"P{n}"] == f"M-{n}"}
    assert found.moves == 4 - len(stay)
    settled = {place: there[f"P{serial[2:]}"] for place, serial in found.plan.items()}
    again = arranged(PAIRED, modules=settled, load_a=10.0)
    assert (again.moves, again.plan) == (0, found.plan)
    assert again.matches[0].recorded == pytest.approx(found.matches[0].spread)


@pytest.mark.parametrize(("volts", "fitted"), [(7.4, False), (7.5, True), (8.4, True), (8.5, False)])
def test_a_module_that_rests_outside_its_window_is_left_out(volts: float, fitted: bool) -> None:
    """The window of the layout is 7.5 V to 8.4 V, its ends included."""
    shelf = sticks(9.0, 9.0, 9.0, 9.0)
    found = arranged(stick_layout(4), shelf, {"P1": row("M-9", 9.0, rest=f"{volts} V")})
    told = [(one.serial, one.why) for one in found.left_out]
    assert told == ([] if fitted else [("M-9", f"it rests at {volts} V, outside its window")])


def test_how_warm_a_position_sits_falls_from_the_middle_to_the_ends() -> None:
    """Four sticks 20 mm apart: 30 mm and 10 mm from the middle, so that the inner ones are two thirds warm."""
    assert list(warmth_of(pack_of(stick_layout(4))).values()) == pytest.approx([0, 2 / 3, 2 / 3, 0])


def test_what_heats_more_than_the_mean_by_resistance_or_by_loss_stands_outside() -> None:
    """All of 9 mΩ, two of which lost 20 mV and two 10 mV in a day: these stand in the two inner, warmer places."""
    shelf = {f"M-{n}": {"resistance": "9 mΩ", "lost": f"{20 if n in (1, 2) else 10} mV", "stood": "24 h"}
             for n in range(4)}  # fmt: skip
    found = arranged(stick_layout(4), shelf)
    assert {found.plan["P1"], found.plan["P4"]} == {"M-1", "M-2"}
    mixed = {
        name: {**told, "resistance": f"{9.4 if name in ('M-0', 'M-3') else 9.0} mΩ"} for name, told in shelf.items()
    }
    assert {arranged(stick_layout(4), mixed).plan[name] for name in ("P1", "P4")} == {"M-1", "M-2"}, (
        "a loss a third off the mean weighs more than a resistance two in a hundred off"
    )


@pytest.mark.parametrize(("lost", "kept"), [(81.9, True), (82.1, False)])
def test_what_a_module_may_lose_is_by_cell_and_day(lost: float, kept: bool) -> None:
    """Six cells that stood a day: 6 × (10 mV + 2 mV) + 10 mV = 82 mV."""
    shelf = sticks(9.0, 9.0, 9.0, 9.0) | {"M-9": {"resistance": "9 mΩ", "lost": f"{lost} mV", "stood": "24 h"}}
    assert [one.serial for one in arranged(stick_layout(4), shelf).left_out] == ([] if kept else ["M-9"])


def test_a_number_that_half_of_the_modules_have_is_not_asked_of_the_others() -> None:
    """Of four two have a capacity: that is no more than half, and nobody is left out for lacking one."""
    half = sticks(9.0, 9.0) | {f"N-{n}": {"resistance": "9 mΩ", "capacity": "6 Ah"} for n in range(2)}
    assert arranged(stick_layout(4), half).left_out == ()
    most = half | {"N-2": {"resistance": "9 mΩ", "capacity": "6 Ah"}}
    assert {one.serial for one in arranged(stick_layout(4), most).left_out} == {"M-0", "M-1"}


def test_pairs_are_known_to_be_the_best_although_not_every_grouping_was_looked_at() -> None:
    """Twenty sticks go into pairs in 654,729,075 ways; a matching of least weight is the best of all of them."""
    layout = stick_layout(20)
    layout["taps"] = {"T0": "P01.B"} | {f"T{n}": f"P{2 * n:02}.B" for n in range(1, 11)}
    found = arranged(layout, sticks(*(9 + n / 20 for n in range(20))))
    (match,) = found.matches
    assert (match.size, len(match.together), match.choices.all_seen, match.proven) == (2, 10, False, True)
