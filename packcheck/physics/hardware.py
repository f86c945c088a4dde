"""Sizes of standard nuts, washers and screw heads: what a dropped part can bridge."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

SIZES = ("M3", "M4", "M5", "M6", "M8", "M10", "M12")

_HEX = (5.5, 7.0, 8.0, 10.0, 13.0, 16.0, 18.0)
_ROUND_TABLES = {
    "ISO 7089": ((7.0, 9.0, 10.0, 12.0, 16.0, 20.0, 24.0), (0.55, 0.9, 1.1, 1.8, 1.8, 2.2, 2.7)),
    "ISO 7093": ((9.0, 12.0, 15.0, 18.0, 24.0, 30.0, 37.0), (0.9, 1.1, 1.4, 1.8, 2.2, 2.7, 3.3)),
    "ISO 4161": ((None, None, 11.8, 14.2, 17.9, 21.8, 26.0), (None, None, 5.0, 6.0, 8.0, 10.0, 12.0)),
    "ISO 4762": ((5.68, 7.22, 8.72, 10.22, 13.27, 16.27, 18.27), (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)),
}
"""Height [mm] behind outer diameter [mm], by standard and size as in ``SIZES``.

bd_warehouse 0.4.0: ISO 7089 and ISO 7093, d2 and h, largest; ISO 4762, dk, largest with knurl, and k.  ISO 4161: dc and
m, largest, as in FreeCAD's fasteners workbench and bd_warehouse 0.4.0.
"""
_HEX_TABLES = {
    "ISO 4032": (_HEX, (2.4, 3.2, 4.7, 5.2, 6.8, 8.4, 10.8)),
    "ISO 4033": ((None, None, *_HEX[2:]), (None, None, 5.1, 5.7, 7.5, 9.3, 12.0)),
    "ISO 4035": (_HEX, (1.8, 2.2, 2.7, 3.2, 4.0, 5.0, 6.0)),
    "ISO 7040": ((None, None, *_HEX[2:]), (None, None, 6.8, 8.0, 9.5, 11.9, 14.9)),
    "ISO 4017": (_HEX, (2.2, 3.0, 3.74, 4.24, 5.54, 6.69, 7.79)),
}
"""Height [mm] behind width across flats [mm], by standard and size as in ``SIZES``.

bd_warehouse 0.4.0: ISO 4032 (BOLTS too) and ISO 4033, m and s; ISO 4017, s and k.  FreeCAD's fasteners workbench and
BOLTS: ISO 4035, m and s.  ISO 7040: h, largest, as in FreeCAD's fasteners workbench; M12 and s from memory.
"""
SCREWS = ("ISO 4762", "ISO 4017")
"""The standards of screws, whose length is no part of the size."""


@dataclass(frozen=True)
class StandardPart:
    """A loose part of joint hardware.

    ``across_mm`` is its greatest width [mm]: outer diameter, or across the corners of a sharp hexagon, 2/√3 times the
    width across flats (the tables' least e is up to 4 % smaller).  ``thickness_mm`` is its height along the thread,
    that of the head for a screw, and ``largest_mm`` the longest straight line inside the part [mm]: the widest gap it
    can bridge, lying askew.
    """

    across_mm: float
    thickness_mm: float
    largest_mm: float


def standard_part(standard: str, size: str, length_mm: float | None = None) -> StandardPart | None:
    """Return the dimensions of a standard part such as ``ISO 7089`` in ``M5``; None when it is not in the tables.

    ``length_mm`` is the nominal length [mm] of a screw; without one nothing is known of a screw.  Its longest line
    runs from the rim of the head to the far edge of the tip (derived).

    >>> standard_part("ISO 7089", "M5").across_mm
    10.0
    """
    if (standard in SCREWS) != (length_mm is not None):
        return None
    table = _HEX_TABLES.get(standard) or _ROUND_TABLES.get(standard)
    if table is None or size not in SIZES:
        return None
    across, thickness = (widths[SIZES.index(size)] for widths in table)
    if across is None or thickness is None:
        return None
    widest = across * 2 / sqrt(3) if standard in _HEX_TABLES else across
    if length_mm is None:
        return StandardPart(widest, thickness, hypot(widest, thickness))
    longest = hypot(thickness + length_mm, (widest + float(size[1:])) / 2)
    return StandardPart(widest, thickness, longest)
