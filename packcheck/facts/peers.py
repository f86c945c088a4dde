"""Readings held against each other: what one meter has in common in them, and which one stands out among its like."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from math import inf, sqrt
from statistics import median
from typing import NamedTuple

from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Measured

SIGMA_PER_MAD = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation (1 / 0.67449, derived)."""


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
