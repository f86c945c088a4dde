"""The vent lines of a pack as a graph: modules, lines and outlets, and what is joined to the outside by them.

A line is one node, whatever its branches: gas finds its way both ways along a tube.  An edge joins a module's vent to
the line that serves it, and a line to what it leads to.  As in the electrical network an edge is *sure* when the record
says it is there and *possible* when nobody recorded it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import FittedVent
from packcheck.model.record.vents import INSIDE, served_by
from packcheck.network.graph import Edge
from packcheck.network.topology import Forest, spanning_forest

OUTSIDE = "outside of the pack"
"""The node that every outlet leads to."""


@dataclass(frozen=True)
class VentPath:
    """The vent lines of one layout, or of one record of a build of it."""

    edges: tuple[Edge, ...]

    @cached_property
    def surely_out(self) -> frozenset[str]:
        """Return the nodes joined to the outside by lines that were recorded."""
        return _joined([edge for edge in self.edges if edge.sure])

    @cached_property
    def possibly_out(self) -> frozenset[str]:
        """Return the same if every line that nobody recorded is as drawn."""
        return _joined(self.edges)

    def leads_out(self, name: str) -> bool | None:
        """Return whether a module's vent or a line is joined to the outside; None while the record leaves it open."""
        node = node_of(name)
        return True if node in self.surely_out else None if node in self.possibly_out else False


def node_of(name: str) -> str:
    """Return the node of a module's vent, or of a line."""
    return f"vent {name}"


def vent_path(pack: Pack, told: Mapping[str, FittedVent] | None = None) -> VentPath:
    """Return the graph of a layout's vent lines, as drawn or as the record tells of them."""
    return VentPath(tuple(_edges(pack, told)))


def outlet_of(pack: Pack, name: str) -> str:
    """Return the outlet that a line leads to as drawn, through other lines too; "" for one that leads to none."""
    seen: set[str] = set()
    while name in pack.vents and name not in seen:
        seen.add(name)
        name = str(pack.vents[name]["to"])
    return "" if name in pack.vents else name


def _edges(pack: Pack, told: Mapping[str, FittedVent] | None) -> Iterator[Edge]:
    for name, line in pack.vents.items():
        as_found = None if told is None else told.get(name, FittedVent(name))
        if as_found is not None and as_found.fitted is False:
            continue
        drawn_over, drawn_to = tuple(served_by(pack, name)), str(line["to"])
        over, to = (drawn_over, drawn_to) if as_found is None else (as_found.over, as_found.to)
        for position in drawn_over if over is None else over:
            yield _edge(name, position, node_of(position), over is not None)
        end = drawn_to if to is None else to
        if end != INSIDE:
            yield _edge(name, end, node_of(end) if end in pack.vents else OUTSIDE, to is not None)


def _edge(line: str, other: str, node: str, sure: bool) -> Edge:
    return Edge(node_of(line), node, f"{line}/{other}", "vent", line, 0.0, sure=sure)


def _joined(edges: Iterable[Edge]) -> frozenset[str]:
    forest: Forest = spanning_forest(list(edges), roots=(OUTSIDE,))
    return frozenset(node for node, root in forest.root.items() if root == OUTSIDE)
