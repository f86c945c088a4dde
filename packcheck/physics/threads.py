"""Metric screw threads and the proof loads of the fasteners cut with them."""

from __future__ import annotations

from math import pi

COARSE_PITCH_MM = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0, "M8": 1.25, "M10": 1.5, "M12": 1.75}
"""Coarse pitch [mm] by thread size (ISO 261)."""


PROOF_STRESS_MPA = {
    "4.6": 225,
    "4.8": 310,
    "5.6": 280,
    "5.8": 380,
    "6.8": 440,
    "8.8": 580,
    "9.8": 650,
    "10.9": 830,
    "12.9": 970,
    "A2-70": 450,
    "A4-70": 450,
    "A4-80": 600,
}
"""Stress under proof load [MPa] by property class, for threads up to 16 mm; of stainless steel the 0.2 % proof stress.

ISO 898-1 (1999 layout), as reprinted in a fastener maker's table; stainless: ISO 3506-1:2009 table 2, from memory.
"""


def thread_diameter_mm(size: str) -> float | None:
    """Return the nominal diameter d [mm] of a coarse thread such as ``M6``; None for a size not in the table."""
    return float(size[1:]) if size in COARSE_PITCH_MM else None


def pitch_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    """Return the pitch diameter d2 = d - 0.6495 P [mm] from d and P [mm] (ISO 724, from memory)."""
    return diameter_mm - 0.649519 * pitch_mm


def stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Return the nominal stress area As = (π/4)(d - 0.9382 P)² [mm²] from d and P [mm] (ISO 898-1, 9.1.6)."""
    return pi / 4 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def coarse_stress_area_mm2(size: str) -> float | None:
    """Return the nominal stress area [mm²] of a coarse thread such as ``M6``; None for a size not in the table."""
    diameter = thread_diameter_mm(size)
    return None if diameter is None else stress_area_mm2(diameter, COARSE_PITCH_MM[size])


def proof_load_n(size: str, property_class: str) -> float | None:
    """Return the proof load Fp = As Sp [N] of a coarse thread in a property class; None for a row not in the tables.

    Printed tables round it: they agree within 1 % (ISO 898-1).

    >>> round(proof_load_n("M6", "8.8"))
    11672
    """
    area, stress = coarse_stress_area_mm2(size), PROOF_STRESS_MPA.get(property_class)
    return None if area is None or stress is None else area * stress
