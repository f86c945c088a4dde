"""Spanning trees of a numbered network, strongest conductors first, and the potentials its sources alone would give."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from packcheck.files.frozen import dataclass
from packcheck.network.chains import Chain, Number


@dataclass(frozen=True)
class SpanningForest:
    """One tree for each island.

    ``steps`` walks every tree outwards from its root: (known junction, next junction, branch, True when the branch
    starts at the known junction).  ``root`` names each junction's island by its first junction.
    """

    root: list[int]
    steps: list[tuple[int, int, int, bool]]

    def walk(self, rise: Sequence[Any], zero: Any) -> list[Any]:
        """Return the potentials [V], root at 0, when every tree branch rises by ``rise`` [V] from start to end."""
        potential = [zero] * len(self.root)
        for known, following, branch, forward in self.steps:
            step = rise[branch]
            if not step:
                potential[following] = potential[known]
            elif forward:
                potential[following] = potential[known] + step
            else:
                potential[following] = potential[known] - step
        return potential


def span(
    junctions: int, tail: Sequence[int], head: Sequence[int], resistance: Sequence[Number], chains: Sequence[Chain]
) -> SpanningForest:
    """Return the spanning forest of least resistance [Ω], with its walk from the first junction of each island.

    Strong conductors first, because a source's misfit left on a strong branch would be the small difference of large
    numbers (Kruskal's algorithm; J. B. Kruskal, Proc. Amer. Math. Soc., vol. 7, pp. 48-50, 1956, from memory).  A ring
    goes through a chain as a whole, so that only its weakest branch can be the weakest of a ring.
    """
    leader = list(range(junctions))
    is_tree = [True] * len(tail)
    for chain in sorted(chains, key=lambda chain: resistance[chain.weakest[0]]):
        a, b = chain.start, chain.end
        while leader[a] != a:
            leader[a] = a = leader[leader[a]]
        while leader[b] != b:
            leader[b] = b = leader[leader[b]]
        if a == b:
            is_tree[chain.weakest[0]] = False
        leader[b] = a
    neighbours: list[list[tuple[int, int, bool]]] = [[] for _ in range(junctions)]
    for branch, (start, end, tree) in enumerate(zip(tail, head, is_tree, strict=True)):
        if tree:
            neighbours[start].append((end, branch, True))
            neighbours[end].append((start, branch, False))
    root, steps = _walk_order(neighbours)
    return SpanningForest(root, steps)


def _walk_order(neighbours: list[list[tuple[int, int, bool]]]) -> tuple[list[int], list[tuple[int, int, int, bool]]]:
    root = [-1] * len(neighbours)
    steps: list[tuple[int, int, int, bool]] = []
    for first in range(len(neighbours)):
        if root[first] >= 0:
            continue
        root[first] = first
        waiting = [first]
        while waiting:
            known = waiting.pop()
            for following, branch, forward in neighbours[known]:
                if root[following] < 0:
                    root[following] = first
                    steps.append((known, following, branch, forward))
                    waiting.append(following)
    return root, steps
