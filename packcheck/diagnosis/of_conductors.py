"""Hypotheses about what joins: bars and leads missing, moved, added, exchanged; joints; devices open or closed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from packcheck.diagnosis.hypothesis import BRIDGE_OHM, Free, Hypothesis
from packcheck.diagnosis.of_modules import HIGHEST_OHM
from packcheck.diagnosis.worlds import Sight
from packcheck.network.graph import BODY_OHM, JOINT_OHM, Edge
from packcheck.network.updates import Put


class Beside:
    """What lies beside what: the like posts of the next positions of a tray, on the same face."""

    def __init__(self, sight: Sight) -> None:
        self._pack = sight.record.pack

    @cached_property
    def _order(self) -> dict[str, int]:
        return {name: number for number, name in enumerate(self._pack.positions)}

    @cached_property
    def _names(self) -> list[str]:
        return list(self._pack.positions)

    def node(self, node: str, step: int) -> str | None:
        """Return the like post of the position so many further along, where it lies on the same face and tray."""
        place = self._pack.places.get(node)
        if place is None or not 0 <= self._order[place.position] + step < len(self._names):
            return None
        there = self._names[self._order[place.position] + step]
        beside = f"{there}.{place.post}"
        same = self._pack.positions[there].tray == self._pack.positions[place.position].tray
        return beside if same and self._pack.face_of(beside) == self._pack.face_of(node) else None

    def other_post(self, node: str, step: int) -> str | None:
        """Return the other post of a position, or of one so many further along."""
        place = self._pack.places.get(node)
        if place is None or not 0 <= self._order[place.position] + step < len(self._names):
            return None
        there = self._pack.positions[self._names[self._order[place.position] + step]]
        return f"{there.name}.{there.minus if place.post == there.plus else there.plus}"


def conductor_hypotheses(sight: Sight) -> Iterator[Hypothesis]:
    """Yield what may be otherwise about every conductor, joint and device."""
    beside, joints = Beside(sight), dict[str, list[Edge]]()
    for edge in sight.edges:
        if edge.kind == "joint":
            joints.setdefault(edge.part, []).append(edge)
    for name, edges in joints.items():
        yield from _of_one(name, edges, beside)
    yield from _strays(sight, beside, joints)
    yield from _exchanged(sight, joints)
    yield from _devices(sight)


def _of_one(name: str, edges: list[Edge], beside: Beside) -> Iterator[Hypothesis]:
    yield Hypothesis("conductor missing", (name,), f"{name} is not there, or joins nothing", 2.5,
                     out=tuple(edge.name for edge in edges), traits={("seen", name): "not there"})  # fmt: skip
    for edge in edges:
        if len(edges) > 2:
            yield Hypothesis("joint open", (edge.name,), f"the joint {edge.name} is open", 3.0, out=(edge.name,),
                             traits={("joint", edge.name): "open"})  # fmt: skip
        yield Hypothesis("joint resistance high", (edge.name,), f"the joint {edge.name} has a high resistance", 2.4,
                         free=Free("ohm", edge.name, 0.0, HIGHEST_OHM), traits={("joint", edge.name): "high"},
                         )  # fmt: skip
    nodes = [edge.start for edge in edges]
    for step in (1, -1):
        moved = [beside.node(node, step) for node in nodes]
        if all(moved):
            lands = [node for node in moved if node]
            yield Hypothesis("conductor moved", (name,), f"{name} sits one place off, on {' and '.join(lands)}", 4.0,
                             out=tuple(edge.name for edge in edges), put=_star(name, lands),
                             traits={("seen", name): f"on {lands[0]}"})  # fmt: skip
        for edge, there in zip(edges, moved, strict=True):
            if there and there not in nodes:
                yield Hypothesis("conductor moved", (name,), f"{name} lands on {there}, not on {edge.start}", 4.0,
                                 out=(edge.name,), put=(Put(there, name, edge.resistance_ohm),),
                                 traits={("seen", name): f"on {there}"})  # fmt: skip


def _star(name: str, lands: list[str]) -> tuple[Put, ...]:
    return tuple(Put(node, name, JOINT_OHM + BODY_OHM / 2) for node in lands)


def _strays(sight: Sight, beside: Beside, joints: dict[str, list[Edge]]) -> Iterator[Hypothesis]:
    """Yield a bar that nobody recorded, from a post to the like post of one of the next two positions."""
    joined = {frozenset((a.start, b.start)) for edges in joints.values() for a in edges for b in edges}
    for node in sight.record.pack.places:
        for step in (1, 2):
            there = beside.node(node, step)
            if there and frozenset((node, there)) not in joined:
                yield Hypothesis("conductor stray", (f"{node} to {there}",), f"something joins {node} and {there}",
                                 4.5, put=(Put(node, there, BRIDGE_OHM),),
                                 traits={("seen", node): f"something from {node} to {there}"})  # fmt: skip


def _exchanged(sight: Sight, joints: dict[str, list[Edge]]) -> Iterator[Hypothesis]:
    """Yield two leads whose ends on modules or bars have changed places."""
    ends: list[tuple[str, Edge]] = []
    for name, edges in joints.items():
        drawn = sight.record.pack.conductors.get(name)
        if drawn and drawn.kind == "lead":
            ends += [(name, edge) for edge in edges if sight.record.pack.part_at(edge.start) not in
                     sight.record.pack.devices][:1]  # fmt: skip
    for number, (name, edge) in enumerate(ends):
        for other, there in ends[number + 1 :]:
            if name != other and edge.start != there.start:
                yield Hypothesis("leads exchanged", (name, other),
                                 f"{name} lands on {there.start} and {other} on {edge.start}", 3.0,
                                 out=(edge.name, there.name),
                                 put=(Put(there.start, name, edge.resistance_ohm),
                                      Put(edge.start, other, there.resistance_ohm)),
                                 traits={("seen", name): f"on {there.start}"})  # fmt: skip


def _devices(sight: Sight) -> Iterator[Hypothesis]:
    for name, device in sight.record.pack.devices.items():
        if device.kind == "isolation monitor":
            continue
        is_fuse, across = device.kind == "fuse", device.kind in ("main contactor", "precharge contactor", "contactor")
        says = f"{name} is open" + ("" if is_fuse else " where it is recorded closed")
        yield Hypothesis("device open", (name,), says, 2.5, out=(name,), traits={("through", name): "open"})
        if not device.always_closed and not device.across:
            says = f"{name} conducts where it is recorded open" + (", as a welded one does" if across else "")
            yield Hypothesis("device closed", (name,), says, 3.0, welded=(name,), traits={("through", name): "closed"})
