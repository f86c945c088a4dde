"""The next measurement: the one after which the fewest hypotheses are left, cheapest and lowest in voltage first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from packcheck.diagnosis.hypothesis import Test
from packcheck.diagnosis.search import Fit, Search
from packcheck.diagnosis.switched_network import Probe
from packcheck.diagnosis.worlds import World, least_state

CLASS_B_V = 60.0
"""Above this a voltage is of class B [V]: ISO 6469-3 (clause from memory)."""
COST_SHARE = 0.5
"""How many hypotheses left over one unit of cost is worth; common practice, no source."""
DEEPEST = 4
"""How many measurements one behind the other are planned."""
LOAD_A = 5.0
"""The load by which a module's sag is read [A]: millivolts for milliohms, and bearable for a resistor in the hand."""
METER_HALF_V, METER_SHARE = 0.005, 0.001
"""How far the meter of a measurement still to be made leaves it open [V, 1]; common practice."""

WORDS: dict[str, tuple[str, str, float]] = {
    "known source": ("Read a known source with {part}", "right", 1.0),
    "plug": ("Look whether {part} is plugged in", "in", 1.1),
    "tap": (
        "With the connector unplugged, read the resistance from the pin of {part} to its place",
        "an ohm or less",
        1.6,
    ),
    "seen": ("Look at {part}: what is fitted there", "as recorded", 1.8),
    "through": ("With nothing live on it, read the resistance through {part}", "as its state says", 2.0),
    "joint": ("Read the resistance of the joint {part}", "like its peers", 2.0),
    "label": ("Read the label of {part}; weigh and measure it", "as recorded", 2.2),
    "unplug": ("Unplug {part} and see which readings go", "its own", 3.0),
    "load": ("Draw a load across {part} alone and read its sag", "the usual sag", 4.0),
    "stand": ("Recharge {part} alone, let it stand 24 h, and read it again", "stays up", 6.0),
}
"""For each test other than a voltage: what is done, what it usually shows, what it costs beside a voltage at posts."""


@dataclass(frozen=True)
class Outcome:
    """One thing a measurement may show, which hypotheses are then left, and how to go on."""

    shows: str
    left: tuple[Fit, ...]
    then: Step | None = None


@dataclass(frozen=True)
class Step:
    """A measurement: what to do, with what care, and what may come out.  ``volts`` is the most it may show [V]."""

    do: str
    care: str
    outcomes: tuple[Outcome, ...]
    cost: float
    volts: float = 0.0

    @property
    def expected(self) -> float:
        """Return how many hypotheses are left on average [1], each taken as likely as the others."""
        return sum(len(o.left) ** 2 for o in self.outcomes) / sum(len(o.left) for o in self.outcomes)


class Planner:
    """Chooses measurements between the hypotheses of one search."""

    def __init__(self, search: Search) -> None:
        self._search, self._sight = search, search.sight
        self._worlds: dict[int, World] = {}
        self._state = least_state([one.probe.state for one in search.observed], search.sight)

    def plan(self, fits: Sequence[Fit], depth: int = DEEPEST) -> Step | None:
        """Return the best next measurement with what follows on it; None where none tells the hypotheses apart."""
        steps = [step for step in self._steps(fits) if len(step.outcomes) > 1]
        best = min(steps, key=lambda step: (step.expected + COST_SHARE * step.cost, step.cost), default=None)
        if best is None or depth <= 1:
            return best
        outcomes = [Outcome(o.shows, o.left, self.plan(o.left, depth - 1) if len(o.left) > 1 else None)
                    for o in best.outcomes]  # fmt: skip
        return Step(best.do, best.care, tuple(outcomes), best.cost, best.volts)

    def _steps(self, fits: Sequence[Fit]) -> Iterator[Step]:
        for probe, do in self._probes(fits):
            yield self._voltage(probe, do, fits)
        shorted = any(fit.hypothesis.put for fit in fits)
        for test in dict.fromkeys(test for fit in fits for test in fit.hypothesis.traits):
            if test[0] != "load" or not shorted:
                yield self._other(test, fits)

    def _probes(self, fits: Sequence[Fit]) -> Iterator[tuple[Probe, str]]:
        """Yield voltages that may be read in the least closed state, and readings that may be taken again."""
        pack, parts = self._sight.record.pack, {part for fit in fits for part in fit.hypothesis.parts}
        for name in (part for part in pack.positions if part in parts):
            position = pack.positions[name]
            probe = Probe(position.plus_place, position.minus_place, self._state)
            yield probe, f"Read {name} at its posts, {position.plus_place} against {position.minus_place}"
        on_paper = all(fit.hypothesis.on_paper for fit in fits)
        touched = {one.probe.reading for one in self._search.observed if self._differs(one.probe, fits)}
        for one in self._search.observed:
            probe = one.probe
            if probe.reading not in touched:
                continue
            plus, minus = (pack.node_of(word) or word for word in probe[:2])
            if probe.state == self._state or on_paper:
                yield probe, f"Prove the meter on a known source and read {probe.reading} again ({probe.state})"
            if {probe.plus, probe.minus} & pack.taps.keys():
                there = Probe(plus, minus, self._state)
                yield there, f"Read {plus} against {minus} at the posts themselves, not at the connector"

    def _differs(self, probe: Probe, fits: Sequence[Fit]) -> bool:
        """Return whether some hypothesis has a reading otherwise than the record has it."""
        i = next(i for i, one in enumerate(self._search.observed) if one.probe is probe)
        base = self._search.base[i]
        return any(abs(fit.predicted[i].volts - base.volts) > base.half for fit in fits) or i in self._search.misfits

    def _world(self, fit: Fit) -> World:
        return self._worlds.setdefault(id(fit), World(self._sight, fit.hypothesis))

    def _voltage(self, probe: Probe, do: str, fits: Sequence[Fit]) -> Step:
        spans = []
        for fit in fits:
            seen = self._world(fit).shows(probe)
            ends = sorted(seen.volts + seen.slope * size for size in fit.sizes)
            half = seen.half + METER_HALF_V + METER_SHARE * abs(seen.volts)
            spans.append((ends[0] - half, ends[1] + half, fit, seen.joined))
        outcomes, most = list[Outcome](), max(max(abs(s[0]), abs(s[1])) for s in spans)
        for group in _overlapping(spans):
            low, high = min(s[0] for s in group), max(s[1] for s in group)
            outcomes.append(Outcome(_about(low, high, any(s[3] for s in group)), tuple(s[2] for s in group)))
        care = f"it may show {most:.0f} V: gloves, in twos, nothing bare but the two places"
        cost = 1.0 + most / 200 + (1.0 if most > CLASS_B_V else 0.0)
        return Step(do, care if most > CLASS_B_V else "", tuple(outcomes), cost, most)

    def _other(self, test: Test, fits: Sequence[Fit]) -> Step:
        words, usual, cost = WORDS[test[0]]
        groups: dict[str, list[Fit]] = {}
        for fit in fits:
            groups.setdefault(fit.hypothesis.traits.get(test, usual), []).append(fit)
        outcomes = tuple(Outcome(shows, tuple(left)) for shows, left in groups.items())
        return Step(words.format(part=test[1]), self._care(test), outcomes, cost)

    def _care(self, test: Test) -> str:
        """Return what a load needs: a resistor of so many ohms that bears voltage and power."""
        edge = self._sight.modules.get(test[1])
        if test[0] != "load" or edge is None:
            return ""
        most = max(abs(edge.emf_v), self._sight.record.pack.module_type_at(test[1]).highest_v)
        ohm = f"{abs(edge.emf_v) / LOAD_A:.1f} Ω, which draws about {LOAD_A:g} A"
        return f"disconnect out; a resistor of {ohm}, made for {most:.1f} V and {most * LOAD_A * 2:.0f} W, for 5 s"


def _overlapping(spans: Sequence[tuple[float, float, Fit, bool]]) -> list[list[tuple[float, float, Fit, bool]]]:
    """Return intervals in groups that no reading tells apart: each overlaps another of its group."""
    groups: list[list[tuple[float, float, Fit, bool]]] = []
    highest = float("-inf")
    for span in sorted(spans, key=lambda s: s[:2]):
        if span[0] > highest:
            groups.append([])
        groups[-1].append(span)
        highest = max(highest, span[1])
    return groups


def _about(low: float, high: float, joined: bool) -> str:
    """Return in words what a reading between two bounds would be."""
    middle, half = (low + high) / 2, (high - low) / 2
    if not joined:
        return "next to nothing, for nothing joins the two"
    if half <= max(0.1, 0.03 * abs(middle)):
        return f"about {volts(middle)}"
    return f"{volts(low)} to {volts(high)}"


def volts(value: float) -> str:
    """Return a voltage [V] for people, to the hundredth."""
    return f"{value:.2f} V".replace("-", "−") if abs(value) >= 0.005 else "0.00 V"
