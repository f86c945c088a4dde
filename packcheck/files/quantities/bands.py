"""What a quantity of a layout can be, and what it usually is: one table, by section and key.

Outside the possible band nothing of the kind exists, and the number is refused; outside the usual band it is said as
advice.  Between the two, a resistance beyond what is credible hides the current of a short: no pack is built from it.
All ends are common practice, no source, and generous: they find slips, they judge no design.  Networks of a textbook,
with sources of ohms and joints of nothing, can still be drawn and solved.
"""

from __future__ import annotations

from fractions import Fraction
from math import inf
from typing import NamedTuple

from packcheck.files.quantities.showing import format_quantity
from packcheck.files.quantities.units import Dimension


class Band(NamedTuple):
    """The least and most that is possible and usual, in the program's unit of the quantity.

    ``credible_most`` is the most that the currents worked out from it may still rest on.
    """

    least: float
    usual_least: float
    usual_most: float
    most: float
    credible_most: float = inf


BANDS: dict[tuple[str, str], Band] = {
    ("module types", "resistance"): Band(1e-7, 1e-4, 0.2, 1000.0, 2.0),
    ("module types", "nominal"): Band(0.5, 1.1, 400, 1500),
    ("module types", "highest"): Band(0.5, 1.3, 450, 1500),
    ("module types", "lowest"): Band(0.1, 0.8, 400, 1500),
    ("module types", "rest"): Band(0.3, 1.0, 420, 1500),
    ("module types", "capacity"): Band(0.05, 1, 1500, 20_000),
    ("module types", "size"): Band(0.5, 5, 1500, 5000),
    ("module types", "mass"): Band(1, 20, 200_000, 2_000_000),
    ("bar types", "resistance"): Band(1e-10, 5e-7, 2e-3, 1000.0, 0.05),
    ("bar types", "size"): Band(0.05, 0.2, 1500, 10_000),
    ("bars", "resistance"): Band(1e-10, 5e-7, 2e-3, 1000.0, 0.05),
    ("leads", "resistance"): Band(1e-10, 5e-7, 2e-2, 1000.0, 0.2),
    ("leads", "length"): Band(1, 20, 10_000, 100_000),
    ("joint types", "resistance"): Band(1e-10, 1e-6, 2e-3, 1000.0, 0.02),
    ("joint types", "torque"): Band(0.05, 0.3, 120, 500),
    ("joint types", "recheck"): Band(0.01, 0.25, 168, 2000),
    ("joint types", "nut factor"): Band(0.03, 0.08, 0.4, 1.0),
    ("devices", "rating"): Band(0.05, 1, 3000, 20_000),
    ("devices", "volts"): Band(1, 5, 3000, 10_000),
    ("devices", "breaks"): Band(1, 100, 300_000, 2_000_000),
    ("devices", "resistance"): Band(1e-10, 1e-6, 20_000, 1e9),
    ("fuse", "resistance"): Band(1e-10, 1e-6, 0.1, 1e4, 5.0),
    ("main contactor", "resistance"): Band(1e-10, 1e-6, 0.02, 1e4, 0.2),
    ("contactor", "resistance"): Band(1e-10, 1e-6, 0.1, 1e4, 1.0),
    ("service disconnect", "resistance"): Band(1e-10, 1e-6, 0.02, 1e4, 0.2),
    ("isolator", "resistance"): Band(1e-10, 1e-6, 0.02, 1e4, 0.2),
    ("shunt", "resistance"): Band(1e-10, 1e-6, 0.02, 1e4, 0.2),
    ("heater", "resistance"): Band(1e-3, 1, 2000, 1e6),
    ("isolation monitor", "resistance"): Band(100, 10_000, 1e8, 1e12),
    ("outlets", "rating"): Band(0.01, 0.5, 1000, 20_000),
    ("harness", "fuse"): Band(0.005, 0.05, 10, 60),
    ("surge", "at most"): Band(0.01, 0.5, 500, 20_000),
    ("clamp", "length"): Band(1, 20, 3000, 20_000),
    ("clamp", "torque"): Band(0.05, 0.3, 120, 500),
    ("parts", "largest"): Band(0.2, 1, 1500, 10_000),
    ("creepage", "distance"): Band(0.01, 0.1, 100, 1000),
    ("creepage", "impulse"): Band(10, 300, 12_000, 100_000),
    ("isolation", "at least"): Band(1, 50, 10_000, 1e7),
    ("isolation", "workshop floor"): Band(100, 10_000, 1e9, 1e12),
}
"""Bands by section or kind of device, and key, in the program's units: V, Ω, N·m, mm, A, Ah, g, h, Ω/V."""


class _Slip(NamedTuple):
    """By what a slip multiplies a value to what was meant, how it came about, and in which values it can be."""

    factor: float
    words: str
    least: float = 0.0
    most: float = inf


_SLIPS: dict[Dimension, tuple[_Slip, ...]] = {
    Dimension.RESISTANCE: (
        _Slip(1e-9, "M written for m", 1e6), _Slip(1e9, "m written for M", 0, 1), _Slip(1e-3, "a prefix too large"),
        _Slip(1e3, "a prefix too small"), _Slip(1e-6, "a prefix lost", 1), _Slip(1e6, "a prefix lost", 1),
        _Slip(1e6, "a prefix too much", 0, 1),
    ),
    Dimension.TORQUE: (
        _Slip(0.1129848290276167, "N·m written for lbf·in"), _Slip(1.3558179483314004, "N·m written for lbf·ft"),
        _Slip(8.850745767, "lbf·in written for N·m"), _Slip(0.01, "N·m written for N·cm"),
    ),
    Dimension.LENGTH: (
        _Slip(10, "mm written for cm"), _Slip(0.1, "cm written for mm"), _Slip(1000, "mm written for m"),
        _Slip(0.001, "m written for mm"), _Slip(25.4, "mm written for inches"),
    ),
}  # fmt: skip
_POINTS = (_Slip(0.1, "a decimal point"), _Slip(10, "a decimal point"), _Slip(0.01, "a decimal point"),
           _Slip(100, "a decimal point"), _Slip(0.001, "a decimal point or a prefix"),
           _Slip(1000, "a decimal point or a prefix"))  # fmt: skip


_CELL_OHM, _CELL_OHM_AH = {"lead-acid": 0.05}, {"lead-acid": 0.5}
_OTHER_CELL_OHM, _OTHER_CELL_OHM_AH = 0.3, 2.0
"""What no cell has more of, by chemistry: resistance [Ω], and resistance times capacity [Ω·Ah]."""
_DROP_V = 2.0
"""What no fuse, contact or shunt drops more of at its rated current [V]."""


def most_of_module_ohm(chemistry: str, cells: int, capacity_ah: float | None) -> float:
    """Return the resistance [ohm] beyond which no module of so many cells is believed.

    A starter battery of 12 V and 60 Ah: six cells of 0.5 Ω·Ah / 60 Ah.

    >>> round(most_of_module_ohm("lead-acid", 6, 60.0), 6)
    0.05
    """
    cell = _CELL_OHM.get(chemistry, _OTHER_CELL_OHM)
    if capacity_ah:
        cell = min(cell, _CELL_OHM_AH.get(chemistry, _OTHER_CELL_OHM_AH) / capacity_ah)
    return cells * cell


def most_of_device_ohm(rating_a: float | None) -> float:
    """Return the resistance [ohm] at which a fuse, a contact or a shunt would drop 2 V at its rating [A].

    >>> most_of_device_ohm(100.0)
    0.02
    """
    return _DROP_V / rating_a if rating_a else inf


def narrowed(band: Band, credible_most: float) -> Band:
    """Return a band that currents may be worked out from only up to a limit; half of it is the most that is usual."""
    most = min(band.credible_most, credible_most)
    if most == band.credible_most:
        return band
    return band._replace(credible_most=most, usual_most=min(band.usual_most, most / 2))


def band_of(section: str, key: str) -> Band | None:
    """Return what the quantity under a key of a section can be, or None where nothing is known of it."""
    return BANDS.get((section, key))


def likely_slip(value: float, band: Band, dimension: Dimension) -> str:
    """Return the slip of unit or point that brings a value into the usual band, in words; "" where none does.

    >>> likely_slip(10e6, BANDS["module types", "resistance"], Dimension.RESISTANCE)
    '10 mΩ, if M written for m is what happened'
    """
    for slip in (*_SLIPS.get(dimension, ()), *_POINTS):
        meant = value * slip.factor
        if slip.least <= value < slip.most and band.usual_least <= meant <= band.usual_most:
            slipped = slip.words if "point" not in slip.words else f"{slip.words} in the wrong place"
            return f"{format_quantity(meant, dimension.unit, 3)}, if {slipped} is what happened"
    return ""


def impossible(value: Fraction | float, band: Band) -> bool:
    """Return whether nothing of the kind has such a value."""
    return not band.least <= value <= band.most


def credible(value: Fraction | float, band: Band) -> bool:
    """Return whether currents may be worked out from such a value: a resistance beyond it hides a short."""
    return value <= band.credible_most


def unusual(value: Fraction | float, band: Band) -> bool:
    """Return whether few of the kind have such a value."""
    return not band.usual_least <= value <= band.usual_most
