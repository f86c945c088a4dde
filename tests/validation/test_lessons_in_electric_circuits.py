"""T. R. Kuphaldt, Lessons in Electric Circuits, volume I (DC), chapters 10 and 11.

Read in its published source; its address is ibiblio.org/kuphaldt/electricCircuits.
"""

from __future__ import annotations

import pytest
from printed import assert_all_printed, assert_printed, powers_w, solved

from packcheck.network.circuit import Branch, resistances_between
from packcheck.physics.arc import maximum_power_w, short_circuit_current_a

IDEAL = 1e-9


def test_chapter_10_two_batteries_and_a_load() -> None:
    parts = [Branch("-", "+", 4.0, 28.0), Branch("-", "+", 1.0, 7.0), Branch("+", "-", 2.0)]
    found = solved(parts)
    assert_all_printed(found.current, "5.0 -1.0 4.0")
    assert_all_printed([found.voltage("+", "-"), 4 * found.current[0], found.current[1]], "8.0 20.0 -1.0")
    assert_printed(1000 * resistances_between(parts, [("+", "-")])[0], "571.43")


def test_chapter_10_thevenin_and_norton() -> None:
    batteries = [Branch("-", "+", 4.0, 28.0), Branch("-", "+", 1.0, 7.0)]
    open_voltage = solved(batteries).voltage("+", "-")
    inner = resistances_between(batteries, [("+", "-")])[0]
    assert_all_printed([open_voltage, inner, open_voltage / inner], "11.2 0.8 14.0")


def test_chapter_10_node_voltage() -> None:
    parts = [
        Branch(0, 1, 2.0, 10.0),
        Branch(1, 0, 4.0),
        Branch(1, 2, 2.5),
        Branch(2, 0, 5.0),
        Branch(0, 2, 1.0, -4.0),
    ]
    found = solved(parts)
    assert_all_printed([found.voltage(1, 0), found.voltage(2, 0)], "3.8095 -1.5476")


def test_chapter_10_unbalanced_bridge() -> None:
    parts = [
        Branch(1, 2, 150.0),
        Branch(1, 3, 50.0),
        Branch(3, 2, 100.0),
        Branch(2, 0, 300.0),
        Branch(3, 0, 250.0),
        Branch(0, 1, IDEAL, 24.0),
    ]
    found = solved(parts)
    pairs = [(2, 0), (3, 0), (1, 2), (1, 3), (3, 2)]
    assert_all_printed([found.voltage(a, b) for a, b in pairs], "17.655 19.310 6.345 4.690 1.655")
    assert_printed(found.current[5], "0.136092")
    assert_all_printed([1e3 * i for i in found.current[:5]], "42.299 93.793 16.552 58.851 77.241")


def test_chapter_10_bridge_by_delta_and_star() -> None:
    parts = [
        Branch(1, 2, 12.0),
        Branch(1, 3, 18.0),
        Branch(2, 3, 6.0),
        Branch(2, 0, 18.0),
        Branch(3, 0, 12.0),
    ]
    assert_printed(resistances_between(parts, [(1, 0)])[0], "14.571")
    found = solved([*parts, Branch(0, 1, IDEAL, 10.0)])
    assert_printed(1e3 * found.current[5], "686.27")
    assert_all_printed([abs(i * b.resistance) for i, b in zip(found.current, parts, strict=False)],
                       "4.706 5.294 0.588 5.294 4.706")  # fmt: skip
    assert_all_printed([1e3 * abs(i) for i in found.current[:5]], "392.16 294.12 98.04 294.12 392.16")


def test_chapter_10_maximum_power_transfer() -> None:
    cases = [(0.8, "39.2", "39.2"), (0.5, "37.11", "59.38"), (1.1, "38.22", "27.80")]
    for load, load_w, source_w in cases:
        parts = [Branch("-", "+", 0.8, 11.2), Branch("+", "-", load)]
        assert_all_printed(reversed(powers_w(parts, solved(parts))), f"{load_w} {source_w}")
    assert_printed(maximum_power_w(11.2, 0.8), "39.2")


def test_chapter_10_maximum_power_transfer_voltages() -> None:
    for load, current_a, load_v in [(0.8, "7.0", "5.6"), (0.5, "8.615", "4.308"), (1.1, "5.895", "6.484")]:
        found = solved([Branch("-", "+", 0.8, 11.2), Branch("+", "-", load)])
        assert_all_printed([found.current[0], found.voltage("+", "-")], f"{current_a} {load_v}")


def test_chapter_11_battery_loaded_and_shorted() -> None:
    found = solved([Branch("-", "+", 0.2, 10.0), Branch("+", "-", 1.0)])
    assert_all_printed([found.current[0], found.voltage("+", "-")], "8.333 8.333")
    assert_printed(solved([Branch("-", "-", 0.2, 10.0)]).current[0], "50.0")
    assert_printed(short_circuit_current_a(10.0, 0.2), "50.0")


def test_chapter_11_cells_in_parallel_and_in_series() -> None:
    group = [Branch("-", "+", 0.2, 2.0)] * 5
    assert_all_printed([solved(group).voltage("+", "-"), resistances_between(group, [("-", "+")])[0]], "2.0 0.04")
    assert_printed(solved([Branch(k, k + 1, 0.2, 2.0) for k in range(6)]).voltage(6, 0), "12.0")


@pytest.mark.parametrize(
    ("inner_ohm", "emf_v", "loaded_v"),
    [(0.1, 13.2, "13.187"), (5.0, 13.0, "12.381"), (20.0, 11.5, "9.583"), (50.0, 7.5, "5.0")],
)
def test_chapter_11_battery_under_test_load(inner_ohm: float, emf_v: float, loaded_v: str) -> None:
    battery = Branch("-", "+", inner_ohm, emf_v)
    assert solved([battery]).voltage("+", "-") == emf_v
    assert_printed(solved([battery, Branch("+", "-", 100.0)]).voltage("+", "-"), loaded_v)
