"""Every hypothesis held against every reading: those that fit, those that do not and by which reading, and pairs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log

from packcheck.diagnosis.hypothesis import NOTHING, Hypothesis, pair_of
from packcheck.diagnosis.switched_network import Probe, Seen, drop_share, unstated
from packcheck.diagnosis.worlds import Sight, World
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Reading, Record

MOST_PAIRS = 40_000
"""How many pairs are solved at most; beyond it the answer says how many were left."""
MOVES = 1.0
"""A hypothesis moves a reading when it changes it by more than this share of its width."""
TWO_SIGMA = 2.0
"""Standard deviations in a half width: what instruments state is taken as 95 %; common practice."""


@dataclass(frozen=True)
class Observed:
    """One reading: where the meter was, what was written [V], how far its instrument leaves it open [V]."""

    probe: Probe
    value: float
    half: float


@dataclass(frozen=True)
class Fit:
    """A hypothesis and what it predicts for each reading; ``size`` is that of its free size, found from the readings.

    ``base`` is what the record predicts, ``changed`` what is otherwise in it, by number.  ``score`` is the smaller the
    better it fits and the less far-fetched it is; ``sizes`` what the size may lie between.
    """

    hypothesis: Hypothesis
    base: tuple[Seen, ...]
    changed: Mapping[int, Seen]
    score: float
    size: float = 0.0
    sizes: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def predicted(self) -> tuple[Seen, ...]:
        """Return what it predicts for each reading."""
        return tuple(self.changed.get(i, seen) for i, seen in enumerate(self.base))


@dataclass(frozen=True)
class Excluded:
    """A hypothesis that a reading excludes: by how many widths it misses, and what the reading would be [V]."""

    hypothesis: Hypothesis
    reading: str
    widths: float
    would_be_v: float = 0.0


def observe(record: Record) -> tuple[Observed, ...]:
    """Return the voltage readings of a record, in its order, those under a load last.

    One under a load whose places were read at rest too counts as the difference of the two: what the instrument has
    in common in both falls out.
    """
    found, at_rest = [], dict[tuple[str, str], Reading]()
    for reading in record.readings:
        at_rest.setdefault(reading.words, reading)
        found.append(Observed(_probe(reading), reading.value_v.value, _half(reading.value_v)))
    for reading in record.loaded:
        rest, entry = at_rest.get(reading.words), reading.value_v
        if rest is None or rest.value_v.instrument != entry.instrument:
            found.append(Observed(_probe(reading), entry.value, _half(entry)))
            continue
        value = entry.value - rest.value_v.value
        half = (entry.own_half + rest.value_v.own_half + entry.share * abs(value)) or unstated(value)
        found.append(Observed(_probe(reading)._replace(less=rest.name), value, half))
    return tuple(found)


def _half(entry: Entry) -> float:
    return (entry.high - entry.low) / 2 or unstated(entry.value)


def _probe(reading: Reading) -> Probe:
    entry = reading.value_v
    return Probe(*reading.words, entry.state, reading.load_a, reading.name, entry.instrument)


class Search:
    """All hypotheses about one record against all its readings."""

    def __init__(self, sight: Sight, observed: Sequence[Observed]) -> None:
        self.sight, self.observed = sight, observed
        self.probes = {one.probe.reading: one.probe for one in observed}
        self._set_drops()
        self.base = tuple(World(sight, NOTHING).written(one.probe, self.probes) for one in observed)
        self.misfits = [i for i, seen in enumerate(self.base) if not agrees(self.observed[i], seen)]
        self._misfit = frozenset(self.misfits)

    def _set_drops(self) -> None:
        """Scale the drops under load to what was read of them, where enough readings were taken under load."""
        drops = []
        for one in self.observed:
            if one.probe.load_a:
                view = self.sight.view(one.probe.state)
                plus, minus = (self.sight.node(word) for word in one.probe[:2])
                rest = 0.0 if one.probe.less else view.base(plus, minus).volts
                drops.append((view, plus, minus, one.probe.load_a, rest - one.value))
        share = drop_share(drops)
        for view, *_ in drops:
            view.drop_share = share

    def fit(self, hypothesis: Hypothesis) -> Fit | Excluded:
        """Return a hypothesis with its predictions, or the reading that excludes it."""
        world = World(self.sight, hypothesis)
        touched = None
        if not hypothesis.is_structural:
            touched = self.touched(hypothesis, world)
            for i in self.misfits:
                if touched is not None and i not in touched:
                    return _excluded(hypothesis, self.observed[i], self.base[i])
        free = hypothesis.free
        sizes = (free.low, free.high) if free else (0.0, 0.0)
        seen: dict[int, Seen] = {}
        for i in self._order(hypothesis, world, touched):
            one = self.observed[i]
            seen[i] = here = world.written(one.probe, self.probes)
            if here.slope:
                ends = sorted(((one.value - here.volts + by * (one.half + here.half)) / here.slope) for by in (-1, 1))
                sizes = max(sizes[0], ends[0]), min(sizes[1], ends[1])
                if sizes[0] > sizes[1]:
                    return _excluded(hypothesis, one, here)
            elif not agrees(one, here):
                return _excluded(hypothesis, one, here)
        return self._fitted(hypothesis, seen, *sizes)

    def _order(self, hypothesis: Hypothesis, world: World, touched: set[int] | None) -> Iterator[int]:
        """Yield the readings to look at: those that do not fit, then what else the hypothesis can change."""
        yield from self.misfits
        touched = self.touched(hypothesis, world) if hypothesis.is_structural else touched
        order = range(len(self.base)) if touched is None else sorted(touched)
        yield from (i for i in order if i not in self._misfit)

    def touched(self, hypothesis: Hypothesis, world: World) -> set[int] | None:
        """Return the readings that a hypothesis can change; None for all of them."""
        free = hypothesis.free
        if hypothesis.meters or (free and free.what == "scale"):
            return None
        if hypothesis.is_structural:
            return self._moved_by(hypothesis, world)
        modules = {*hypothesis.emf_by, *((free.part,) if free and free.what == "emf" else ())}
        found = {i for name in modules for i in self._index.get(name, ())}
        if free and free.what == "ohm":
            found |= {i for i, one in enumerate(self.observed) if one.probe.load_a}
        for name in (*hypothesis.taps, *hypothesis.slips):
            found |= self._index.get(name, set())
        return found

    def _moved_by(self, hypothesis: Hypothesis, world: World) -> set[int]:
        """Return the readings that parts taken out or put in move or part, and those that it takes more to tell."""
        found = set(self._unsettled)
        for name in (*hypothesis.taps, *hypothesis.slips, *hypothesis.emf_by):
            found |= self._index.get(name, set())
        if hypothesis.free:
            found |= self._index.get(hypothesis.free.part, set())
        for probe, places in self._places:
            updated = world.updated(self.sight.view(probe.state), probe)
            for ends, numbers in places.items():
                if updated.moves(ends):
                    found.update(numbers)
        return found

    @cached_property
    def _unsettled(self) -> frozenset[int]:
        """Return the readings under load, and those between parts that nothing joins: what joins them moves them."""
        return frozenset(i for i, one in enumerate(self.observed) if one.probe.load_a or not self.base[i].joined)

    @cached_property
    def _places(self) -> list[tuple[Probe, dict[tuple[int, int], list[int]]]]:
        """Return by state a probe of it, and the readings by the nodes they lie between, those unsettled left out."""
        found: dict[str, tuple[Probe, dict[tuple[int, int], list[int]]]] = {}
        for i, one in enumerate(self.observed):
            if i in self._unsettled:
                continue
            index = self.sight.view(one.probe.state).factored.index
            ends = (index[self.sight.node(one.probe.plus)], index[self.sight.node(one.probe.minus)])
            found.setdefault(one.probe.state, (one.probe, {}))[1].setdefault(ends, []).append(i)
        return list(found.values())

    @cached_property
    def _index(self) -> dict[str, set[int]]:
        """Return by module, tap and reading the readings that they have a part in."""
        found: dict[str, set[int]] = {}
        for i, one in enumerate(self.observed):
            plus, minus = (self.sight.node(word) for word in one.probe[:2])
            modules = self.sight.view(one.probe.state).driven_by(plus, minus)
            for name in (*modules, one.probe.plus, one.probe.minus, one.probe.reading):
                found.setdefault(name, set()).add(i)
        return found

    def _fitted(self, hypothesis: Hypothesis, seen: Mapping[int, Seen], low: float, high: float) -> Fit:
        size, weight = 0.0, 0.0
        sloping = [(self.observed[i], here) for i, here in seen.items() if here.slope]
        for one, here in sloping:
            size += here.slope * (one.value - here.volts) / (one.half + here.half) ** 2
            weight += here.slope**2 / (one.half + here.half) ** 2
        size = min(high, max(low, size / weight)) if weight else 0.0
        score = hypothesis.cost
        if hypothesis.free and weight:  # a size that could have been any counts for less than one foretold
            score += log(max(1.0, (hypothesis.free.high - hypothesis.free.low) / max(high - low, 1e-6)))
        moved = {i: here._replace(volts=here.volts + here.slope * size) if here.slope else here
                 for i, here in seen.items()}  # fmt: skip
        for i, here in moved.items():
            score += _unlikely(self.observed[i], here) - _unlikely(self.observed[i], self.base[i])
        return Fit(hypothesis, self.base, moved, score, size, (low, high))

    def pairs(self, singles: Sequence[Hypothesis]) -> Iterator[Hypothesis]:
        """Yield pairs that may explain the misfits: one moves the first of them, the other what it leaves."""
        moves = {id(h): self._moved(h) for h in singles}
        movers = Counter(i for h in singles for i in moves[id(h)])
        target = min(self.misfits, key=lambda i: movers[i], default=None)
        seen: set[tuple[int, int]] = set()
        for one in singles:
            if target is None or target not in moves[id(one)]:
                continue
            left = self._left_by(one)
            then = min(left, key=lambda i: movers[i], default=None)
            for other in singles:
                key = (min(id(one), id(other)), max(id(one), id(other)))
                if then in moves[id(other)] and key not in seen:
                    seen.add(key)
                    pair = pair_of(one, other)
                    if pair:
                        yield pair

    def _moved(self, hypothesis: Hypothesis) -> frozenset[int]:
        world, found = World(self.sight, hypothesis), []
        touched = self.touched(hypothesis, world)
        for i, (one, was) in enumerate(zip(self.observed, self.base, strict=True)):
            if touched is not None and i not in touched:
                continue
            here = world.written(one.probe, self.probes)
            if here.slope or abs(here.volts - was.volts) > MOVES * one.half or here.half > 2 * was.half:
                found.append(i)
        return frozenset(found)

    def _left_by(self, hypothesis: Hypothesis) -> list[int]:
        world = World(self.sight, hypothesis)
        left = []
        for i, one in enumerate(self.observed):
            here = world.written(one.probe, self.probes)
            if not here.slope and not agrees(one, here):
                left.append(i)
        return left or self.misfits


def _unlikely(one: Observed, seen: Seen) -> float:
    """Return how unlikely a reading is after a prediction: the negative logarithm of its density [1]."""
    half = one.half + seen.half
    return (TWO_SIGMA * (one.value - seen.volts) / half) ** 2 / 2 + log(half)


def _excluded(hypothesis: Hypothesis, one: Observed, seen: Seen) -> Excluded:
    return Excluded(hypothesis, one.probe.reading, widths(one, seen), seen.volts)


def agrees(one: Observed, seen: Seen) -> bool:
    """Return whether a reading agrees with a prediction, each within its width."""
    return abs(one.value - seen.volts) <= (one.half + seen.half) * (1 + 1e-9)


def widths(one: Observed, seen: Seen) -> float:
    """Return by how many widths a reading misses a prediction [1]."""
    return abs(one.value - seen.volts) / (one.half + seen.half)
