"""Entries of a record as the intervals that facts hold: read, worked out from several, their difference."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from math import sqrt

from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Measured


def measured(entry: Entry | None, scale: float = 1.0) -> Measured | None:
    """Return an entry as a measured value, divided by ``scale``."""
    if entry is None:
        return None
    written = entry.written if scale == 1.0 else ""
    return Measured(entry.low / scale, entry.high / scale, entry.fit, entry.unfit_because, entry.instrument, written)


def worked_out(low: float, high: float, parts: Iterable[Measured | Entry]) -> Measured:
    """Return an interval worked out from several readings: fit only if all of them are."""
    unfit = next((part for part in parts if not part.fit), None)
    if unfit is None:
        return Measured(low, high)
    return Measured(low, high, False, unfit.unfit_because, unfit.instrument)


def half_of_difference(terms: Iterable[tuple[float, Entry]]) -> float:
    """Return the half width of Σ w_i x_i for readings x_i with weights w_i, in their unit.

    What grows with the reading is one scale error of the instrument, common to all that it reads: it counts once, on
    the instrument's own weighted sum.  What does not is independent from reading to reading and adds up in squares.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2 for what is independent and 5.2.2, note 1, for what is common (from memory).
    """
    squares = 0.0
    by_meter: dict[str, float] = defaultdict(float)
    share: dict[str, float] = defaultdict(float)
    for weight, entry in terms:
        squares += (weight * entry.own_half) ** 2
        by_meter[entry.instrument] += weight * entry.value
        share[entry.instrument] = max(share[entry.instrument], entry.share)
    return sqrt(squares) + sum(share[meter] * abs(total) for meter, total in by_meter.items())
