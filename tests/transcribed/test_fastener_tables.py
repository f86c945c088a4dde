"""Dimensions of hardware in the tables of general fastener libraries: bd_warehouse 0.4.0, FreeCAD fasteners, BOLTS.

Rows as printed there.  ISO 4035 M10 is 16 mm across flats (bd_warehouse prints DIN 439's 17); ISO 7089's h is the
largest.
"""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from packcheck.physics.hardware import SCREWS, StandardPart, standard_part

SIZES = ("M5", "M6", "M8", "M10")
FLATS = {
    "ISO 4032": ((8, 10, 13, 16), (4.7, 5.2, 6.8, 8.4)),
    "ISO 4033": ((8, 10, 13, 16), (5.1, 5.7, 7.5, 9.3)),
    "ISO 4035": ((8, 10, 13, 16), (2.7, 3.2, 4, 5)),
    "ISO 7040": ((8, 10, 13, 16), (6.8, 8, 9.5, 11.9)),
}
ROUND = {
    "ISO 7089": ((10, 12, 16, 20), (1.1, 1.8, 1.8, 2.2)),
    "ISO 4161": ((11.8, 14.2, 17.9, 21.8), (5, 6, 8, 10)),
    "ISO 4762": ((8.72, 10.22, 13.27, 16.27), (5, 6, 8, 10)),
}
LEAST_ACROSS_CORNERS = (8.9, 11.05, 14.5, 17.9)


@pytest.mark.parametrize("standard", FLATS)
@pytest.mark.parametrize("place", range(4), ids=SIZES)
def test_hexagon(standard: str, place: int) -> None:
    part = standard_part(standard, SIZES[place])
    assert part is not None
    assert part.across_mm == pytest.approx(FLATS[standard][0][place] * 2 / sqrt(3))
    assert part.thickness_mm == FLATS[standard][1][place]
    assert LEAST_ACROSS_CORNERS[place] <= part.across_mm <= 1.06 * LEAST_ACROSS_CORNERS[place]
    assert part.largest_mm == pytest.approx(hypot(part.across_mm, part.thickness_mm))


def part_of(standard: str, size: str) -> StandardPart | None:
    return standard_part(standard, size, 20 if standard in SCREWS else None)


@pytest.mark.parametrize("standard", ROUND)
@pytest.mark.parametrize("place", range(4), ids=SIZES)
def test_round(standard: str, place: int) -> None:
    part = part_of(standard, SIZES[place])
    assert part is not None
    assert (part.across_mm, part.thickness_mm) == (ROUND[standard][0][place], ROUND[standard][1][place])


@pytest.mark.parametrize("place", range(4), ids=SIZES)
def test_hexagon_screw_head(place: int) -> None:
    part = part_of("ISO 4017", SIZES[place])
    assert part is not None
    assert part.across_mm == pytest.approx((8, 10, 13, 16)[place] * 2 / sqrt(3))


def test_parts_outside_the_tables_are_not_known() -> None:
    assert standard_part("ISO 7089", "M7") is None
    assert standard_part("ISO 4161", "M4") is None
    assert standard_part("DIN 0", "M5") is None
    assert standard_part("ISO 7089", "M5", 20) is None
    assert standard_part("ISO 4762", "M5") is None


def test_screw_is_longer_than_its_shank_and_head() -> None:
    screw = standard_part("ISO 4762", "M5", 20)
    assert screw is not None
    assert screw.largest_mm == pytest.approx(hypot(25, (8.72 + 5) / 2))
