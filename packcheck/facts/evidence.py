"""Everything that fact builders look at: the pack, its record, their networks, and the solutions of those."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import cached_property, lru_cache

from packcheck.facts.drawn import Drawn, drawn
from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Conductor, Device, Pack
from packcheck.model.pack.types import Bounds
from packcheck.model.record.model import Record
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.graph import Edge, Network, network_of_record, unit_push
from packcheck.network.solution import Solved, solve
from packcheck.network.topology import Forest, modules_from, nodes_between, spanning_forest
from packcheck.rules.catalogue import Datum

PATH = "the path between the mains"
"""A name that parts of one broken path share, so that what follows from it is folded under its cause."""

SHORT = "a short inside the pack"
"""A name that a short, and the readings of a pack that has one, share: it changes what others are compared with."""


@dataclass(frozen=True)
class Adopted:
    """Numbers a shop has adopted that facts depend on: torque bands by thread [N·m], largest surge [A]."""

    torque_bands: Mapping[str, Bounds] = field(default_factory=dict)
    surge_limit_a: float | None = None


@dataclass(frozen=True)
class Evidence:
    """One layout, or one record of a build of it.  Without a record the build is the layout."""

    pack: Pack
    record: Record | None = None
    adopted: Adopted = Adopted()

    @cached_property
    def drawn(self) -> Drawn:
        """Return what follows from the layout alone."""
        return drawn(self.pack)

    @cached_property
    def built(self) -> Network:
        """Return the network as recorded."""
        return network_of_record(self.record) if self.record else self.drawn.network

    @cached_property
    def built_edges(self) -> list[Edge]:
        """Return the edges surely fitted, everything closed."""
        return self.built.all_closed()

    @cached_property
    def surely_between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains through what is surely fitted."""
        if self.joins_as_drawn:
            return self.drawn.between
        return nodes_between(self.built_edges, self.drawn.minus, self.drawn.plus)

    @cached_property
    def joins_as_drawn(self) -> bool:
        """Return whether what is surely fitted joins exactly the nodes that the layout joins."""
        return self.record is None or joins_alike(self.built_edges, self.drawn.edges)

    @cached_property
    def possibly_between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains if all that nobody recorded is fitted."""
        if self.built.is_certain:
            return self.surely_between
        return nodes_between(self.built.all_closed(possibly=True), self.drawn.minus, self.drawn.plus)

    def lies_between(self, *nodes: str) -> bool | None:
        """Return whether nodes all lie on a path between the mains; None while unrecorded parts leave it open."""
        if all(node in self.surely_between for node in nodes):
            return True
        return None if all(node in self.possibly_between for node in nodes) else False

    @cached_property
    def surely_served(self) -> frozenset[str]:
        """Return the nodes on the way between any two terminals through what is surely fitted."""
        return self.drawn.served_by([edge for edge in self.built.edges if edge.sure])

    @cached_property
    def possibly_served(self) -> frozenset[str]:
        """Return the same if all that nobody recorded is fitted."""
        return self.surely_served if self.built.is_certain else self.drawn.served_by(self.built.edges)

    def is_served(self, node: str) -> bool | None:
        """Return whether a node lies between any two terminals; None while unrecorded parts leave it open."""
        return True if node in self.surely_served else None if node in self.possibly_served else False

    @cached_property
    def fitted_datum(self) -> Datum:
        """Return what to record first when unrecorded parts leave a question of topology open."""
        return self.fitted_datum_of(next(iter(self.built.unrecorded), ""))

    def fitted_datum_of(self, name: str) -> Datum:
        """Return what to record of a part of which nobody said whether it is fitted."""
        conductor = self.pack.conductors.get(name)
        what = "whether a module is fitted" if name in self.pack.positions else "whether it is fitted"
        return Datum(what, name, "eyes", face_of_conductor(self.pack, conductor) if conductor else "")

    @cached_property
    def built_solution(self) -> Solved:
        """Return potentials and currents of what is surely fitted, everything closed, nothing connected outside."""
        return solve(self.built_edges, self.drawn.forest.told_by(self.built_edges) if self.joins_as_drawn else None)

    @cached_property
    def is_shorted(self) -> bool:
        """Return whether a current circulates that makes more than 50 mV somewhere, with nothing connected outside."""
        pairs = zip(self.built_edges, self.built_solution.currents, strict=True)
        return any(abs(current) * edge.resistance_ohm > 0.05 for edge, current in pairs)

    @cached_property
    def current_share(self) -> dict[str, float]:
        """Return for each module its share of a unit current from main − to main +, as built over as drawn."""
        if not self.built.is_certain or not self.surely_between or not self.drawn.between:
            return {}
        if self.joins_as_drawn and self.drawn.loops == 0:
            return self._share_of_plain_string()
        drawn = pushed_through(self.drawn.edges, self.drawn.minus, self.drawn.plus)
        built = pushed_through(self.built_edges, self.drawn.minus, self.drawn.plus)
        return {name: built[name] / drawn[name] for name in built if abs(drawn.get(name, 0.0)) > 1e-9}

    def _share_of_plain_string(self) -> dict[str, float]:
        """Return the shares where the current has one way only: 1 for a module as drawn, −1 for one turned round."""
        drawn = {edge.part: edge.start for edge in self.drawn.edges if edge.kind == "module"}
        return {
            edge.part: 1.0 if drawn[edge.part] == edge.start else -1.0
            for edge in self.built_edges
            if edge.kind == "module" and edge.start in self.drawn.between and edge.end in self.drawn.between
        }

    @cached_property
    def order_built(self) -> dict[str, int]:
        """Return the place of each module along its string, as built; empty while unrecorded parts leave it open."""
        if self.joins_as_drawn:
            return self.drawn.order
        return modules_from(self.built_edges, self.drawn.minus, self.drawn.plus) if self.built.is_certain else {}

    @cached_property
    def _joined_by_closed(self) -> dict[frozenset[str], tuple[Forest, Forest]]:
        return {}

    def joined_with(self, closed: frozenset[str]) -> tuple[Forest, Forest]:
        """Return the forests of what is joined with some switches closed, the others open: surely, and possibly."""
        if closed not in self._joined_by_closed:
            self._joined_by_closed[closed] = self._joined(closed)
        return self._joined_by_closed[closed]

    def _joined(self, closed: frozenset[str]) -> tuple[Forest, Forest]:
        edges = self.built.closed(closed)
        if self._is_wholly_as_drawn:
            surely = self.drawn.joined_with(closed).told_by(edges)
            return surely, surely
        surely = spanning_forest(edges)
        if self.built.is_certain:
            return surely, surely
        return surely, spanning_forest(self.built.closed(closed, possibly=True))

    @cached_property
    def _is_wholly_as_drawn(self) -> bool:
        """Return whether every edge was recorded and joins what it joins in the layout."""
        return self.built.is_certain and joins_alike(self.built.edges, self.drawn.network.edges)

    def bypassed_by(self, device: Device) -> list[str]:
        """Return the conductors not as drawn on the way from one end of a device to the other, every switch open."""
        if device.always_closed or device.across:
            return []
        walk = self.joined_with(frozenset())[0].walk(*device.ends)
        return sorted({step.edge.part for step in walk or () if step.edge.kind == "joint" and not step.edge.as_drawn})

    @cached_property
    def bypassing(self) -> frozenset[str]:
        """Return the conductors not as drawn that join the two sides of an open switch."""
        return frozenset(name for device in self.pack.devices.values() for name in self.bypassed_by(device))


def face_of_conductor(pack: Pack, conductor: Conductor) -> str:
    """Return the face a conductor lies on: that of its first landing on a post."""
    return next((face for landing in conductor.lands if (face := pack.face_of(landing.node))), "")


def joins_alike(some: Sequence[Edge], others: Sequence[Edge]) -> bool:
    """Return whether two lists of edges, in one order, join the same nodes with the same parts, whichever way round."""
    return len(some) == len(others) and all(
        a.name == b.name and (a[:2] == b[:2] or a[:2] == b[1::-1]) for a, b in zip(some, others, strict=True)
    )


def pushed_through(edges: list[Edge], minus: str, plus: str) -> dict[str, float]:
    """Return the current [A] through each module, from − to +, when 1 A is pushed from ``minus`` to ``plus``."""
    currents = _currents_of_a_push(tuple(unit_push(edges)), minus, plus)
    return {edge.part: current for edge, current in zip(edges, currents, strict=True) if edge.kind == "module"}


@lru_cache(maxsize=4)
def _currents_of_a_push(branches: tuple[Branch, ...], minus: str, plus: str) -> tuple[float, ...]:
    """Return the current [A] of each branch; what was read of a voltage changes none of them."""
    return tuple(float(current) for current in solve_circuit(branches, {minus: 1.0, plus: -1.0}).current)


def with_sign(pack: Pack, node: str) -> str:
    """Return a place with the planned polarity beside it, other nodes as they are."""
    sign = pack.polarity_of(node)
    return f"{node} (planned {sign})" if sign else node
