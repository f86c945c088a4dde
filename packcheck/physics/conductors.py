"""Bars and wires by their size: resistance, diameter, the current at which one melts.

Resistivities at 20 °C in ohm·mm²/m: copper 1/58 as in IEC 60028, aluminium 0.0282 as in IEC 60889, the others as in
handbooks; all from memory.  Alloys of one name differ: brass by a third, steel by two.
"""

from __future__ import annotations

from math import pi, sqrt

RESISTIVITY_OHM_MM2_PER_M = {"copper": 1 / 58, "aluminium": 0.0282, "brass": 0.065, "nickel": 0.07, "steel": 0.15}
"""Resistivity [ohm·mm²/m] of the metals that bars are made of, at 20 °C."""


def bar_ohm(metal: str, length_mm: float, area_mm2: float) -> float:
    """Return the resistance [ohm] along a bar of a metal, by its length [mm] and area [mm²]: R = rho · l / A.

    >>> round(bar_ohm("copper", 58.0, 100.0) * 1e6, 6)
    10.0
    """
    return RESISTIVITY_OHM_MM2_PER_M[metal] * length_mm / 1000 / area_mm2


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
