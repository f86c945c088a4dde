"""Metric screw threads and the strength of the fasteners cut with them: geometry and tables."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

COARSE_PITCH_MM = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0, "M8": 1.25, "M10": 1.5, "M12": 1.75}
"""Coarse pitch [mm] by thread size (ISO 261)."""


@dataclass(frozen=True)
class PropertyClass:
    """A fastener material: stress under proof load (0.2 % proof stress if stainless), least tensile strength [MPa].

    For threads up to 16 mm.  ``source`` names the table and how it was read.
    """

    name: str
    proof_stress_mpa: float
    tensile_strength_mpa: float
    source: str


_READ = "ISO 898-1 (1999 layout), as reprinted in a fastener maker's table"
_RECALLED = (
    "ISO 898-1 (1999 layout): proof stress as reprinted in a fastener maker's table, tensile strength from memory"
)
_STAINLESS = (
    "ISO 3506-1:2009 table 2 (edition from memory): tensile strength as reprinted in a fastener maker's table, "
    "proof stress from memory"
)

PROPERTY_CLASSES = {
    row.name: row
    for row in (
        PropertyClass("4.6", 225, 400, _RECALLED),
        PropertyClass("4.8", 310, 420, _READ),
        PropertyClass("5.6", 280, 500, _RECALLED),
        PropertyClass("5.8", 380, 520, _READ),
        PropertyClass("6.8", 440, 600, _RECALLED),
        PropertyClass("8.8", 580, 800, _READ),
        PropertyClass("9.8", 650, 900, _RECALLED),
        PropertyClass("10.9", 830, 1040, _READ),
        PropertyClass("12.9", 970, 1220, _READ),
        PropertyClass("A2-70", 450, 700, _STAINLESS),
        PropertyClass("A4-70", 450, 700, _STAINLESS),
        PropertyClass("A4-80", 600, 800, _STAINLESS),
    )
}
"""Proof stress and tensile strength by property class, for the thread sizes of ``COARSE_PITCH_MM``."""


def thread_diameter_mm(size: str) -> float | None:
    """Return the nominal diameter d [mm] of a coarse thread such as ``M6``; None for a size not in the table."""
    return float(size[1:]) if size in COARSE_PITCH_MM else None


def pitch_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    """Return the pitch diameter d2 = d - 0.6495 P [mm] from d and P [mm] (ISO 724, from memory)."""
    return diameter_mm - 0.649519 * pitch_mm


def root_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    """Return the root diameter d3 = d - 1.2269 P [mm] from d and P [mm] (ISO 724 with ISO 68-1, from memory)."""
    return diameter_mm - 1.226869 * pitch_mm


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
    area, row = coarse_stress_area_mm2(size), PROPERTY_CLASSES.get(property_class)
    return None if area is None or row is None else area * row.proof_stress_mpa


def tensile_load_n(size: str, property_class: str) -> float | None:
    """Return the least breaking load As Rm [N] of a coarse thread in a property class; None where not tabled."""
    area, row = coarse_stress_area_mm2(size), PROPERTY_CLASSES.get(property_class)
    return None if area is None or row is None else area * row.tensile_strength_mpa
