"""One factorization of a network, and what it answers by itself: potentials, and potentials for a current fed in.

Every node is joined: islands hang on the first one by branches of 1 Ω that are there for the numbers alone
(``joiners``).  Junctions are taken out as in ``elimination``, by sums, products and quotients of positive conductances
only, and what takes them out is kept: a current fed in between any two nodes then costs one walk forth and back.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush

from packcheck.network.graph import Edge
from packcheck.network.topology import Clusters

JOINER_OHM = 1.0
"""Resistance of a branch that joins two islands for the numbers alone [ohm]; nothing depends on it."""


class Factored:
    """A network of edges between nodes, taken apart once; ``nodes`` adds those that no edge ends at."""

    def __init__(self, edges: Sequence[Edge], nodes: Iterable[str] = ()) -> None:
        self.edges = list(edges)
        named = [node for edge in self.edges for node in edge[:2]]
        self.index = {node: number for number, node in enumerate(dict.fromkeys([*named, *nodes]))}
        self.at = [(self.index[edge.start], self.index[edge.end]) for edge in self.edges]
        self.edge_index = {edge.name: number for number, edge in enumerate(self.edges)}
        clusters = Clusters()
        for edge in self.edges:
            clusters.join(edge.start, edge.end)
        self.island = [clusters.find(node) for node in self.index]
        self.joiners = {root: self.index[root] for root in dict.fromkeys(self.island[1:]) if root != self.island[0]}
        self._ground = self.index[self.island[0]] if self.index else 0
        self._take_apart()
        self._columns: dict[int, list[float]] = {}
        self._between: dict[tuple[int, int], array[float]] = {}
        self.potential = self._driven()

    def _take_apart(self) -> None:
        arms: list[dict[int, float]] = [{} for _ in self.index]
        for (start, end), edge in zip(self.at, self.edges, strict=True):
            if start != end:
                arms[start][end] = arms[end][start] = arms[start].get(end, 0.0) + 1 / edge.resistance_ohm
        for far in self.joiners.values():
            arms[self._ground][far] = arms[far][self._ground] = 1 / JOINER_OHM
        self._steps: list[tuple[int, float, list[tuple[int, float]]]] = []
        waiting = [(len(around), junction) for junction, around in enumerate(arms) if junction != self._ground]
        heapify(waiting)
        while waiting:
            degree, junction = heappop(waiting)
            if degree != len(arms[junction]) and arms[junction]:
                heappush(waiting, (len(arms[junction]), junction))
            elif arms[junction]:
                self._take_out(arms, junction)

    def _take_out(self, arms: list[dict[int, float]], junction: int) -> None:
        around = list(arms[junction].items())
        total = sum(conductance for _, conductance in around)
        shares = [(neighbour, conductance / total) for neighbour, conductance in around]
        self._steps.append((junction, total, shares))
        arms[junction] = {}
        for neighbour, _ in around:
            del arms[neighbour][junction]
        for number, (one, share) in enumerate(shares):
            for other, conductance in around[number + 1 :]:
                arms[one][other] = arms[other][one] = arms[one].get(other, 0.0) + share * conductance

    def _answer(self, fed: list[float]) -> list[float]:
        """Return the potentials [V] for the currents fed into each node [A]; the ground takes what is over."""
        for junction, _, shares in self._steps:
            if amperes := fed[junction]:
                for neighbour, share in shares:
                    fed[neighbour] += share * amperes
        fed[self._ground] = 0.0
        for junction, total, shares in reversed(self._steps):
            volts = fed[junction] / total
            for neighbour, share in shares:
                volts += share * fed[neighbour]
            fed[junction] = volts
        return fed

    def _driven(self) -> list[float]:
        fed = [0.0] * len(self.index)
        for (start, end), edge in zip(self.at, self.edges, strict=True):
            if edge.emf_v:
                fed[end] += edge.emf_v / edge.resistance_ohm
                fed[start] -= edge.emf_v / edge.resistance_ohm
        return self._answer(fed)

    def column(self, node: int) -> list[float]:
        """Return the potential of every node [V] for 1 A fed in at one and taken out at the ground; kept."""
        found = self._columns.get(node)
        if found is None:
            fed = [0.0] * len(self.index)
            if node != self._ground:
                fed[node] = 1.0
                fed = self._answer(fed)
            self._columns[node] = found = fed
        return found

    def between(self, ends: tuple[int, int]) -> array[float]:
        """Return the potential of every node [V] for 1 A through a pair of nodes; kept.

        Worked out for the pair itself, so that what lies beyond a small resistance keeps its digits.
        """
        found = self._between.get(ends)
        if found is None:
            fed = [0.0] * len(self.index)
            fed[ends[0]] += 1.0
            fed[ends[1]] -= 1.0
            self._between[ends] = found = array("d", self._answer(fed))
        return found

    def transfer_ohm(self, one: tuple[int, int], other: tuple[int, int]) -> float:
        """Return the voltage at one pair of nodes for 1 A through the other pair [ohm]; the same both ways."""
        near, far = self.column(one[0]), self.column(one[1])
        return (near[other[0]] - near[other[1]]) - (far[other[0]] - far[other[1]])
