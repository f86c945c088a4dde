"""A. D. Stokes and W. T. Oppenlander, J. Phys. D: Appl. Phys., vol. 18, 1985: steady arcs in open air.

The fit as quoted by R. F. Ammerman et al., IEEE Trans. Ind. Appl., 2010, from memory.  Operating points: copied from a
validation note (250 V, 25 mm), solved by hand there, and from a figure script's inputs (250 V, 32 mm), recomputed.
"""

from __future__ import annotations

import pytest
from printed import assert_printed

from packcheck.physics.arc import (
    arc_operating_point,
    least_arc_current_a,
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
