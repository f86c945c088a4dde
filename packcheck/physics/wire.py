"""Round wires by gauge: their diameter, and the current at which one melts."""

from __future__ import annotations

from math import pi, sqrt


def gauge_diameter_mm(gauge: int) -> float:
    """Return the diameter of a solid wire of an American wire gauge [mm]; 0 to 40.

    d = 0.127 mm · 92^((36 − n)/39): 39 equal ratios from 36 AWG, 0.005 in, to 4/0, 0.46 in (ASTM B258).

    >>> round(gauge_diameter_mm(36), 3), round(gauge_diameter_mm(22), 3)
    (0.127, 0.644)
    """
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def diameter_of_area_mm(area_mm2: float) -> float:
    """Return the diameter of a solid round wire of an area [mm², mm]."""
    return sqrt(4 * area_mm2 / pi)


def fusing_current_a(diameter_mm: float) -> float:
    """Return the steady current at which a bare copper wire in air melts [A], by its diameter [mm].

    I = 10 244 d^1.5, d in inches (W. H. Preece, Proceedings of the Royal Society, 1884 to 1888; constant as quoted in
    handbooks).  Good to some tens of per cent; a strand melts a little earlier than a solid wire of its area.

    >>> round(fusing_current_a(0.0524 * 25.4), 1)
    122.9
    """
    return float(10_244 * (diameter_mm / 25.4) ** 1.5)
