"""Nodal analysis by dense elimination: what stands between two nodes, what flows when two nodes are joined.

Kirchhoff's current law at each node, every conductance 1/R: Nilsson and Riedel, Electric Circuits, chapter 4
(node-voltage method), recalled from memory; each island has one node at 0 V.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

import numpy as np

from oracle.drawing import Part


class Circuit:
    """The potentials of a network with nothing connected outside."""

    def __init__(self, parts: Iterable[Part]) -> None:
        self.parts = list(parts)
        self.island: dict[str, str] = {}
        for part in self.parts:
            self._join(part.start, part.end)
        self.index = {node: number for number, node in enumerate(self.island)}

    def volts(self, plus: str, minus: str) -> float:
        """Return what a voltmeter shows [V]; 0 between islands, which its own resistance joins without a current."""
        if not self.joins(plus, minus):
            return 0.0
        return float(self._potential[self.index[plus]] - self._potential[self.index[minus]])

    def amperes(self, name: str) -> float:
        """Return the current through a part [A], positive from its start to its end."""
        part = next(part for part in self.parts if part.name == name)
        return (self.volts(part.start, part.end) + part.emf) / part.ohm

    def on_joining(self, plus: str, minus: str, ohm: float = 0.0) -> float:
        """Return what flows from ``plus`` to ``minus`` through a bridge of so many ohms [A]: Thévenin's theorem."""
        if not self.joins(plus, minus):
            return 0.0
        return self.volts(plus, minus) / (self.resistance(plus, minus) + ohm)

    def resistance(self, one: str, other: str) -> float:
        """Return the resistance seen between two nodes of one island, every EMF taken out [Ω]."""
        push = np.zeros(len(self.index))
        push[self.index[one]], push[self.index[other]] = 1.0, -1.0
        answer = self._solve(push)
        return float(answer[self.index[one]] - answer[self.index[other]])

    def transfer(self, plus: str, minus: str, start: str, end: str) -> float:
        """Return what stands between two nodes for each ampere drawn from ``start`` and given back at ``end`` [Ω]."""
        push = np.zeros(len(self.index))
        push[self.index[start]] -= 1.0
        push[self.index[end]] += 1.0
        answer = self._solve(push)
        return float(answer[self.index[plus]] - answer[self.index[minus]])

    @property
    def roots(self) -> list[str]:
        """Return one node of each island."""
        return sorted({self._root(node) for node in self.island})

    @cached_property
    def _potential(self) -> np.ndarray:
        push = np.zeros(len(self.index))
        for part in self.parts:
            push[self.index[part.end]] += part.emf / part.ohm
            push[self.index[part.start]] -= part.emf / part.ohm
        return self._solve(push)

    @cached_property
    def _matrix(self) -> np.ndarray:
        size = len(self.index)
        matrix = np.zeros((size, size))
        for part in self.parts:
            i, j, g = self.index[part.start], self.index[part.end], 1 / part.ohm
            matrix[i, i] += g
            matrix[j, j] += g
            matrix[i, j] -= g
            matrix[j, i] -= g
        for root in self.roots:
            matrix[self.index[root], self.index[root]] += 1.0
        return matrix

    def _solve(self, push: np.ndarray) -> np.ndarray:
        answer: np.ndarray = np.linalg.solve(self._matrix, push)
        return answer

    def _root(self, node: str) -> str:
        self.island.setdefault(node, node)
        while self.island[node] != node:
            node = self.island[node]
        return node

    def _join(self, one: str, other: str) -> None:
        self.island[self._root(one)] = self._root(other)

    def joins(self, one: str, other: str) -> bool:
        """Return whether two nodes are of one island."""
        return one in self.index and other in self.index and self._root(one) == self._root(other)
