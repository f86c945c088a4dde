"""Which resistors and heaters lead past a device that is to part a current: what it cuts off flows through them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from packcheck.network.graph import Edge
from packcheck.network.topology import Forest, spanning_forest


class PastLoads:
    """The loads of a network, and the islands that conductors and devices make between them, everything closed.

    A way past a device leads through no module, and over no island that a module stands at: of two heaters side by
    side, each behind a fuse, the one is not drawn past the fuse of the other.
    """

    def __init__(self, edges: Sequence[Edge], conductors: Forest) -> None:
        self._edges, self._root = edges, conductors.root

    def past(self, device: str, ends: tuple[str, str]) -> list[str]:
        """Return the loads on a way from one end of a device to the other; none where a conductor leads past it."""
        home = self._root.get(ends[0], "")
        if home not in self._at_loads:
            return []
        parted = spanning_forest([edge for edge in self._plain.get(home, ()) if edge.part != device]).root

        def island(node: str) -> str:
            root = self._root.get(node, node)
            return parted.get(node, node) if root == home else root

        start, end = map(island, ends)
        if start == end:
            return []
        ways = [load._replace(start=island(load.start), end=island(load.end)) for load in self._loads]
        walk = spanning_forest(ways, (start,), frozenset(map(island, self._module_ends))).walk(start, end)
        return [step.edge.part for step in walk or ()]

    @cached_property
    def _loads(self) -> list[Edge]:
        return [edge for edge in self._edges if edge.is_load]

    @cached_property
    def _at_loads(self) -> frozenset[str]:
        return frozenset(self._root.get(node, node) for edge in self._loads for node in (edge.start, edge.end))

    @cached_property
    def _module_ends(self) -> tuple[str, ...]:
        return tuple(node for edge in self._edges if edge.kind == "module" for node in (edge.start, edge.end))

    @cached_property
    def _plain(self) -> dict[str, list[Edge]]:
        found: dict[str, list[Edge]] = {}
        for edge in self._edges:
            if edge.kind != "module" and not edge.is_load:
                found.setdefault(self._root[edge.start], []).append(edge)
        return found
