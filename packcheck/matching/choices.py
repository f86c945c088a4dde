"""The groupings that no other beats: none is evener and its members more alike and of fewer lots all at once.

What is weighed is what the cost of a grouping adds up: how far the sums lie apart, how unlike the members of one group
are, how many second lots there are.  Where all groupings can be looked at, these are all there are; of more, other
weights of the same three are tried, and what one of them finds is kept unless another one beats it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, pstdev
from typing import NamedTuple

from packcheck.matching.grouping import MOST_MATCHED, Group, Grouping, are_few, group, partitions

DIGITS = 9
"""Digits, of a standard deviation of one module, to which two groupings are alike."""
_WEIGHTS = ((1.0, 0.0), (1.0, 0.02), (1.0, 0.1), (1.0, 0.4), (0.4, 1.0), (0.1, 1.0), (0.02, 1.0), (0.001, 1.0))
_FEW_WEIGHTS = ((1.0, 0.0), (1.0, 0.4), (0.1, 1.0))
_LOTS = (0.0, 1.0, 100.0)
"""What is tried where there are too many groupings to look at each: even sums and like members; second lots."""


class Weighed(NamedTuple):
    """What modules are weighed by: one number each whose sums are to be even, one that is to be alike, and a lot."""

    values: Sequence[float]
    alike: Sequence[float]
    lots: Sequence[str]


@dataclass(frozen=True)
class Choice:
    """One grouping: standard deviation of its sums, that of members from their group's mean, number of second lots."""

    groups: tuple[Group, ...]
    uneven: float
    unlike: float
    lots: int

    def beats(self, other: Choice) -> bool:
        """Return whether this one is nowhere worse than another one, and somewhere better."""
        mine, its = (self.uneven, self.unlike, self.lots), (other.uneven, other.unlike, other.lots)
        return mine != its and all(a <= b for a, b in zip(mine, its, strict=True))


@dataclass(frozen=True)
class Choices:
    """The groupings that no other one of those looked at beats, the evenest first; ``all_seen``: every one was."""

    front: tuple[Choice, ...]
    all_seen: bool


def choices_of(size: int, weighed: Weighed, first: Grouping) -> Choices:
    """Return the groupings in groups of ``size`` that nothing beats; ``first`` is one that is looked at in any case."""
    count = len(weighed.values)
    measure = _Measure(size, weighed)
    if size == 1 or count == size:
        return Choices((measure.of(first.groups),), True)
    if are_few(count, size):
        return Choices(unbeaten(map(measure.of, partitions(tuple(range(count)), size))), True)
    tried = (measure.of(groups) for groups in (first.groups, *_tried(size, weighed, measure)))
    return Choices(unbeaten(tried), False)


def unbeaten(choices: Iterable[Choice]) -> tuple[Choice, ...]:
    """Return those that no other one beats, the evenest first; of equal ones the first."""
    front: list[Choice] = []
    for one in sorted(choices, key=lambda c: (c.uneven, c.unlike, c.lots, c.groups)):
        if not any(other.beats(one) or _same(other, one) for other in front):
            front.append(one)
    return tuple(front)


def _same(one: Choice, other: Choice) -> bool:
    return (one.uneven, one.unlike, one.lots) == (other.uneven, other.unlike, other.lots)


class _Measure:
    """Measures groupings; what a group adds is worked out once."""

    def __init__(self, size: int, weighed: Weighed) -> None:
        self.size, self.weighed = size, weighed
        self.target = fmean(weighed.values) * size
        self.scale, self.alike = pstdev(weighed.values) or 1.0, pstdev(weighed.alike) or 1.0
        self._known: dict[Group, tuple[float, float, int]] = {}

    def terms(self, one: Group) -> tuple[float, float, int]:
        """Return what one group adds: squares in standard deviations of one module, and its second lots."""
        if one not in self._known:
            values, alike, lots = self.weighed
            off = (sum(values[i] for i in one) - self.target) / self.scale
            middle = fmean(alike[i] for i in one)
            within = sum(((alike[i] - middle) / self.alike) ** 2 for i in one)
            self._known[one] = off * off, within, len({lots[i] for i in one}) - 1
        return self._known[one]

    def of(self, groups: tuple[Group, ...]) -> Choice:
        """Return a grouping with its three numbers, in the units of what is weighed."""
        off, within, lots = (sum(column) for column in zip(*map(self.terms, groups), strict=True))
        uneven = round(sqrt(off / len(groups)), DIGITS) * self.scale
        unlike = round(sqrt(within / len(self.weighed.values)), DIGITS) * self.alike
        return Choice(groups, uneven, unlike, int(lots))


def _tried(size: int, weighed: Weighed, measure: _Measure) -> Iterator[tuple[Group, ...]]:
    """Yield the best grouping by each of several weights."""
    count = len(weighed.values)
    several = len(set(weighed.lots)) > 1
    for even, like in _WEIGHTS if count <= MOST_MATCHED else _FEW_WEIGHTS:
        for lot in _LOTS if several and count <= MOST_MATCHED else _LOTS[:1]:

            def cost(one: Group, weights: tuple[float, float, float] = (even, like, lot)) -> float:
                terms = measure.terms(tuple(sorted(one)))
                return sum(weight * term for weight, term in zip(weights, terms, strict=True))

            yield group(count, size, cost, weighed.values, folds=like == lot == 0).groups
