"""Bars of one metal: their resistance by size.

Resistivities at 20 °C in ohm·mm²/m: copper 1/58 as in IEC 60028, aluminium 0.0282 as in IEC 60889, the others as in
handbooks; all from memory.  Alloys of one name differ: brass by a third, steel by two.
"""

from __future__ import annotations

RESISTIVITY_OHM_MM2_PER_M = {"copper": 1 / 58, "aluminium": 0.0282, "brass": 0.065, "nickel": 0.07, "steel": 0.15}
"""Resistivity [ohm·mm²/m] of the metals that bars are made of, at 20 °C."""


def bar_ohm(metal: str, length_mm: float, area_mm2: float) -> float:
    """Return the resistance [ohm] along a bar of a metal, by its length [mm] and area [mm²]: R = rho · l / A.

    >>> round(bar_ohm("copper", 58.0, 100.0) * 1e6, 6)
    10.0
    """
    return RESISTIVITY_OHM_MM2_PER_M[metal] * length_mm / 1000 / area_mm2
