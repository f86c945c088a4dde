"""Temperature probes: from a temperature to the resistance that a sound one has there, and the words for its kind.

Platinum: IEC 60751, clause 4.2 (coefficients read in a reprint), valid from -200 °C to 850 °C.  Thermistors: the
equation with one B, which the maker states; valid within some tens of kelvin of the reference at 25 °C.
"""

from __future__ import annotations

import re
from math import exp
from typing import NamedTuple

from packcheck.files.quantities import Dimension, QuantityProblem, parse_quantity

ABSOLUTE_ZERO_C = -273.15
REFERENCE_C = 25.0
PLATINUM_A, PLATINUM_B, PLATINUM_C = 3.9083e-3, -5.775e-7, -4.183e-12
"""Coefficients of IEC 60751 in 1/K, 1/K² and 1/K⁴."""
_THERMISTOR = re.compile(r"NTC (?P<ohm>\S.*?), B (?P<b>\d+(?:\.\d+)?) ?K$")
_PLATINUM = re.compile(r"Pt(?P<ohm>100|500|1000)$")


class Probe(NamedTuple):
    """A kind of probe: its resistance at the reference [ohm], and B [K] of a thermistor; 0 for platinum at 0 °C."""

    reference_ohm: float
    b_k: float = 0.0


def probe_named(words: str) -> Probe | None:
    """Return the probe that words mean; None where they do not tell enough of it.

    >>> probe_named("NTC 10 kΩ, B 3435 K")
    Probe(reference_ohm=10000.0, b_k=3435.0)
    >>> probe_named("Pt100"), probe_named("NTC 10 kΩ")
    (Probe(reference_ohm=100.0, b_k=0.0), None)
    """
    if match := _PLATINUM.match(words):
        return Probe(float(match["ohm"]))
    match = _THERMISTOR.match(words)
    if match is None or float(match["b"]) <= 0:
        return None
    try:
        ohm = float(parse_quantity(match["ohm"], Dimension.RESISTANCE))
    except QuantityProblem:
        return None
    return Probe(ohm, float(match["b"])) if ohm > 0 else None


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
