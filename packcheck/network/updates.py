"""A factored network after a few changes: branches taken out, put in, or driven otherwise.

The identity of Sherman, Morrison and Woodbury in the words of circuits [1]_: a branch that is gone is one past which a
current is fed that cancels its own; a branch put in takes a current out.  As many equations as changes are solved, and
the factorization is not touched.  Where the equations leave a current free, the changes have cut the network: the
voltages that the free current would move are voltages between parts that nothing joins.

References
----------
.. [1] W. W. Hager, "Updating the inverse of a matrix," SIAM Review, vol. 31, pp. 221-239, 1989 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from math import sqrt
from operator import mul
from typing import NamedTuple

from packcheck.network.factored import JOINER_OHM, Factored

SINGULAR = 1e-11
"""Pivots below this, each change scaled by its resistance, are none: what they stand for is cut off."""
UNMOVED_V = 1e-7
"""A voltage that all changes together move by no more than this [V] is not moved."""
MOVED = 1e-6
"""A voltage that a free current moves by less than this share of the largest it could is not moved."""


class Put(NamedTuple):
    """A branch put in: from ``start`` to ``end``, with its resistance [ohm]."""

    start: str
    end: str
    ohm: float


class _Port(NamedTuple):
    ends: tuple[int, int]
    root_ohm: float
    sign: float
    drive_v: float


class Updated:
    """A factored network with changes; ``emf_by`` is what each edge drives more than before, by name [V].

    ``fed_a`` is drawn from ``load[0]`` and given back at ``load[1]``.  ``broken``: that current finds no way.
    """

    def __init__(
        self,
        factored: Factored,
        out: Iterable[str] = (),
        put: Sequence[Put] = (),
        emf_by: Mapping[str, float] | None = None,
        load: tuple[str, str] | None = None,
        fed_a: float = 0.0,
    ) -> None:
        self._net = factored
        index = factored.edge_index
        self._emf = [(factored.at[index[n]], by / factored.edges[index[n]].resistance_ohm)
                     for n, by in (emf_by or {}).items() if n in index and by]  # fmt: skip
        self._load = (factored.index[load[0]], factored.index[load[1]]) if load and fed_a else None
        self._fed_a = fed_a
        self._reached = {factored.island[0]} if factored.island else set[str]()
        self._ports = self._ports_of([name for name in out if name in index], put, emf_by or {})
        self.broken = False
        self._flow: list[float] = []
        self._free: list[list[float]] = []
        if self._ports:
            self._solve()

    def _ports_of(self, out: list[str], put: Sequence[Put], emf_by: Mapping[str, float]) -> list[_Port]:
        net, ports = self._net, list[_Port]()
        for name in out:
            edge = net.edges[net.edge_index[name]]
            drive = edge.emf_v + emf_by.get(name, 0.0)
            ports.append(_Port(net.at[net.edge_index[name]], sqrt(edge.resistance_ohm), -1.0, drive))
        for branch in put:
            ends = (net.index[branch.start], net.index[branch.end])
            ports.append(_Port(ends, sqrt(branch.ohm), 1.0, 0.0))
            for root in {net.island[end] for end in ends} & net.joiners.keys():
                joiner = (net.index[net.island[0]], net.joiners[root])
                if root not in self._reached:
                    self._reached.add(root)
                    ports.append(_Port(joiner, sqrt(JOINER_OHM), -1.0, 0.0))
        return ports

    def before_v(self, ends: tuple[int, int]) -> float:
        """Return the voltage between two nodes [V] with what drives it otherwise, no branch changed."""
        volts = self._net.potential[ends[0]] - self._net.potential[ends[1]]
        for (start, end), amperes in self._emf:
            volts += amperes * self._net.transfer_ohm(ends, (end, start))
        if self._load:
            volts -= self._fed_a * self._net.transfer_ohm(ends, self._load)
        return volts

    def _solve(self) -> None:
        """Find the current of each change, and the currents that are left free."""
        ports = self._ports
        rows = []
        for number, port in enumerate(ports):
            row = [self._transfer_ohm(port, other) / (port.root_ohm * other.root_ohm) for other in ports]
            row[number] += port.sign
            rows.append([*row, -(self.before_v(port.ends) + port.drive_v) / port.root_ohm])
        self._flow, self._free, over = eliminated(rows)
        self.broken = over

    def _transfer_ohm(self, one: _Port, other: _Port) -> float:
        """Return the voltage at one change for 1 A through another [ohm], from the side of a branch taken out."""
        if one.sign > 0 and other.sign > 0:
            return self._net.transfer_ohm(one.ends, other.ends)
        near, far = (one, other) if one.sign < 0 else (other, one)
        by = self._net.between(near.ends)
        return by[far.ends[0]] - by[far.ends[1]]

    @property
    def circulating_a(self) -> float:
        """Return the largest current through a branch put in [A], with no load drawn."""
        pairs = zip(self._flow, self._ports, strict=True)
        return max((abs(flow) / port.root_ohm for flow, port in pairs if port.sign > 0), default=0.0)

    def voltage_v(self, plus: str, minus: str) -> tuple[float, bool]:
        """Return the voltage between two nodes [V] and whether anything joins them; if not, what a cut would hold."""
        net = self._net
        ends = (net.index[plus], net.index[minus])
        by = net.between(ends)
        volts, joined = net.potential[ends[0]] - net.potential[ends[1]], True
        for (start, end), amperes in self._emf:
            volts += amperes * (by[end] - by[start])
        if self._load:
            volts -= self._fed_a * (by[self._load[0]] - by[self._load[1]])
        seen = [(by[port.ends[0]] - by[port.ends[1]]) / port.root_ohm for port in self._ports]
        for flow, ohm in zip(self._flow, seen, strict=True):
            volts += flow * ohm
        if self._free:
            joined = not any(abs(sum(map(mul, free, seen))) > self._least for free in self._free)
        return volts, joined and self._same_island(ends)

    def moves(self, ends: tuple[int, int]) -> bool:
        """Return whether the changes move the voltage between two nodes of one island, or part them."""
        by = self._net.between(ends)
        for start, end, amperes in self._pulls:
            if abs(amperes * (by[start] - by[end])) > UNMOVED_V:
                return True
        return any(abs(sum(part * (by[a] - by[b]) for a, b, part in free)) > self._least for free in self._parted)

    @cached_property
    def _pulls(self) -> list[tuple[int, int, float]]:
        """Return the nodes between which each change feeds a current, and the current [A]."""
        driven = [(end, start, amperes) for (start, end), amperes in self._emf]
        pairs = zip(self._flow, self._ports, strict=True)
        return driven + [(*port.ends, flow / port.root_ohm) for flow, port in pairs]

    @cached_property
    def _parted(self) -> list[list[tuple[int, int, float]]]:
        ports = self._ports
        return [[(*port.ends, part / port.root_ohm) for part, port in zip(free, ports, strict=True)]
                for free in self._free]  # fmt: skip

    @cached_property
    def _least(self) -> float:
        """Return by how much a free current moves a voltage at least that it parts, in the scale of the changes."""
        return MOVED * max((port.root_ohm for port in self._ports if port.sign < 0), default=1.0)

    def _same_island(self, ends: tuple[int, int]) -> bool:
        """Return whether two nodes lie in one island, those counted as one whose joiner is among the changes."""
        net = self._net
        one, other = net.island[ends[0]], net.island[ends[1]]
        if one == other:
            return True
        return one in self._reached and other in self._reached


def eliminated(rows: list[list[float]]) -> tuple[list[float], list[list[float]], bool]:
    """Return a solution of rows of coefficients and right-hand side, the free directions, and whether some row fails.

    Gauss and Jordan with full pivoting; coefficients are of the order of one.  Free unknowns are 0 in the solution.
    """
    size = len(rows)
    order: list[int] = []
    left = set(range(size))
    for _ in range(size):
        row, column = max(((r, c) for r in left for c in range(size) if c not in order),
                          key=lambda at: abs(rows[at[0]][at[1]]), default=(0, 0))  # fmt: skip
        pivot = rows[row][column]
        if abs(pivot) < SINGULAR:
            break
        left.discard(row)
        order.append(column)
        rows[len(order) - 1], rows[row] = rows[row], rows[len(order) - 1]
        left = set(range(len(order), size))
        own = rows[len(order) - 1] = [value / pivot for value in rows[len(order) - 1]]
        for other in range(size):
            factor = rows[other][column]
            if other != len(order) - 1 and factor:
                rows[other] = [a - factor * b for a, b in zip(rows[other], own, strict=True)]
    solution, free = [0.0] * size, []
    for number, column in enumerate(order):
        solution[column] = rows[number][size]
    for column in (c for c in range(size) if c not in order):
        direction = [0.0] * size
        direction[column] = 1.0
        for number, known in enumerate(order):
            direction[known] = -rows[number][column]
        free.append(direction)
    return solution, free, any(abs(rows[number][size]) > 1e-6 for number in range(len(order), size))
