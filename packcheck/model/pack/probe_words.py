"""The words in which a layout says of which kind a temperature probe is."""

from __future__ import annotations

import re

from packcheck.files.quantities import Dimension, QuantityProblem, parse_quantity
from packcheck.physics.probes import Probe

_THERMISTOR = re.compile(r"NTC (?P<ohm>\S.*?), B (?P<b>\d+(?:\.\d+)?) ?K$")
_PLATINUM = re.compile(r"Pt(?P<ohm>100|500|1000)$")


B_BETWEEN_K = (3000.0, 4500.0)
"""Where B lies of a thermistor of which it is not stated; common practice, no source."""


def probes_named(words: str) -> tuple[Probe, ...]:
    """Return the probe that words mean, or the two between which it lies where they leave B open; none else.

    >>> probes_named("NTC 10 kΩ")
    (Probe(reference_ohm=10000.0, b_k=3000.0), Probe(reference_ohm=10000.0, b_k=4500.0))
    """
    found = [probe_named(words)]
    if found == [None] and words.startswith("NTC"):
        found = [probe_named(f"{words.strip()}, B {b:g} K") for b in B_BETWEEN_K]
    return tuple(probe for probe in found if probe)


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
