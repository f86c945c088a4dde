"""Star-mesh elimination on a numbered network: currents of all branches, resistances between wanted pairs.

A junction with arms of conductance g_k [S] is taken out by joining every two of its neighbours k, l with a branch of
g_k g_l / G, where G is the sum of the arms.  Only sums, products and quotients of positive conductances occur, so that
a joint of micro-ohms keeps its digits beside insulation of giga-ohms.  Going back, the current of an arm is the sum of
the currents of the branches that replaced it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from itertools import combinations
from typing import Any, NamedTuple

from packcheck.network.chains import Chain, Number


class _Star(NamedTuple):
    """A junction taken out: its arms (branch, +1 if it runs inwards, share g/G), their mesh, the current fed in."""

    arms: list[tuple[int, int, Any]]
    mesh: list[int]
    feed: Any


class _Bundle(NamedTuple):
    """Two parallel branches made one; ``sign`` is +1 where a member runs as the whole does.

    ``circling`` is the current [A] that their unequal sources drive out through the weaker and back by the stronger.
    """

    whole: int
    strong: int
    strong_sign: int
    strong_share: Any
    weak: int
    weak_sign: int
    weak_share: Any
    circling: Any


def solve_currents(chains: Sequence[Chain], emf: Sequence[Number], feed: Sequence[Number]) -> list[Number]:
    """Return each branch's current [A] from tail to head, driven by its emf [V] and by the current fed in [A].

    ``emf`` is 0 but on the weakest branch of a chain; ``feed`` (one number a junction) balances over each island.
    Branches of none of the ``chains`` carry no current.  No potential is formed.
    """
    elimination = _Elimination(chains, emf, feed)
    for junction in by_degree(elimination.arms):
        elimination.take_out(junction)
    current: list[Any] = [0 * each for each in emf]
    for chain, through in zip(chains, elimination.currents(len(chains)), strict=True):
        for branch, forward in chain.links:
            current[branch] = through if forward else -through
    return current


def by_degree(arms: Sequence[dict[int, Any]]) -> Iterator[int]:
    """Yield the junction to take out next, fewest neighbours first, while the caller changes ``arms`` after each."""
    simple = [junction for junction, around in enumerate(arms) if 0 < len(around) <= 2]
    rest = [(len(around), junction) for junction, around in enumerate(arms) if len(around) > 2]
    heapify(rest)
    while simple or rest:
        if simple:
            junction = simple.pop()
            degree = len(arms[junction])
        else:
            degree, junction = heappop(rest)
            if degree != len(arms[junction]):
                continue
        if not degree:
            continue
        before = [(neighbour, len(arms[neighbour])) for neighbour in arms[junction]]
        yield junction
        for neighbour, old_degree in before:
            new_degree = len(arms[neighbour])
            if new_degree != old_degree:
                if new_degree <= 2:
                    simple.append(neighbour)
                else:
                    heappush(rest, (new_degree, neighbour))


class _Elimination:
    """The working state: branches by number, the given ones first, and each junction's arm to each neighbour."""

    def __init__(self, chains: Sequence[Chain], emf: Sequence[Number], feed: Sequence[Number]) -> None:
        self.tail = [chain.start for chain in chains]
        self.conductance: list[Any] = [1 / chain.resistance for chain in chains]
        self.emf: list[Any] = [emf[weakest] if forward else -emf[weakest] for *_, (weakest, forward) in chains]
        self.feed: list[Any] = list(feed)
        self.arms: list[dict[int, int]] = [{} for _ in feed]
        self.tape: list[_Star | _Bundle] = []
        self.closed: list[int] = []
        for branch, chain in enumerate(chains):
            if chain.start == chain.end:
                self.closed.append(branch)
            else:
                self._join(chain.start, chain.end, branch)

    def take_out(self, junction: int) -> None:
        """Replace the junction's star by the mesh of its neighbours."""
        arms, feed = self.arms, self.feed[junction]
        around = list(arms[junction].items())
        total = sum([self.conductance[branch] for _, branch in around])
        star: list[tuple[int, int, Any]] = []
        inward: list[tuple[int, Any, Any, Any]] = []
        for neighbour, branch in around:
            del arms[neighbour][junction]
            sign = -1 if self.tail[branch] == junction else 1
            conductance, emf = self.conductance[branch], self.emf[branch]
            share = conductance / total
            star.append((branch, sign, share))
            inward.append((neighbour, conductance, share, emf if sign > 0 else -emf))
            if feed:
                self.feed[neighbour] += feed * share
        arms[junction] = {}
        mesh: list[int] = []
        self.tape.append(_Star(star, mesh, feed))
        for (k, _, share, emf_k), (m, conductance, _, emf_m) in combinations(inward, 2):
            mesh.append(self._make(k, share * conductance, emf_k - emf_m))
            self._join(k, m, mesh[-1])

    def _make(self, tail: int, conductance: Any, emf: Any) -> int:
        self.tail.append(tail)
        self.conductance.append(conductance)
        self.emf.append(emf)
        return len(self.tail) - 1

    def _join(self, start: int, end: int, branch: int) -> None:
        """Put the branch between two junctions, bundling it with a branch that already lies there."""
        other = self.arms[start].get(end)
        if other is not None:
            branch = self._bundle(start, branch, other)
        self.arms[start][end] = self.arms[end][start] = branch

    def _bundle(self, start: int, one: int, other: int) -> int:
        strong, weak = (one, other) if self.conductance[one] >= self.conductance[other] else (other, one)
        g_strong, g_weak = self.conductance[strong], self.conductance[weak]
        strong_sign = 1 if self.tail[strong] == start else -1
        weak_sign = 1 if self.tail[weak] == start else -1
        strong_share, weak_share = g_strong / (g_strong + g_weak), g_weak / (g_strong + g_weak)
        gap = weak_sign * self.emf[weak] - strong_sign * self.emf[strong]
        whole = self._make(start, g_strong + g_weak, strong_sign * self.emf[strong] + gap * weak_share)
        circling = gap * g_weak * strong_share
        self.tape.append(_Bundle(whole, strong, strong_sign, strong_share, weak, weak_sign, weak_share, circling))
        return whole

    def currents(self, given: int) -> list[Any]:
        """Return the currents [A] of the first ``given`` branches by going back over everything that was replaced."""
        current: list[Any] = [0] * len(self.tail)
        for branch in self.closed:
            current[branch] = self.emf[branch] * self.conductance[branch]
        for entry in reversed(self.tape):
            if isinstance(entry, _Bundle):
                through = current[entry.whole]
                current[entry.strong] = entry.strong_sign * (through * entry.strong_share - entry.circling)
                current[entry.weak] = entry.weak_sign * (through * entry.weak_share + entry.circling)
                continue
            inward = [-entry.feed * share for _, _, share in entry.arms]
            for (k, m), branch in zip(combinations(range(len(inward)), 2), entry.mesh, strict=True):
                inward[k] += current[branch]
                inward[m] -= current[branch]
            for (branch, sign, _), flow in zip(entry.arms, inward, strict=True):
                current[branch] = flow if sign > 0 else -flow
        return current[:given]
