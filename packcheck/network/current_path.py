"""The planned path of the current as branches: what lies in line between two junctions, from main − on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from packcheck.model.pack.model import Pack


class Item(NamedTuple):
    """One thing in line: a run of groups with the bars between them, a conductor, or a device.

    ``shunted`` are the devices that lie across it: the precharge resistor of a contactor.  ``forward`` tells that one
    comes to its end 1, of a run to its −, first.
    """

    kind: str
    names: tuple[str, ...]
    bars: tuple[str, ...] = ()
    shunted: tuple[str, ...] = ()
    forward: bool = True


class Branch(NamedTuple):
    """What lies in line between two junctions, named as people know them: ``main −``, ``R+``, ``K1.1``."""

    start: str
    end: str
    items: tuple[Item, ...]


class _Edge(NamedTuple):
    ends: tuple[str, str]
    item: Item


def current_path(pack: Pack) -> tuple[Branch, ...]:
    """Return every branch of the layout, first those that lead on from main −.

    Members of a group are one; so is a bar's body with what it lands on, where others land on it or it joins three or
    more.  A device drawn across another one is told with it.
    """
    joined = _Joined()
    edges = list(_edges(pack, joined))
    at: dict[str, list[int]] = {}
    for index, edge in enumerate(edges):
        for end in edge.ends:
            at.setdefault(end, []).append(index)
    mains = {joined.root(node) for node in pack.outside.values()}
    junctions = {end for end, here in at.items() if len(here) != 2 or end in mains}
    names = _names(pack, joined)
    begin = joined.root(pack.outside["main-"])
    waiting, seen, used = [begin, *sorted(junctions)], {begin, *junctions}, [False] * len(edges)
    branches: list[Branch] = []
    for vertex in (*_outwards(begin, waiting, at, edges, junctions), *at):
        for index in at.get(vertex, ()):
            if not used[index]:
                end, items = _follow(vertex, index, edges, at, used, junctions | seen)
                branches.append(Branch(names[vertex], names[end], tuple(_runs(items))))
    return tuple(branches)


class _Joined:
    """Nodes that are one junction."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def root(self, node: str) -> str:
        above = self._above
        while above.setdefault(node, node) != node:
            above[node] = above[above[node]]
            node = above[node]
        return node

    def join(self, one: str, other: str) -> None:
        self._above[self.root(other)] = self.root(one)

    def __iter__(self) -> Iterator[str]:
        return iter(self._above)


def _edges(pack: Pack, joined: _Joined) -> Iterator[_Edge]:
    """Join what is one junction, then yield what lies between two."""
    for members in pack.groups.values():
        first = pack.positions[members[0]]
        for name in members[1:]:
            joined.join(first.plus_place, pack.positions[name].plus_place)
            joined.join(first.minus_place, pack.positions[name].minus_place)
    landed = {landing.node for conductor in pack.conductors.values() for landing in conductor.lands}
    lying: dict[str, list[str]] = {}
    for device in pack.devices.values():
        if device.across:
            lying.setdefault(device.across, []).append(device.name)
    single = []
    for conductor in pack.conductors.values():
        ends = {joined.root(landing.node) for landing in conductor.lands}
        if conductor.name in landed or len(ends) != 2:
            for landing in conductor.lands:
                joined.join(conductor.name, landing.node)
        else:
            single.append(conductor)
    for group, members in pack.groups.items():
        first = pack.positions[members[0]]
        yield _Edge((joined.root(first.minus_place), joined.root(first.plus_place)), Item("run", (group,)))
    for device in pack.devices.values():
        if not device.across:
            across = tuple(lying.get(device.name, ()))
            ends_ = (joined.root(device.ends[0]), joined.root(device.ends[1]))
            yield _Edge(ends_, Item("device", (device.name,), (), across))
    for conductor in single:
        roots = list(dict.fromkeys(joined.root(landing.node) for landing in conductor.lands))
        if len(roots) == 2:
            yield _Edge((roots[0], roots[1]), Item(conductor.kind, (conductor.name,)))


def _names(pack: Pack, joined: _Joined) -> dict[str, str]:
    """Return for each junction the name people know it by: a main, a conductor, else any node of it."""
    outside = {node: f"main {'+' if name == 'main+' else '−'}" for name, node in pack.outside.items()}
    found: dict[str, tuple[int, str]] = {}
    for node in joined:
        rank = 0 if node in outside else 1 if node in pack.conductors else 2
        word = outside.get(node, node)
        root = joined.root(node)
        if root not in found or (rank, word) < found[root]:
            found[root] = (rank, word)
    return {root: word for root, (_, word) in found.items()}


def _outwards(
    begin: str, waiting: list[str], at: dict[str, list[int]], edges: list[_Edge], junctions: set[str]
) -> Iterator[str]:
    """Yield the junctions in the order in which one comes to them from main −; those it does not lead to last."""
    reached, frontier = {begin}, [begin]
    steps = [begin]
    while frontier:
        following: list[str] = []
        for vertex in frontier:
            for index in at.get(vertex, ()):
                other = next((end for end in edges[index].ends if end != vertex), vertex)
                if other not in reached:
                    reached.add(other)
                    following.append(other)
        steps += following
        frontier = following
    yield from (vertex for vertex in steps if vertex in junctions or vertex == begin)
    yield from (vertex for vertex in waiting if vertex not in reached)


def _follow(
    vertex: str, index: int, edges: list[_Edge], at: dict[str, list[int]], used: list[bool], stops: set[str]
) -> tuple[str, list[Item]]:
    """Walk along edges until the next junction; return it and what lay on the way."""
    items: list[Item] = []
    while True:
        used[index] = True
        edge = edges[index]
        items.append(edge.item._replace(forward=edge.ends[0] == vertex))
        vertex = edge.ends[1] if edge.ends[0] == vertex else edge.ends[0]
        onwards = [other for other in at[vertex] if not used[other]]
        if vertex in stops or not onwards:
            return vertex, items
        index = onwards[0]


def _runs(items: list[Item]) -> Iterator[Item]:
    """Put groups that only bars lie between, all facing one way, into runs."""
    run: Item | None = None
    after: list[Item] = []
    for item in items:
        if item.kind == "run" and run is not None and run.forward == item.forward:
            bars = tuple(one.names[0] for one in after)
            run, after = run._replace(names=run.names + item.names, bars=run.bars + bars), []
        elif item.kind == "bar" and run is not None:
            after.append(item)
        else:
            yield from (one for one in (run, *after) if one is not None)
            run, after = (item, []) if item.kind == "run" else (None, [])
            if run is None:
                yield item
    yield from (one for one in (run, *after) if one is not None)
