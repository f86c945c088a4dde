"""Temperature probes: from a temperature to the resistance that a sound one has there.

Platinum: IEC 60751, clause 4.2 (coefficients read in a reprint), valid from -200 °C to 850 °C.  Thermistors: the
equation with one B, which the maker states; valid within some tens of kelvin of the reference at 25 °C.
"""

from __future__ import annotations

from math import exp
from typing import NamedTuple

ABSOLUTE_ZERO_C = -273.15
REFERENCE_C = 25.0
PLATINUM_A, PLATINUM_B, PLATINUM_C = 3.9083e-3, -5.775e-7, -4.183e-12
"""Coefficients of IEC 60751 in 1/K, 1/K² and 1/K⁴."""


class Probe(NamedTuple):
    """A kind of probe: its resistance at the reference [ohm], and B [K] of a thermistor; 0 for platinum at 0 °C."""

    reference_ohm: float
    b_k: float = 0.0


def probe_ohm(probe: Probe, at_c: float) -> float:
    """Return the resistance [ohm] of a probe at a temperature in °C."""
    if probe.b_k:
        kelvin, reference = at_c - ABSOLUTE_ZERO_C, REFERENCE_C - ABSOLUTE_ZERO_C
        return probe.reference_ohm * exp(probe.b_k * (1 / kelvin - 1 / reference))
    below = PLATINUM_C * (at_c - 100) * at_c**3 if at_c < 0 else 0.0
    return probe.reference_ohm * (1 + PLATINUM_A * at_c + PLATINUM_B * at_c**2 + below)


def probe_band_ohm(probe: Probe, low_c: float, high_c: float) -> tuple[float, float]:
    """Return the least and most [ohm] that a probe has between two temperatures in °C: both curves only rise or fall.

    >>> low, high = probe_band_ohm(Probe(100.0), 0.0, 100.0)
    >>> round(low, 2), round(high, 2)
    (100.0, 138.51)
    """
    ends = (probe_ohm(probe, low_c), probe_ohm(probe, high_c))
    return min(ends), max(ends)
