"""Everything that fact builders look at: the pack, its record, their networks, and the solutions of those."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from packcheck.facts.catalogue import Datum
from packcheck.network import Edge, Network, network_of_layout, network_of_record, unit_push
from packcheck.pack.model import Bounds, Conductor, Device, Pack
from packcheck.physics.circuit import solve_circuit
from packcheck.record.model import Record
from packcheck.solution import Solved, short_currents_a, solve
from packcheck.topology import (
    Forest,
    conductors_alone,
    count_independent_loops,
    modules_from,
    nodes_between,
    spanning_forest,
)

PATH = "the path between the mains"
"""A name that parts of one broken path share, so that what follows from it is folded under its cause."""


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

    @property
    def minus(self) -> str:
        """Return the node of main −."""
        return self.pack.outside["main-"]

    @property
    def plus(self) -> str:
        """Return the node of main +."""
        return self.pack.outside["main+"]

    @cached_property
    def layout(self) -> Network:
        """Return the network as drawn."""
        return network_of_layout(self.pack)

    @cached_property
    def built(self) -> Network:
        """Return the network as recorded."""
        return network_of_record(self.record) if self.record else self.layout

    @cached_property
    def layout_edges(self) -> list[Edge]:
        """Return the edges of the layout, everything closed."""
        return self.layout.all_closed()

    @cached_property
    def built_edges(self) -> list[Edge]:
        """Return the edges surely fitted, everything closed."""
        return self.built.all_closed()

    @cached_property
    def layout_forest(self) -> Forest:
        """Return a spanning forest of the layout, everything closed, grown from main −."""
        return spanning_forest(self.layout_edges, roots=(self.minus,))

    @cached_property
    def layout_conductors(self) -> Forest:
        """Return a spanning forest of what the layout joins without a module between, everything closed."""
        return conductors_alone(self.layout_edges)

    @cached_property
    def layout_loops(self) -> int:
        """Return the number of independent loops the layout has, everything closed."""
        return count_independent_loops(self.layout_edges)

    @property
    def layout_loops_through_modules(self) -> int:
        """Return the number of independent loops the layout has beyond those of conductors side by side."""
        plain = [edge for edge in self.layout_edges if edge.kind != "module"]
        return self.layout_loops - count_independent_loops(plain)

    @cached_property
    def side_by_side(self) -> frozenset[str]:
        """Return the conductors drawn to join just the nodes another one joins: no voltage tells them apart."""
        alike: dict[frozenset[str], list[str]] = {}
        for conductor in self.pack.conductors.values():
            alike.setdefault(frozenset(landing.node for landing in conductor.lands), []).append(conductor.name)
        return frozenset(name for names in alike.values() if len(names) > 1 for name in names)

    @cached_property
    def layout_between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains, as drawn."""
        return nodes_between(self.layout_edges, self.minus, self.plus, self.layout_forest)

    @cached_property
    def surely_between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains through what is surely fitted."""
        if self.joins_as_drawn:
            return self.layout_between
        return nodes_between(self.built_edges, self.minus, self.plus)

    @cached_property
    def joins_as_drawn(self) -> bool:
        """Return whether what is surely fitted joins exactly the nodes that the layout joins."""
        return self.record is None or joins_alike(self.built_edges, self.layout_edges)

    @cached_property
    def possibly_between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains if all that nobody recorded is fitted."""
        if self.built.is_certain:
            return self.surely_between
        return nodes_between(self.built.all_closed(possibly=True), self.minus, self.plus)

    def lies_between(self, *nodes: str) -> bool | None:
        """Return whether nodes all lie on a path between the mains; None while unrecorded parts leave it open."""
        if all(node in self.surely_between for node in nodes):
            return True
        return None if all(node in self.possibly_between for node in nodes) else False

    @cached_property
    def fitted_datum(self) -> Datum:
        """Return what to record first when unrecorded parts leave a question of topology open."""
        name = next(iter(self.built.unrecorded), "")
        conductor = self.pack.conductors.get(name)
        what = "whether a module is fitted" if name in self.pack.positions else "whether it is fitted"
        return Datum(what, name, "eyes", face_of_conductor(self.pack, conductor) if conductor else "")

    @cached_property
    def built_solution(self) -> Solved:
        """Return potentials and currents of what is surely fitted, everything closed, nothing connected outside."""
        return solve(self.built_edges)

    @cached_property
    def layout_solution(self) -> Solved:
        """Return the same for the layout with every module at its highest voltage."""
        return solve(self.highest_edges, self.highest_forest)

    @cached_property
    def highest_edges(self) -> list[Edge]:
        """Return the edges of the layout with every module at its highest voltage, everything closed."""
        kind = self.pack.module_type_at
        return [
            edge._replace(emf_v=kind(edge.part).highest_v) if edge.kind == "module" else edge
            for edge in self.layout_edges
        ]

    @cached_property
    def highest_forest(self) -> Forest:
        """Return a spanning forest of the layout with every module at its highest voltage."""
        return spanning_forest(self.highest_edges, roots=(self.minus,))

    @cached_property
    def highest_v(self) -> float | None:
        """Return the voltage [V] between the mains with every module at its highest; None when nothing joins them."""
        return self.layout_solution.voltage_v(self.plus, self.minus)

    @cached_property
    def short_currents(self) -> dict[str, float]:
        """Return the current [A] through each device when the mains are shorted, and of the short itself as ""."""
        if not self.layout_between:
            return {}
        return short_currents_a(self.highest_edges, self.plus, self.minus, self.highest_forest)

    @cached_property
    def current_share(self) -> dict[str, float]:
        """Return for each module its share of a unit current from main − to main +, as built over as drawn."""
        if not self.built.is_certain or not self.surely_between or not self.layout_between:
            return {}
        if self.joins_as_drawn and self.layout_loops == 0:
            return self._share_of_plain_string()
        drawn = pushed_through(self.layout_edges, self.minus, self.plus)
        built = pushed_through(self.built_edges, self.minus, self.plus)
        return {name: built[name] / drawn[name] for name in built if abs(drawn.get(name, 0.0)) > 1e-9}

    def _share_of_plain_string(self) -> dict[str, float]:
        """Return the shares where the current has one way only: 1 for a module as drawn, −1 for one turned round."""
        drawn = {edge.part: edge.start for edge in self.layout_edges if edge.kind == "module"}
        return {
            edge.part: 1.0 if drawn[edge.part] == edge.start else -1.0
            for edge in self.built_edges
            if edge.kind == "module" and edge.start in self.layout_between and edge.end in self.layout_between
        }

    @cached_property
    def order_planned(self) -> dict[str, int]:
        """Return the place of each module along its string, as drawn."""
        return modules_from(self.layout_edges, self.minus, self.plus, self.layout_conductors)

    @cached_property
    def order_built(self) -> dict[str, int]:
        """Return the place of each module along its string, as built; empty while unrecorded parts leave it open."""
        if self.joins_as_drawn:
            return self.order_planned
        return modules_from(self.built_edges, self.minus, self.plus) if self.built.is_certain else {}

    @cached_property
    def switches_open(self) -> tuple[Forest, Forest]:
        """Return the forests of what is joined with every switch open: surely, and possibly."""
        surely = spanning_forest(self.built.closed(()))
        if self.built.is_certain:
            return surely, surely
        return surely, spanning_forest(self.built.closed((), possibly=True))

    def bypassed_by(self, device: Device) -> list[str]:
        """Return the conductors not as drawn on the way from one end of a device to the other, every switch open."""
        if device.always_closed or device.across:
            return []
        walk = self.switches_open[0].walk(*device.ends)
        return sorted({step.edge.part for step in walk or () if step.edge.kind == "joint" and not step.edge.as_drawn})

    @cached_property
    def bypassing(self) -> frozenset[str]:
        """Return the conductors not as drawn that join the two sides of an open switch."""
        return frozenset(name for device in self.pack.devices.values() for name in self.bypassed_by(device))

    @cached_property
    def layout_switches_open(self) -> Forest:
        """Return the forest of what the layout joins with every switch open."""
        return self.switches_open[0] if self.record is None else spanning_forest(self.layout.closed(()))

    @cached_property
    def _roots_with_modules(self) -> frozenset[str]:
        root = self.layout_switches_open.root
        return frozenset(root[edge.start] for edge in self.layout.edges if edge.kind == "module")

    def has_module_beside(self, node: str) -> bool:
        """Return whether the layout joins a node to a module with every switch open."""
        return self.layout_switches_open.root.get(node) in self._roots_with_modules


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
    solution = solve_circuit(unit_push(edges), {minus: 1.0, plus: -1.0})
    return {
        edge.part: float(current)
        for edge, current in zip(edges, solution.current, strict=True)
        if edge.kind == "module"
    }
