"""Wire gauges and the current that melts a copper wire.

ASTM B258: 36 AWG is 0.005 in, 4/0 AWG 0.46 in, with 39 equal ratios between them.  W. H. Preece's rule, copper, I =
10 244 d^1.5 with d in inches, and the worked example of 0.0524 in, 123 A (physicsforums.com, thread 364495).
"""

from __future__ import annotations

import pytest

from packcheck.physics.conductors import diameter_of_area_mm, fusing_current_a, gauge_diameter_mm


def test_anchors_of_the_gauge() -> None:
    assert gauge_diameter_mm(36) == pytest.approx(0.005 * 25.4)
    assert gauge_diameter_mm(-3) == pytest.approx(0.46 * 25.4)
    assert gauge_diameter_mm(12) == pytest.approx(2.053, abs=5e-4)


def test_worked_example_of_preece() -> None:
    assert fusing_current_a(0.0524 * 25.4) == pytest.approx(122.88, abs=0.01)


def test_a_wire_by_area_is_as_thick_as_one_by_gauge() -> None:
    """22 AWG is 0.326 mm² (ASTM B258 table, from memory)."""
    assert diameter_of_area_mm(0.326) == pytest.approx(gauge_diameter_mm(22), rel=2e-3)
