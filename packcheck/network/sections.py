"""Sections while they grow: which parts are joined, and the voltage across each section, edge by edge.

Open-circuit voltages only: nothing is solved, so that a whole order of work costs little more than one look at each
edge.  They are exact as long as the members of each parallel group agree.  What solves them, state by state, is
``exposure/sections``; orders are looked for here, by the thousand, and told there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from packcheck.network.graph import Edge

Volts = tuple[float, float]
"""Voltage at rest and at the highest cell voltage [V]."""


class Span(NamedTuple):
    """A section's voltage [V] at rest and at the highest cell voltage, and how many modules it joins."""

    rest_v: float
    highest_v: float
    modules: int


class _Ends(NamedTuple):
    """Lowest and highest potential [V] of a section against its root, at rest and at highest."""

    low: Volts
    high: Volts
    modules: int


class Joined:
    """Sections that grow as edges are added; ``highest_v`` by module name gives the EMF at the end of charge [V]."""

    def __init__(self, highest_v: dict[str, float]) -> None:
        self._highest = highest_v
        self._parent: dict[str, str] = {}
        self._offset: dict[str, Volts] = {}
        self._ends: dict[str, _Ends] = {}
        self.largest = Span(0.0, 0.0, 0)

    def root(self, node: str) -> tuple[str, Volts]:
        """Return the root of a node's section and the node's potential [V] against it."""
        if node not in self._parent:
            self._parent[node], self._offset[node] = node, (0.0, 0.0)
            self._ends[node] = _Ends((0.0, 0.0), (0.0, 0.0), 0)
        parent = self._parent[node]
        if self._parent[parent] == parent:
            return parent, self._offset[node]
        path = []
        while self._parent[node] != node:
            path.append(node)
            node = self._parent[node]
        rest = highest = 0.0
        for below in reversed(path):
            own = self._offset[below]
            rest, highest = rest + own[0], highest + own[1]
            self._parent[below], self._offset[below] = node, (rest, highest)
        return node, (rest, highest)

    def span(self, node: str) -> Span:
        """Return the section that a node lies in."""
        return _span(self._ends[self.root(node)[0]])

    def copy(self) -> Joined:
        """Return another with the same sections."""
        other = Joined(self._highest)
        other._parent, other._offset, other._ends = dict(self._parent), dict(self._offset), dict(self._ends)
        other.largest = self.largest
        return other

    def ends_v(self, root: str) -> tuple[float, float]:
        """Return the lowest and highest potential [V] of a section against its root, at the highest cell voltage."""
        ends = self._ends[root]
        return ends.low[1], ends.high[1]

    def add(self, edge: Edge) -> Span:
        """Join the two ends of an edge and return the section they now lie in."""
        is_module = edge.kind == "module"
        emf = (edge.emf_v, self._highest.get(edge.part, edge.emf_v)) if is_module else (0.0, 0.0)
        (a, at_a), (b, at_b) = self.root(edge.start), self.root(edge.end)
        if a != b:
            if self._ends[a].modules < self._ends[b].modules:
                a, b, at_a, at_b, emf = b, a, at_b, at_a, (-emf[0], -emf[1])
            shift = (at_a[0] + emf[0] - at_b[0], at_a[1] + emf[1] - at_b[1])
            self._parent[b], self._offset[b] = a, shift
            self._ends[a] = _together(self._ends[a], self._ends.pop(b), shift)
        if is_module:
            self._ends[a] = self._ends[a]._replace(modules=self._ends[a].modules + 1)
        span = _span(self._ends[a])
        if span.highest_v > self.largest.highest_v:
            self.largest = span
        return span


def _together(one: _Ends, other: _Ends, shift: Volts) -> _Ends:
    low = (min(one.low[0], other.low[0] + shift[0]), min(one.low[1], other.low[1] + shift[1]))
    high = (max(one.high[0], other.high[0] + shift[0]), max(one.high[1], other.high[1] + shift[1]))
    return _Ends(low, high, one.modules + other.modules)


def _span(ends: _Ends) -> Span:
    return Span(ends.high[0] - ends.low[0], ends.high[1] - ends.low[1], ends.modules)


def least_sections(voltages_v: Sequence[float], limit_v: float) -> int:
    """Return the fewest runs that a row of modules can be cut into so that no run is above the limit [V].

    ``voltages_v`` are the modules' highest voltages in order.  Taking as many as fit from the left is best (derived:
    any other cut can be moved right without making more runs).  A module above the limit is a run of its own.

    Examples
    --------
    24 modules of 8.7 V: six of them are 52.2 V, seven 60.9 V.

    >>> least_sections([8.7] * 24, 60.0)
    4
    """
    runs, total = 0, 0.0
    for volts in voltages_v:
        if not runs or total + volts > limit_v + 1e-9:
            runs, total = runs + 1, 0.0
        total += volts
    return runs
