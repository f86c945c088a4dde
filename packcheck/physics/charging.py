"""A capacitor behind a resistor: how its voltage rises when it is charged.

``V (1 - exp(-t / RC))``: the first-order circuit of any textbook, for a source without a
resistance of its own that would count beside R, and nothing else drawing from the capacitor.
"""

from __future__ import annotations

from math import exp


def time_constant_h(resistance_ohm: float, capacitance_uf: float) -> float:
    """Return R times C in hours [h], of ohm [Ω] and microfarad [µF].

    >>> round(time_constant_h(30.0, 1000.0) * 3600, 6)
    0.03
    """
    return resistance_ohm * capacitance_uf * 1e-6 / 3600


def charged_v(source_v: float, time_h: float, constant_h: float) -> float:
    """Return the voltage [V] of a capacitor a time [h] after it was put to a source [V] through the resistor.

    >>> round(charged_v(190.0, 0.09 / 3600, time_constant_h(30.0, 1000.0)), 1)
    180.5
    """
    return source_v * (1 - exp(-time_h / constant_h))


def band_v(source_v: float, time_h: float, constant_h: float, share: float) -> tuple[float, float]:
    """Return the least and most voltage [V] while charging, where R times C may be off.

    Parameters
    ----------
    source_v : what the source has [V].
    time_h : time since it was put on [h].
    constant_h : R times C as drawn [h].
    share : how far R times C may be off, as a share of itself, below 1.
    """
    slow, quick = constant_h * (1 + share), constant_h * (1 - share)
    return charged_v(source_v, time_h, slow), charged_v(source_v, time_h, quick)
