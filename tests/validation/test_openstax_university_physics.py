"""S. J. Ling, J. Sanny, W. Moebs et al., University Physics, volume 2, OpenStax, chapter 10 (direct-current circuits).

Read in the published source of the book (modules m58453, m58454, m58455, m58458); its address is
openstax.org/books/university-physics-volume-2.  Example numbers follow the order of the chapter.  Two
misprints are known: example 10.6's figure text says R1 = 3 Ω (figure and power sums: 1 Ω), and example 10.7 prints
10 + 30 + 10 Ω (figure, current and powers: 10 + 30 + 20 Ω).
"""

from __future__ import annotations

import pytest
from printed import assert_all_printed, assert_printed, powers_w, solved, sources_w

from packcheck.network.circuit import Branch, resistances_between

IDEAL = 1e-9


def test_section_10_3_worked_circuit() -> None:
    branches = [Branch("e", "b", 3, 24), Branch("b", "e", 3), Branch("b", "e", 7, -29)]
    found = solved(branches)
    assert found.current == [3, 5, -2]
    assert sum(powers_w(branches, found)) == sum(sources_w(branches, found)) == 130
    assert sources_w(branches, found)[2] == 58


def test_example_10_6() -> None:
    parts = [
        Branch("f", "g", 1.0, 0.50), Branch("g", "c", 2.0),
        Branch("f", "h", 5.0, 2.30), Branch("h", "i", 1.0), Branch("i", "c", 2.0),
        Branch("c", "f", 1.0, 0.60),
    ]  # fmt: skip
    found = solved(parts)
    assert_all_printed([found.current[0], found.current[2], found.current[5]], "0.20 0.30 0.50")
    loss = powers_w(parts, found)
    assert_all_printed([loss[0], loss[2], loss[5], loss[1], loss[3], loss[4]], "0.04 0.45 0.25 0.08 0.09 0.18")
    assert_printed(sum(loss), "1.09")
    supply = sources_w(parts, found)
    assert_all_printed([supply[0], supply[2], supply[5]], "0.10 0.69 0.30")


@pytest.mark.parametrize("reversed_loop", [False, True])
def test_example_10_7_opposed_sources(reversed_loop: bool) -> None:
    sign = -1 if reversed_loop else 1
    parts = [Branch("a", "b", 10.0, sign * 24.0), Branch("b", "c", 30.0), Branch("c", "a", 20.0, sign * -12.0)]
    found = solved(parts)
    assert_all_printed([sign * i for i in found.current], "0.20 0.20 0.20")
    assert_all_printed(powers_w(parts, found), "0.40 1.20 0.80")
    assert_all_printed([sources_w(parts, found)[0], sources_w(parts, found)[2]], "4.80 -2.40")


def test_check_your_understanding_of_example_10_7() -> None:
    parts = [Branch("a", "b", 10e3, 24.0), Branch("b", "a", 30e3, -12.0)]
    found = solved(parts)
    assert_printed(1e3 * found.current[0], "0.30")
    assert_printed(1e3 * sources_w(parts, found)[0], "7.20")
    assert sources_w(parts, found)[1] < 0


def test_problem_with_12_v_and_5_v_sources() -> None:
    parts = [
        Branch("T", "B", 4.0),
        Branch("B", "A", 3.0),
        Branch("C", "B", 2.0),
        Branch("T", "C", 2.0),
        Branch("C", "T", IDEAL, 5.0),
        Branch("A", "T", IDEAL, 12.0),
    ]
    found = solved(parts)
    assert_all_printed(found.current[:5], "1.5 2.0 0.5 2.5 2.0")
    assert_printed(sum(sources_w(parts, found)), "34")


@pytest.mark.parametrize(
    ("second_source_v", "currents_ma", "power_mw"),
    [(1.4, "0.6 0.4 0.2", "0.92"), (-1.4, "0.04 1.52 -1.48", "4.50")],
    ids=["as drawn", "one cell reversed"],
)
def test_problem_with_one_cell_reversed(second_source_v: float, currents_ma: str, power_mw: str) -> None:
    parts = [Branch("P", "Q", 2e3), Branch("Q", "P", 1e3, 1.6), Branch("Q", "P", 1e3, second_source_v)]
    found = solved(parts)
    assert_all_printed([1e3 * i for i in found.current], currents_ma)
    assert_printed(1e3 * sum(powers_w(parts, found)), power_mw)


def _weak_cell_string(weak_ohm: float) -> list[Branch]:
    cells = [Branch(k, k + 1, 0.0200, 1.58) for k in range(3)]
    return [*cells, Branch(3, 4, weak_ohm, 1.53), Branch(4, 0, 10.0)]


def test_problem_with_a_weak_cell_in_a_string() -> None:
    parts = _weak_cell_string(0.100)
    found = solved(parts)
    assert_printed(found.current[4], "0.617")
    assert_printed(powers_w(parts, found)[4], "3.81")


def test_problem_with_a_weak_cell_its_resistance_at_half_a_watt() -> None:
    """Printed: 18.0 Ω, so that 0.500 W lies between the powers at 17.95 and 18.05 Ω."""
    above, below = _weak_cell_string(17.95), _weak_cell_string(18.05)
    assert powers_w(below, solved(below))[4] < 0.500 < powers_w(above, solved(above))[4]


@pytest.mark.parametrize(
    ("inner_ohm", "load_ohm", "current_a", "terminal_v", "load_w"),
    [
        (0.100, 10.00, "1.188", "11.90", None),
        (0.100, 0.500, "20.00", "10.00", "200"),
        (0.500, 0.500, "12.00", "6.00", "72.00"),
    ],
)
def test_example_10_1(inner_ohm: float, load_ohm: float, current_a: str, terminal_v: str, load_w: str | None) -> None:
    """The book rounds 1.1881 A and 11.881 V (printed 11.90) step by step: two units of the last digit are allowed."""
    parts = [Branch("-", "+", inner_ohm, 12.00), Branch("+", "-", load_ohm)]
    found = solved(parts)
    assert_printed(found.current[1], current_a)
    assert_printed(found.voltage("+", "-"), terminal_v, units=2)
    if load_w is not None:
        assert_printed(powers_w(parts, found)[1], load_w)


def test_example_10_2_series() -> None:
    resistors = [20, 20, 20, 20, 10]
    parts = [Branch(k, k + 1, r) for k, r in enumerate(resistors)]
    assert resistances_between(parts, [(0, 5)]) == [90]
    found = solved([*parts, Branch(5, 0, IDEAL, 9)])
    assert_printed(found.current[0], "0.1")
    assert_all_printed([found.voltage(k, k + 1) for k in range(5)], "2.0 2.0 2.0 2.0 1.0")
    assert_printed(sum(powers_w(parts, found)), "0.9")


def test_example_10_3_parallel() -> None:
    parts = [Branch("a", "b", r) for r in (1.00, 2.00, 2.00)]
    assert_printed(resistances_between(parts, [("a", "b")])[0], "0.50")
    found = solved([*parts, Branch("b", "a", IDEAL, 3.00)])
    assert_all_printed(found.current, "3.00 1.50 1.50 6.00")
    assert_all_printed(powers_w(parts, found), "9.00 4.50 4.50")


def test_example_10_4_series_and_parallel() -> None:
    """The book rounds step by step: 5.10 Ω printed, 5.105 Ω exact."""
    parts = [Branch("a", "b", 1.00), Branch("b", "c", 6.00), Branch("b", "c", 13.00)]
    assert_printed(resistances_between(parts, [("a", "c")])[0], "5.10", units=1)
    found = solved([*parts, Branch("c", "a", IDEAL, 12.0)])
    assert_all_printed([found.current[0], found.voltage("a", "b")], "2.35 2.35")
    assert_all_printed([found.voltage("b", "c"), found.current[1]], "9.65 1.61")
    assert_printed(powers_w(parts, found)[1], "15.5")


def test_example_10_5_driven_by_2_a() -> None:
    parts = [Branch("a", "b", 10.00), Branch("b", "c", 10.00), Branch("c", "d", 10.00), Branch("c", "d", 10.00)]
    assert_printed(resistances_between(parts, [("a", "d")])[0], "25.00")
    found = solved(parts, {"a": 2.00, "d": -2.00})
    assert_printed(found.voltage("a", "d"), "50.00")
    assert_all_printed(powers_w(parts, found), "40 40 10 10")
    assert_printed(sum(powers_w(parts, found)), "100.00")


def test_chapter_problem_with_six_resistors() -> None:
    parts = [
        Branch("-", "a", 1.00, 30.00),
        Branch("a", "b", 9.00), Branch("a", "b", 18.00),
        Branch("b", "c", 10.00), Branch("b", "c", 10.00),
        Branch("c", "-", 8.00),
    ]  # fmt: skip
    assert_printed(resistances_between(parts[1:], [("a", "-")])[0] + 1.00, "20.00")
    found = solved(parts)
    assert_all_printed(found.current, "1.50 1.00 0.50 0.75 0.75 1.50")
    drops = [float(i) * float(b.resistance) for i, b in zip(found.current, parts, strict=True)]
    assert_all_printed(drops, "1.50 9.00 9.00 7.50 7.50 12.00")
    assert_all_printed(powers_w(parts, found), "2.25 9.00 4.50 5.625 5.625 18.00")
    assert_printed(sum(powers_w(parts, found)), "45.00")


@pytest.mark.parametrize("count", [1, 2, 7, 30])
def test_section_10_3_sources_in_series_add(count: int) -> None:
    parts = [Branch(k, k + 1, 0.1 * (k + 1), 2.0) for k in range(count)]
    found = solved(parts, {0: -1.0, count: 1.0})
    inner = sum(0.1 * (k + 1) for k in range(count))
    assert found.voltage(count, 0) == pytest.approx(2.0 * count + inner, rel=1e-14)


@pytest.mark.parametrize("count", [1, 2, 7, 30])
def test_section_10_3_equal_sources_in_parallel(count: int) -> None:
    parts = [Branch("-", "+", 0.1 * (k + 1), 2.0) for k in range(count)]
    inner = 1 / sum(1 / (0.1 * (k + 1)) for k in range(count))
    assert solved(parts).current == [0.0] * count
    assert solved(parts, {"+": -1.0, "-": 1.0}).voltage("+", "-") == pytest.approx(2.0 - inner, rel=1e-14)


def test_section_10_6_problem_short_circuit() -> None:
    parts = [Branch("clamp", "clamp", 0.100, 12.0)]
    assert_printed(powers_w(parts, solved(parts))[0] / 1000, "1.44")
