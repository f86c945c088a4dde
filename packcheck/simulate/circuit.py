"""Nodal analysis by taking nodes out one at a time: the potentials of a network of resistances and EMFs.

Kirchhoff's current law at a node with conductances g to its neighbours: taking the node out puts g_i g_j / sum(g)
between each two of them and hands its injected current on in proportion.  No term is negative, so nothing cancels.
Source: the star-mesh transform, Rosen 1924, and nodal analysis in any textbook of circuits; recalled from memory.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple


class Element(NamedTuple):
    """A resistance [ohm] between two nodes with an EMF [V] that drives current from ``start`` to ``end``."""

    name: str
    start: str
    end: str
    ohm: float
    emf_v: float = 0.0


@lru_cache(maxsize=32)
def circuit_of(elements: tuple[Element, ...]) -> Circuit:
    """Return the potentials of a network; builds that differ in nothing that conducts share one."""
    return Circuit(elements)


class Circuit:
    """The potentials of a network [V]; each part of it that hangs together has its own 0 V."""

    def __init__(self, elements: Iterable[Element], drawn_a: tuple[str, str, float] | None = None) -> None:
        """Solve the network; ``drawn_a`` is a current taken out at one node and put back in at another [A]."""
        self._conductance: dict[str, dict[str, float]] = {}
        self._injected: dict[str, float] = {}
        for element in elements:
            self._add(element)
        if drawn_a:
            out, back, amperes = drawn_a
            self._injected[out] = self._injected.get(out, 0.0) - amperes
            self._injected[back] = self._injected.get(back, 0.0) + amperes
        self.island: dict[str, str] = {}
        self._find_islands()
        self.potential_v = self._solve()

    def joined(self, one: str, other: str) -> bool:
        """Return whether two nodes hang together."""
        return one in self.island and self.island[one] == self.island.get(other)

    def volts(self, plus: str, minus: str) -> float | None:
        """Return the voltage of one node against another [V]; None where nothing joins them."""
        if not self.joined(plus, minus):
            return None
        return self.potential_v[plus] - self.potential_v[minus]

    def _add(self, element: Element) -> None:
        conductance = 1 / element.ohm
        for one, other in ((element.start, element.end), (element.end, element.start)):
            beside = self._conductance.setdefault(one, {})
            self._injected.setdefault(one, 0.0)
            if one != other:
                beside[other] = beside.get(other, 0.0) + conductance
        if element.start != element.end:
            self._injected[element.end] += element.emf_v * conductance
            self._injected[element.start] -= element.emf_v * conductance

    def _find_islands(self) -> None:
        for root in self._conductance:
            waiting = [] if root in self.island else [root]
            while waiting:
                node = waiting.pop()
                if node not in self.island:
                    self.island[node] = root
                    waiting += self._conductance[node]

    def _solve(self) -> dict[str, float]:
        beside = {node: dict(others) for node, others in self._conductance.items()}
        injected = dict(self._injected)
        queue = [(len(others), node) for node, others in beside.items()]
        heapq.heapify(queue)
        taken: list[tuple[str, float, float, dict[str, float]]] = []
        done: set[str] = set()
        while queue:
            degree, node = heapq.heappop(queue)
            if node in done:
                continue
            others = beside[node]
            if degree != len(others):
                heapq.heappush(queue, (len(others), node))
                continue
            done.add(node)
            total = sum(others.values())
            taken.append((node, injected[node], total, others))
            self._hand_on(beside, injected, node, total)
        potential: dict[str, float] = {}
        for node, current, total, others in reversed(taken):
            weighed = sum(g * potential[other] for other, g in others.items())
            potential[node] = (current + weighed) / total if total else 0.0
        return potential

    @staticmethod
    def _hand_on(beside: dict[str, dict[str, float]], injected: dict[str, float], node: str, total: float) -> None:
        others = beside[node]
        for other, g in others.items():
            del beside[other][node]
            injected[other] += injected[node] * g / total
        for (one, g_one), (other, g_other) in combinations(others.items(), 2):
            between = g_one * g_other / total
            beside[one][other] = beside[one].get(other, 0.0) + between
            beside[other][one] = beside[other].get(one, 0.0) + between
