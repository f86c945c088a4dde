"""A. D. Stokes and W. T. Oppenlander, J. Phys. D: Appl. Phys., vol. 18, 1985: steady arcs in open air.

Operating points: a public validation note (250 V, 25 mm), solved by hand there, and a public figure script's inputs
(250 V, 32 mm), recomputed.
"""

from __future__ import annotations

import pytest
from printed import assert_printed

from packcheck.physics.arc import (
    arc_operating_point,
    arc_voltage_v,
    least_arc_current_a,
    maximum_power_w,
)


@pytest.mark.parametrize(
    ("source_ohm", "gap_mm", "current_a", "arc_mohm", "voltage_v"),
    [(0.025, 25, "6196.255", "15.34695", "95.0936"), (0.015, 32, "9267.58", "11.9758", "110.986")],
)
def test_operating_point(source_ohm: float, gap_mm: float, current_a: str, arc_mohm: str, voltage_v: str) -> None:
    point = arc_operating_point(250, source_ohm, gap_mm)
    assert point is not None
    assert_printed(point.current_a, current_a)
    assert_printed(1e3 * point.resistance_ohm, arc_mohm)
    assert_printed(point.voltage_v, voltage_v)
    assert point.voltage_v == pytest.approx(250 - source_ohm * point.current_a, rel=1e-12)
    assert point.resistance_ohm == pytest.approx((20 + 0.534 * gap_mm) / point.current_a**0.88, rel=1e-12)
    assert not point.is_extrapolated


@pytest.mark.parametrize(("gap_mm", "least_a"), [(0, 10), (5, 11), (50, 20)])
def test_least_current(gap_mm: float, least_a: float) -> None:
    assert least_arc_current_a(gap_mm) == least_a


@pytest.mark.parametrize(
    ("modules", "gap_mm", "holds"), [(1, 1.0, False), (3, 1.0, False), (4, 1.0, True), (6, 1.0, True), (24, 10.0, True)]
)
def test_short_strings_of_modules(modules: int, gap_mm: float, holds: bool) -> None:
    """Modules of 7.92 V and 10 mΩ: derived from the fit far below its measured range, so marked as extrapolated."""
    point = arc_operating_point(7.92 * modules, 0.010 * modules, gap_mm)
    assert (point is not None) is holds
    if point is not None:
        assert point.is_extrapolated == (gap_mm < 5)
        assert point.power_w <= maximum_power_w(7.92 * modules, 0.010 * modules)


def test_six_modules_at_one_millimetre() -> None:
    """Derived: 47.5 V and 60 mΩ hold about 160 A and 6 kW."""
    point = arc_operating_point(47.52, 0.060, 1.0)
    assert point is not None
    assert point.current_a == pytest.approx(162, abs=2)
    assert point.power_w == pytest.approx(6.1e3, abs=100)
    assert arc_voltage_v(point.current_a, 1.0) == point.voltage_v
