"""What flows when sources are joined in parallel: one of them onto all the others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

Interval = tuple[float, float]


class Surge(NamedTuple):
    """A source joined onto others: its voltage and theirs [V], its resistance and theirs [ohm], the current [A].

    Voltages are positive from − to +; the current is a magnitude.
    """

    volts_v: float
    rest_v: float
    own_ohm: float
    rest_ohm: float
    current_a: float


def greatest_surge(volts: Sequence[Interval], ohms: Sequence[float]) -> Surge | None:
    """Return the greatest current that ``surges_a`` gives [A], with the voltages [V] and resistances [ohm] behind it.

    ``volts`` and ``ohms`` as there; None for fewer than two sources.
    """
    highest = [high for _, high in surges_a(volts, ohms)]
    if not highest:
        return None
    index = max(range(len(highest)), key=highest.__getitem__)
    siemens = [1 / ohm for ohm in ohms]
    rest = sum(siemens) - siemens[index]
    ends = [sum(g * v[end] for i, (g, v) in enumerate(zip(siemens, volts, strict=True)) if i != index) / rest
            for end in (0, 1)]  # fmt: skip
    least, most = volts[index]
    above = most - ends[0] >= ends[1] - least
    return Surge(most if above else least, ends[0] if above else ends[1], ohms[index], 1 / rest, highest[index])


def surges_a(volts: Sequence[Interval], ohms: Sequence[float]) -> list[Interval]:
    """Return for each source the least and the greatest current [A] when it is joined onto the others.

    Parameters
    ----------
    volts : least and greatest open-circuit voltage of each source [V]; any sign.
    ohms : internal resistance of each source [ohm], greater than 0.

    Returns
    -------
    Magnitudes [A], 0 where the intervals leave it open whether any current flows; empty for fewer than two sources.

    Notes
    -----
    I = |V − V_rest| / (r + R_rest), where the others in parallel stand at V_rest = Σ(V_j / r_j) / Σ(1 / r_j) behind
    R_rest = 1 / Σ(1 / r_j) (Millman's theorem: Kuphaldt, Lessons in Electric Circuits, volume I, chapter 10).  Linear
    sources; bars and joints, which only lessen it, are left out.

    Examples
    --------
    One of three cells of 1 mΩ stands 30 mV low: 0.03 V / (1 mΩ + 0.5 mΩ) = 20 A.

    >>> [round(high, 9) for _, high in surges_a([(3.6, 3.6), (3.6, 3.6), (3.57, 3.57)], [0.001] * 3)]
    [10.0, 10.0, 20.0]
    """
    if len(volts) < 2:
        return []
    siemens = [1 / ohm for ohm in ohms]
    total = sum(siemens)
    low = sum(g * v[0] for g, v in zip(siemens, volts, strict=True))
    high = sum(g * v[1] for g, v in zip(siemens, volts, strict=True))
    found = []
    for g, (least, most) in zip(siemens, volts, strict=True):
        rest = total - g
        rest_low, rest_high = (low - g * least) / rest, (high - g * most) / rest
        ohm = 1 / g + 1 / rest
        found.append(
            (max(0.0, least - rest_high, rest_low - most) / ohm, max(most - rest_low, rest_high - least) / ohm)
        )
    return found
