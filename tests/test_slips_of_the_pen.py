"""Slips of the pen and of the meter: which are thought of, and what would have been written down then."""

from __future__ import annotations

from functools import cache

import pytest
from near_misses import TOTAL, U, V, record, vector

from packcheck.diagnosis.answer import diagnose
from packcheck.diagnosis.hypothesis import Hypothesis
from packcheck.diagnosis.of_senses import digit_hypotheses, paper_hypotheses
from packcheck.diagnosis.search import observe
from packcheck.diagnosis.switched_network import Probe
from packcheck.diagnosis.worlds import Sight, World

FACTORS = (0.001, 0.01, 0.1, 10.0, 100.0, 1000.0)


def probe(number: int, plus: str = "T01", minus: str = "T00", instrument: str = "V1") -> Probe:
    return Probe(plus, minus, "plug out", 0.0, f"X{number}", instrument)


@cache
def sight() -> Sight:
    return Sight(record(vector(), TOTAL))


def slips(*values: float) -> list[Hypothesis]:
    probes = [probe(n) for n in range(1, len(values) + 1)]
    return list(paper_hypotheses(probes, values, ("T01", "T00")))


def of_kind(found: list[Hypothesis], kind: str) -> list[Hypothesis]:
    return [one for one in found if one.kind == kind]


def written(it: Hypothesis, number: int = 1) -> float:
    """Return what would have been written where block 1, 15.84 V, or the first module of it was read as X2."""
    probes = {"X1": probe(1), "X2": probe(2, "P01.A", "P01.B")}
    return World(sight(), it).written(probes[f"X{number}"], probes).volts


def test_a_sign_may_be_lost_and_a_decimal_point_be_up_to_three_places_off() -> None:
    found = slips(15.84, 7.92)
    assert [one.parts for one in of_kind(found, "sign or leads")] == [("X1",), ("X2",)]
    assert [written(one) for one in of_kind(found, "sign or leads")] == pytest.approx([-U, U])
    decimals = of_kind(found, "decimal slip")
    assert [written(one) for one in decimals[:6]] == pytest.approx([U * factor for factor in FACTORS])
    assert [written(one, 2) for one in decimals[6:]] == pytest.approx([V * factor for factor in FACTORS])


def test_of_a_reading_of_next_to_nothing_no_slip_is_thought_of() -> None:
    assert [one.parts for one in of_kind(slips(0.099, -0.1), "sign or leads")] == [("X2",)]


def test_a_copy_shows_what_the_other_reading_showed() -> None:
    found = of_kind(slips(7.92, 7.92), "reading copied")
    assert [one.parts for one in found] == [("X2",), ("X1",)]
    assert written(found[1]) == pytest.approx(V), "block 1 with what was read of its first module"
    assert written(found[0], 2) == pytest.approx(U)


@pytest.mark.parametrize(("at_taps", "others", "thought"), [(1, 2, False), (2, 1, True), (3, 0, False)])
def test_leads_turned_at_the_taps_alone_take_two_readings_there_and_one_elsewhere(
    at_taps: int, others: int, thought: bool
) -> None:
    """With all of them turned it is the meter; with one it is that reading."""
    probes = [probe(n) for n in range(at_taps)] + [probe(9 + n, "P01.A", "P01.B") for n in range(others)]
    found = of_kind(list(paper_hypotheses(probes, [5.0 + n for n in range(3)], ("T01", "T00"))),
                    "leads reversed at the taps")  # fmt: skip
    assert bool(found) is thought
    if found:
        assert found[0].parts == ("X0", "X1")
        assert {name: slip.factor for name, slip in found[0].slips.items()} == {"X0": -1.0, "X1": -1.0}


def test_a_meter_may_have_its_leads_turned_or_be_on_another_range_in_all_it_read() -> None:
    found = slips(15.84, 7.92)
    assert [written(one) for one in of_kind(found, "meter leads reversed")] == pytest.approx([-U])
    assert [written(one) for one in of_kind(found, "meter on another range")] == pytest.approx([U * f for f in FACTORS])
    (wrong,) = of_kind(found, "meter shows wrongly")
    seen = World(sight(), wrong).written(probe(1), {})
    assert (seen.volts, seen.slope) == pytest.approx((U, U)), "one more of it is as much again"
    assert wrong.free is not None
    assert (wrong.free.low, wrong.free.high) == (-0.5, 1.0), "half to twice what there is"


@pytest.mark.parametrize("sign", [1, -1])
def test_every_digit_may_be_another_one_and_two_neighbours_may_have_changed_places(sign: int) -> None:
    """15.84: four digits, nine others for each; 51.84, 18.54 over the point, 15.48.  With what was meant it fits."""
    found = list(digit_hypotheses(probe(1), sign * 15.84))
    meant = {one.says.rpartition(": ")[2]: one for one in found}
    exchanged = [text for text, one in meant.items() if one.kind == "two digits exchanged"]
    assert exchanged == ["51.84 V", "18.54 V", "15.48 V"]
    assert len(of_kind(found, "one digit otherwise")) == 4 * 9
    assert {"05.84 V", "95.84 V", "15.80 V", "15.94 V"} <= meant.keys()
    for text, one in meant.items():
        (slip,) = one.slips.values()
        assert sign * float(text.removesuffix(" V")) * slip.factor + slip.more_v == pytest.approx(sign * 15.84)
    assert [one.kind for one in digit_hypotheses(probe(1), 11.11)].count("two digits exchanged") == 0


def test_digits_are_thought_of_for_readings_that_do_not_fit_alone() -> None:
    """15.48 V written for 15.84 V: of the twelve blocks one does not fit, and its digits explain it."""
    found = diagnose(record(vector(X4=15.48), TOTAL))
    told = {one.hypothesis.says for one in found.fits}
    assert any("two digits of X4 have changed places: 15.84 V" in says for says in told)
    clean = diagnose(record(vector(), TOTAL))
    assert len(observe(record(vector(), TOTAL))) == 13
    assert found.tried[0] - clean.tried[0] == 4 * 9 + 3 - 4, "X4 and its two neighbours are no copies now"
