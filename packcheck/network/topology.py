"""Questions about a network that need no solution: what is joined, what lies between, what closes a loop."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.network.graph import Edge

HUB = "\0hub"
"""A node of no pack, joined to every terminal while paths between any two of them are looked for."""


class Step(NamedTuple):
    """One edge of a walk; ``forward`` when it is walked from its start to its end."""

    edge: Edge
    forward: bool


@dataclass(frozen=True)
class Forest:
    """A spanning forest: for each node its root, its depth, and the edge that leads to it from its parent."""

    root: dict[str, str]
    depth: dict[str, int]
    edge: dict[str, Edge]

    def told_by(self, edges: Iterable[Edge]) -> Forest:
        """Return the same forest of edges with the same names between the same nodes, and numbers of their own."""
        named = {edge.name: edge for edge in edges}
        return Forest(self.root, self.depth, {node: named[edge.name] for node, edge in self.edge.items()})

    def joined(self, a: str, b: str) -> bool:
        """Return whether two nodes are connected."""
        return a in self.root and self.root[a] == self.root.get(b)

    def walk(self, a: str, b: str) -> list[Step] | None:
        """Return the steps from ``a`` to ``b`` along the forest, or None when nothing joins them."""
        if not self.joined(a, b):
            return None
        down: list[Step] = []
        up: list[Step] = []
        deep, less_deep = self.depth[a], self.depth[b]
        while a != b:
            if deep >= less_deep:
                edge, deep = self.edge[a], deep - 1
                start, end = edge[:2]
                up.append(Step(edge, end != a))
                a = start if end == a else end
            else:
                edge, less_deep = self.edge[b], less_deep - 1
                start, end = edge[:2]
                down.append(Step(edge, end == b))
                b = start if end == b else end
        return up + down[::-1]

    def loops(self, edges: Sequence[Edge]) -> int:
        """Return the number of independent loops of the edges that it spans: all beyond those of its trees."""
        return len(edges) - len(self.edge)


def spanning_forest(edges: Sequence[Edge], roots: Iterable[str] = (), stop: frozenset[str] = frozenset()) -> Forest:
    """Return a breadth-first spanning forest, grown from ``roots`` first; nodes in ``stop`` are reached, not passed."""
    beside: dict[str, list[Edge]] = {}
    for edge in edges:
        start, end = edge[0], edge[1]
        if start in beside:
            beside[start].append(edge)
        else:
            beside[start] = [edge]
        if end in beside:
            beside[end].append(edge)
        else:
            beside[end] = [edge]
    root: dict[str, str] = {}
    depth: dict[str, int] = {}
    to: dict[str, Edge] = {}
    for seed in (*roots, *beside):
        if seed in root or seed not in beside:
            continue
        root[seed], depth[seed] = seed, 0
        layer, below = [seed], 0
        while layer:
            below += 1
            found = []
            for here in layer:
                if here in stop and here != seed:
                    continue
                for edge in beside[here]:
                    there = edge[0]
                    if there == here:
                        there = edge[1]
                    if there not in root:
                        root[there], depth[there], to[there] = seed, below, edge
                        found.append(there)
            layer = found
    return Forest(root, depth, to)


def tree_potentials(forest: Forest) -> dict[str, float]:
    """Return the potential [V] of each node of a forest while no current flows, each root at 0 V."""
    potential: dict[str, float] = {}
    for node in forest.root:  # a parent always stands before its children
        edge = forest.edge.get(node)
        if edge is None:
            potential[node] = 0.0
        elif edge.end == node:
            potential[node] = potential[edge.start] + edge.emf_v
        else:
            potential[node] = potential[edge.end] - edge.emf_v
    return potential


def nodes_between(edges: Sequence[Edge], a: str, b: str, forest: Forest | None = None) -> frozenset[str]:
    """Return the nodes that lie on some path from ``a`` to ``b`` that visits no node twice; empty when none does.

    Without loops there is one path.  Else they are the biconnected component that an extra edge from ``a`` to ``b``
    would lie in.  ``forest`` is one that spans the edges, where the caller has it.
    """
    forest = forest or spanning_forest(edges, roots=(a,))
    if forest.loops(edges) == 0:
        walk = forest.walk(a, b)
        return frozenset(node for step in walk or () for node in (step.edge.start, step.edge.end))
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from((edge.start, edge.end) for edge in edges)
    if a not in graph or b not in graph or not nx.has_path(graph, a, b):
        return frozenset()
    graph.add_edge(a, b)
    for component in nx.biconnected_components(graph):
        if a in component and b in component:
            return frozenset(component)
    return frozenset()


def nodes_on_the_way(edges: Iterable[Edge], terminals: Iterable[str]) -> frozenset[str]:
    """Return the nodes that lie on some path, visiting no node twice, from one of several terminals to another.

    A hub joined to every terminal closes each such path to a ring: they are the blocks that the hub lies in.
    """
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from((edge.start, edge.end) for edge in edges)
    graph.add_edges_from((HUB, terminal) for terminal in terminals if terminal in graph)
    blocks = nx.biconnected_components(graph)
    return frozenset(node for block in blocks if HUB in block and len(block) > 2 for node in block) - {HUB}


def unsettled_blocks(edges: Iterable[Edge]) -> dict[str, frozenset[int]]:
    """Return for each node the loops it lies in that an edge of unknown presence or voltage belongs to.

    A loop here is a biconnected component with more than one edge, known by a number.  Such an edge
    changes the potentials of nodes in its component, and no others' against each other.
    """
    import networkx as nx

    between: dict[frozenset[str], list[Edge]] = {}
    for edge in edges:
        between.setdefault(frozenset((edge.start, edge.end)), []).append(edge)
    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from(tuple(ends) for ends in between if len(ends) == 2)
    blocks: dict[str, set[int]] = {}
    for number, block in enumerate(nx.biconnected_component_edges(graph)):
        inside = [edge for ends in block for edge in between[frozenset(ends)]]
        if len(inside) > 1 and not all(edge.sure and edge.emf_known for edge in inside):
            for node in {node for ends in block for node in ends}:
                blocks.setdefault(node, set()).add(number)
    return {node: frozenset(numbers) for node, numbers in blocks.items()}


class Clusters:
    """Sets of nodes that are joined (union-find with path halving)."""

    def __init__(self) -> None:
        self._parent: dict[str, str] = {}

    def find(self, node: str) -> str:
        """Return the node that stands for the cluster of a node."""
        parent = self._parent
        parent.setdefault(node, node)
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def join(self, a: str, b: str) -> bool:
        """Join the clusters of two nodes; return False when they were one already."""
        a, b = self.find(a), self.find(b)
        self._parent[a] = b
        return a != b


class Switched:
    """What some switches join, when they are closed, of what hangs together while all of them are open."""

    def __init__(self, switches_open: Forest, closed: Iterable[Edge]) -> None:
        self._root, self._islands = switches_open.root, Clusters()
        self._ends = set[str]()
        for edge in closed:
            self._islands.join(self._root.get(edge.start, edge.start), self._root.get(edge.end, edge.end))
            self._ends.update((edge.start, edge.end))

    def joined(self, a: str, b: str) -> bool:
        """Return whether two nodes are connected."""
        if not all(node in self._root or node in self._ends for node in (a, b)):
            return False
        return self._islands.find(self._root.get(a, a)) == self._islands.find(self._root.get(b, b))


def conductors_alone(edges: Sequence[Edge]) -> Forest:
    """Return a spanning forest of what is joined without a module between."""
    return spanning_forest([edge for edge in edges if edge.kind != "module"])


def modules_from(edges: Sequence[Edge], start: str, end: str, plain: Forest | None = None) -> dict[str, int]:
    """Return for each module its place along the string, counted in modules from ``start``; 1 is the first.

    The nodes that ``end`` is joined to without a module between are reached but not passed, so that strings in
    parallel are each counted from ``start``.  Modules that cannot be reached are left out.  ``plain`` is the forest of
    conductors alone, where the caller has it.
    """
    plain = plain or conductors_alone(edges)
    far = frozenset(node for node, root in plain.root.items() if root == plain.root.get(end))
    forest = spanning_forest(edges, roots=(start,), stop=far)
    crossed: dict[str, int] = {}
    for node in forest.root:  # breadth first: a parent always stands before its children
        if forest.root[node] != start:
            continue
        edge = forest.edge.get(node)
        if edge is None:
            crossed[node] = 0
        else:
            parent = edge.start if edge.end == node else edge.end
            crossed[node] = crossed[parent] + (edge.kind == "module")
    return {
        edge.part: min(crossed[node] for node in (edge.start, edge.end) if node in crossed) + 1
        for edge in edges
        if edge.kind == "module" and (edge.start in crossed or edge.end in crossed)
    }
