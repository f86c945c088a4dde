"""What the record predicts at every tap, block, half and between the ends, at rest and under the loads it tells of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise

from packcheck.diagnosis.search import Observed, observe
from packcheck.diagnosis.switched_network import GHOST_V, SMALL_V, Seen, View, ghost
from packcheck.diagnosis.worlds import Sight
from packcheck.model.record.model import Record
from packcheck.network.graph import network_of_layout
from packcheck.network.topology import Clusters, Forest, Step, spanning_forest

TAP, BLOCK, HALF, TOTAL = "tap", "block", "half", "total"
JOINING_OHM = 1.0
"""What joins two places so well that a meter sees none of it [ohm]: bars, leads, closed devices, and no resistor."""
_Ends = tuple[str, str]


@dataclass(frozen=True)
class Spot:
    """Somewhere a meter can be put: what is found there, and its two nodes."""

    what: str
    name: str
    plus: str
    minus: str


@dataclass(frozen=True)
class Foreseen:
    """What a spot shows by the record in one switching state and under one load, and what was read there, if it was."""

    spot: Spot
    state: str
    load_a: float
    seen: Seen
    read: Observed | None

    @property
    def fits(self) -> bool | None:
        """Return whether the reading lies within what was predicted; None where there is none, or nothing joined."""
        if self.read is None or not self.seen.joined:
            return None
        return abs(self.read.value - self.seen.volts) <= self.read.half + self.seen.half


def foresee(record: Record) -> tuple[Foreseen, ...]:
    """Return what the record predicts: of each spot in the least switching state that joins it, and where it was read.

    Under load it is predicted for each load that some reading of the record tells of, from the resistances recorded
    or stated, not from the other readings.
    """
    return tuple(_Foresight(record).everything())


class _Foresight:
    def __init__(self, record: Record) -> None:
        self.record, self.sight = record, Sight(record)
        states = record.pack.states
        self.states = sorted(states, key=lambda name: len(states[name].closed))
        self.read: dict[tuple[str, float, _Ends], Observed] = {}
        apart = replace(record, readings=())  # so that those under load count as read, and not as differences
        for one in (*observe(replace(record, loaded=())), *observe(apart)):
            if one.probe.state in states:
                plus, minus = (self.sight.node(word) for word in one.probe[:2])
                key = self.joint_ends(one.probe.state, plus, minus)
                self.read.setdefault((one.probe.state, one.probe.load_a, key), one)

    def everything(self) -> Iterator[Foreseen]:
        for spot in self.spots():
            least = next(
                (state for state in self.states if self.joins(state, spot)), self.states[0] if self.states else ""
            )
            for state in self.states:
                found = self.at(spot, state, 0.0)
                if found.read or state == least:
                    yield found
            for state, load_a in dict.fromkeys((r.value_v.state, r.load_a) for r in self.record.loaded):
                if state in self.record.pack.states and self.joins(state, spot):
                    yield self.at(spot, state, load_a)

    def at(self, spot: Spot, state: str, load_a: float) -> Foreseen:
        key = self.joint_ends(state, spot.plus, spot.minus)
        read = self.read.get((state, load_a, key))
        turned = self.read.get((state, load_a, key[::-1])) if read is None else None
        if turned is not None:
            read = Observed(turned.probe, -turned.value, turned.half)
        return Foreseen(spot, state, load_a, self.seen(spot, state, load_a), read)

    def seen(self, spot: Spot, state: str, load_a: float) -> Seen:
        view = self.sight.view(state)
        net = view.factored
        a, b = net.index[spot.plus], net.index[spot.minus]
        volts = net.potential[a] - net.potential[b]
        if net.island[a] != net.island[b]:
            return ghost(volts)
        half = self.half_v(spot, view) + SMALL_V
        if load_a and view.load is not None:
            by = net.between((net.index[view.load[0]], net.index[view.load[1]]))
            drop = load_a * (by[a] - by[b])
            volts, half = volts - drop, half + view.spread * abs(drop)
        return Seen(volts, half)

    def half_v(self, spot: Spot, view: View) -> float:
        """Return how far the modules between two nodes leave their voltage open [V]."""
        first, last = self._passed.get(spot.minus), self._passed.get(spot.plus)
        if first is not None and last is not None:
            return abs(self._halves[last] - self._halves[first])
        if id(view) not in self._forests:
            self._forests[id(view)] = spanning_forest(view.factored.edges)
        walk = self._forests[id(view)].walk(spot.minus, spot.plus) or ()
        return sum(self.sight.half_v[step.edge.name] for step in walk if step.edge.kind == "module")

    def joins(self, state: str, spot: Spot) -> bool:
        net = self.sight.view(state).factored
        return net.island[net.index[spot.plus]] == net.island[net.index[spot.minus]]

    def joint_ends(self, state: str, plus: str, minus: str) -> _Ends:
        """Return two nodes, each by the one that stands for all that is joined to it without a module."""
        if state not in self._joints:
            clusters = Clusters()
            for edge in self.sight.view(state).factored.edges:
                if edge.kind != "module" and edge.resistance_ohm < JOINING_OHM:
                    clusters.join(edge.start, edge.end)
            self._joints[state] = clusters
        return self._joints[state].find(plus), self._joints[state].find(minus)

    @cached_property
    def _joints(self) -> dict[str, Clusters]:
        return {}

    @cached_property
    def _forests(self) -> dict[int, Forest]:
        return {}

    @cached_property
    def _walk(self) -> Sequence[Step]:
        """Return the way through the pack as drawn, from main − to main +."""
        outside = self.record.pack.outside
        edges = network_of_layout(self.record.pack).all_closed()
        forest = spanning_forest(edges, roots=(outside["main-"],))
        return forest.walk(outside["main-"], outside["main+"]) or ()

    @cached_property
    def _passed(self) -> dict[str, int]:
        """Return for each node on the way how many modules come before it."""
        found, count = {self.record.pack.outside["main-"]: 0}, 0
        for edge, forward in self._walk:
            count += edge.kind == "module"
            found[edge.end if forward else edge.start] = count
        return found

    @cached_property
    def _halves(self) -> list[float]:
        """Return how far the first 0, 1, 2, ... modules of the way leave their voltage open [V]."""
        modules = [step.edge.name for step in self._walk if step.edge.kind == "module"]
        return list(accumulate((self.sight.half_v.get(name, GHOST_V) for name in modules), initial=0.0))

    def spots(self) -> Iterator[Spot]:
        """Yield taps against the first, neighbouring taps, what lies between disconnects, and all of it."""
        nodes = {name: self.sight.node(name) for name in self.record.pack.taps}
        taps = {name: node for name, node in nodes.items() if node in self.record.pack.nodes}
        first = next(iter(taps), "")
        yield from (Spot(TAP, f"{n} against {first}", node, taps[first]) for n, node in taps.items() if n != first)
        for (a, low), (b, high) in pairwise(taps.items()):
            one, other = self._passed.get(low), self._passed.get(high)
            if low != high and not (one is not None and one == other):
                yield Spot(BLOCK, f"{b} against {a}", high, low)
        runs = list(self._runs())
        if len(runs) > 1:
            yield from (Spot(HALF, f"{plus} against {minus}", plus, minus) for plus, minus in runs)
        if runs:
            plus, minus = runs[-1][0], runs[0][1]
            yield Spot(TOTAL, f"{plus} against {minus}", plus, minus)

    def _runs(self) -> Iterator[_Ends]:
        """Yield the plus and the minus end of each run of modules that no disconnect interrupts, as drawn."""
        devices, plus, minus = self.record.pack.devices, "", ""
        for edge, forward in self._walk:
            near, far = (edge.start, edge.end) if forward else (edge.end, edge.start)
            if edge.kind == "module":
                minus, plus = minus or near, far
            elif edge.name in devices and devices[edge.name].kind in ("service disconnect", "isolator") and plus:
                yield plus, minus
                plus = minus = ""
        if plus:
            yield plus, minus
