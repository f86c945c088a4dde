"""Readings held against their like: the middle of those, their scatter, and how far one stands out."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from statistics import median
from typing import NamedTuple

from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Measured

SIGMA_PER_MAD = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation (1 / 0.67449, derived)."""


class Peers(NamedTuple):
    """What alike was read: how many of those asked for, the middle one, its bounds, and how far they scatter.

    ``scatter`` is a standard deviation.  Those not read may lie anywhere: they widen ``low`` and ``high``.
    """

    number: int
    asked: int
    middle: float | None
    scatter: float
    low: float
    high: float

    def distance(self, entry: Entry) -> Measured:
        """Return how far a reading is from the middle of its peers, never below 0."""
        far = max(abs(entry.value - self.low), abs(entry.value - self.high))
        near = max(0.0, entry.value - self.high, self.low - entry.value)
        half = entry.own_half + entry.share * (far if far < inf else 0.0)
        return Measured(max(0.0, near - half), far + half, entry.fit, entry.unfit_because, entry.instrument)


def peers_of(values: Sequence[float | None]) -> Peers:
    """Return the middle of what was read and its scatter, which one outlier in four does not move much.

    References
    ----------
    .. [1] P. J. Rousseeuw and C. Croux, "Alternatives to the median absolute deviation," J. Am. Stat. Assoc., vol. 88,
       pp. 1273-1283, 1993 (from memory).
    """
    read = [value for value in values if value is not None]
    if not read:
        return Peers(0, len(values), None, 0.0, -inf, inf)
    middle = median(read)
    scatter = SIGMA_PER_MAD * median(abs(value - middle) for value in read)
    unread = len(values) - len(read)
    low, high = median([*read, *[-inf] * unread]), median([*read, *[inf] * unread])
    return Peers(len(read), len(values), middle, scatter, low, high)


def cells_missing(short_v: float, cell_v: float) -> str:
    """Return in words how many cells a missing voltage [V] amounts to; "" where it is no whole number of them."""
    if cell_v <= 0 or short_v <= 0:
        return ""
    cells = round(short_v / cell_v)
    if cells < 1 or abs(short_v - cells * cell_v) > 0.2 * cell_v:
        return ""
    return f", about {cells} cell{'s' if cells > 1 else ''} of {cell_v:.2f} V"
