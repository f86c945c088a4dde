"""Everything that follows from a layout alone: its network, what it joins, its voltages at the highest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from packcheck.model.pack.model import CHASSIS, Device, Pack
from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import Edge, Network, at_highest, monitors, network_of_layout, unit_push
from packcheck.network.loads_past_devices import PastLoads
from packcheck.network.solution import Solved, solve
from packcheck.network.stress import Stress
from packcheck.network.topology import (
    Forest,
    Switched,
    conductors_alone,
    modules_from,
    nodes_between,
    nodes_on_the_way,
    spanning_forest,
    tree_potentials,
)


@dataclass(frozen=True, eq=False)
class Drawn:
    """One layout as a network, and what the builders of facts ask of it, each worked out once."""

    pack: Pack

    @property
    def minus(self) -> str:
        """Return the node of main −."""
        return self.pack.outside["main-"]

    @property
    def plus(self) -> str:
        """Return the node of main +."""
        return self.pack.outside["main+"]

    @cached_property
    def network(self) -> Network:
        """Return the network as drawn."""
        return network_of_layout(self.pack)

    @cached_property
    def edges(self) -> list[Edge]:
        """Return the edges of the layout, everything closed."""
        return self.network.all_closed()

    @cached_property
    def forest(self) -> Forest:
        """Return a spanning forest of the layout, everything closed, grown from main −."""
        return spanning_forest(self.edges, roots=(self.minus,))

    @cached_property
    def conductors(self) -> Forest:
        """Return a spanning forest of what the layout joins without a module between, everything closed."""
        return conductors_alone(self.edges)

    @cached_property
    def loops(self) -> int:
        """Return the number of independent loops the layout has, everything closed."""
        return self.forest.loops(self.edges)

    @property
    def loops_through_modules(self) -> int:
        """Return the number of independent loops the layout has beyond those of conductors side by side."""
        plain = [edge for edge in self.edges if edge.kind != "module"]
        return self.loops - self.conductors.loops(plain)

    @cached_property
    def side_by_side(self) -> frozenset[str]:
        """Return the conductors drawn to join just the nodes another one joins: no voltage tells them apart."""
        alike: dict[frozenset[str], list[str]] = {}
        for conductor in self.pack.conductors.values():
            alike.setdefault(frozenset(landing.node for landing in conductor.lands), []).append(conductor.name)
        return frozenset(name for names in alike.values() if len(names) > 1 for name in names)

    @cached_property
    def string_of_group(self) -> dict[str, str]:
        """Return the string that each group belongs to, as drawn."""
        return {group: name for name, string in self.pack.strings.items() for group in string.groups}

    @cached_property
    def between(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains, as drawn."""
        return nodes_between(self.edges, self.minus, self.plus, self.forest)

    @cached_property
    def between_without_fuse(self) -> dict[str, frozenset[str]]:
        """Return for each fuse the nodes that are left on the paths between the mains when it has blown."""
        fuses = [device.name for device in self.pack.devices.values() if device.kind == "fuse"]
        return {
            fuse: nodes_between([edge for edge in self.edges if edge.part != fuse], self.minus, self.plus)
            for fuse in fuses
        }

    @cached_property
    def solution(self) -> Solved:
        """Return the same for the layout with every module at its highest voltage."""
        return solve(self.highest_edges, self.highest_forest)

    @cached_property
    def at_rest(self) -> Solved:
        """Return the same for the layout with every module in the middle of its rest window."""
        return solve(self.edges, self.forest)

    @cached_property
    def highest_edges(self) -> list[Edge]:
        """Return the edges of the layout with every module at its highest voltage, everything closed."""
        return at_highest(self.pack, self.edges)

    @cached_property
    def _highest_by_closed(self) -> dict[frozenset[str], Solved]:
        return {}

    def highest_with(self, closed: frozenset[str]) -> Solved:
        """Return potentials with some switches closed, loads left out, every module at its highest voltage."""
        if closed not in self._highest_by_closed:
            edges = [edge for edge in self.network.closed(closed) if not edge.is_load]
            self._highest_by_closed[closed] = solve(at_highest(self.pack, edges))
        return self._highest_by_closed[closed]

    @cached_property
    def highest_forest(self) -> Forest:
        """Return a spanning forest of the layout with every module at its highest voltage."""
        return self.forest.told_by(self.highest_edges)

    @cached_property
    def has_branches(self) -> bool:
        """Return whether anything but the mains is fed: outlets, loads, the chassis."""
        loads = any(device.is_load and not device.across for device in self.pack.devices.values())
        landed = (landing.node for conductor in self.pack.conductors.values() for landing in conductor.lands)
        return bool(self.pack.outlets) or loads or CHASSIS in landed

    def served_by(self, edges: Sequence[Edge]) -> frozenset[str]:
        """Return the nodes on the way between any two terminals: mains, outlets, chassis; through loads too."""
        return nodes_on_the_way([*edges, *monitors(self.pack)], (*self.pack.terminals.values(), CHASSIS))

    @cached_property
    def served(self) -> frozenset[str]:
        """Return the nodes on the paths between the mains and in the branches beside them, as drawn."""
        return self.served_by(self.network.edges) if self.has_branches else self.between

    @cached_property
    def stress(self) -> Stress:
        """Return what each device may have to break, whichever terminals are shorted."""
        return Stress(self.highest_edges, self.highest_forest, self.solution, tuple(self._shorts()))

    def _shorts(self) -> Iterator[tuple[str, str]]:
        """Yield the pairs of nodes that a fault outside may join: mains, both ends of an outlet, one end and a main."""
        yield self.plus, self.minus
        for outlet in self.pack.outlets.values():
            if outlet.plus and outlet.minus:
                yield outlet.plus, outlet.minus
            else:
                yield from ((outlet.plus or outlet.minus, main) for main in (self.plus, self.minus))
        for device in self.pack.devices.values():
            if device.is_load and not device.across and device.kind != "isolation monitor":
                yield device.ends

    @cached_property
    def highest_v(self) -> float | None:
        """Return the voltage [V] between the mains with every module at its highest; None when nothing joins them."""
        return self.solution.voltage_v(self.plus, self.minus)

    @property
    def short_current_a(self) -> float | None:
        """Return the current [A] of a short between the mains; None when nothing joins them."""
        return self.stress.shorts[0].total_a if self.between else None

    @cached_property
    def order(self) -> dict[str, int]:
        """Return the place of each module along its string, as drawn."""
        return modules_from(self.edges, self.minus, self.plus, self.conductors)

    @cached_property
    def switches_open(self) -> Forest:
        """Return the forest of what the layout joins with every switch open."""
        return self.joined_with(frozenset())

    @cached_property
    def potentials_switches_open(self) -> dict[str, float]:
        """Return the potential [V] of each node with every switch open, in its island by itself."""
        return tree_potentials(self.switches_open)

    @cached_property
    def places_switches_open(self) -> dict[str, list[str]]:
        """Return the places and device ends of each such island, by its root."""
        found: dict[str, list[str]] = {}
        for node, root in self.switches_open.root.items():
            if node not in self.pack.conductors:
                found.setdefault(root, []).append(node)
        return found

    @cached_property
    def conductors_switches_open(self) -> Forest:
        """Return the forest of what the layout joins without a module between, with every switch open."""
        return conductors_alone(self.network.closed(()))

    @cached_property
    def _joined_by_closed(self) -> dict[frozenset[str], Forest]:
        return {}

    def joined_with(self, closed: frozenset[str]) -> Forest:
        """Return the forest of what the layout joins with some switches closed, the others open."""
        if closed not in self._joined_by_closed:
            self._joined_by_closed[closed] = spanning_forest(self.network.closed(closed))
        return self._joined_by_closed[closed]

    @cached_property
    def _device_edges(self) -> list[Edge]:
        return [edge for edge in self.network.edges if edge.kind == "device"]

    @cached_property
    def _joins_by_closed(self) -> dict[frozenset[str], Switched]:
        return {}

    def joins(self, closed: Iterable[str]) -> Switched:
        """Return what the layout joins with some switches closed, the others open, where no way is asked for."""
        shut = frozenset(closed)
        if shut not in self._joins_by_closed:
            edges = (edge for edge in self._device_edges if edge.part in shut)
            self._joins_by_closed[shut] = Switched(self.switches_open, edges)
        return self._joins_by_closed[shut]

    @cached_property
    def _roots_with_modules(self) -> frozenset[str]:
        root = self.switches_open.root
        return frozenset(root[edge.start] for edge in self.network.edges if edge.kind == "module")

    def has_module_beside(self, node: str) -> bool:
        """Return whether the layout joins a node to a module with every switch open."""
        return self.switches_open.root.get(node) in self._roots_with_modules

    @cached_property
    def against(self) -> tuple[str, ...]:
        """Return the modules on the paths between the mains that a current from main − to main + enters at their +."""
        return tuple(name for name, forward in self.forwards.items() if not forward and name in self.pack.positions)

    @cached_property
    def forwards(self) -> dict[str, bool]:
        """Return what a current from main − to main + runs through, and whether it enters at the start.

        Modules and devices count; the start is the − of a module, and end 1 of a device.
        """
        if not self.between:
            return {}
        if self.loops == 0:
            walk = self.forest.walk(self.minus, self.plus) or []
            return {step.edge.part: step.forward for step in walk if step.edge.kind in ("module", "device")}
        solution = solve_circuit(unit_push(self.edges), {self.minus: 1.0, self.plus: -1.0})
        carried = [(e, a) for e, a in zip(self.edges, solution.current, strict=True) if e.kind in ("module", "device")]
        return {edge.part: float(current) > 0 for edge, current in carried if abs(float(current)) > 1e-9}

    @cached_property
    def _alone_by_device(self) -> dict[str, bool]:
        return {}

    def acts_in_path(self, device: Device) -> bool:
        """Return whether a device lies on a path between the mains with no conductors past it."""
        return all(end in self.between for end in device.ends) and self._stands_alone(device)

    def acts_in_branch(self, device: Device) -> bool:
        """Return the same of a device anywhere on the way to a main, an outlet, a load or the chassis."""
        return all(end in self.served for end in device.ends) and self._stands_alone(device)

    def _stands_alone(self, device: Device) -> bool:
        if device.name not in self._alone_by_device:
            self._alone_by_device[device.name] = self._is_alone(device)
        return self._alone_by_device[device.name]

    def _is_alone(self, device: Device) -> bool:
        others = [edge for edge in self._plain_edges_by_root.get(self.conductors.root.get(device.ends[0], ""), ())
                  if edge.name != device.name]  # fmt: skip
        return not spanning_forest(others).joined(*device.ends)

    @cached_property
    def past_loads(self) -> PastLoads:
        """Return what tells which loads lead past a device, as drawn."""
        return PastLoads(self.network.edges, self.conductors)

    @cached_property
    def _plain_edges_by_root(self) -> dict[str, list[Edge]]:
        """Return what joins without a module between, by the root of the nodes it joins."""
        found: dict[str, list[Edge]] = {}
        for edge in self.edges:
            if edge.kind != "module":
                found.setdefault(self.conductors.root[edge.start], []).append(edge)
        return found


@lru_cache(maxsize=4)
def drawn(pack: Pack) -> Drawn:
    """Return the one ``Drawn`` of a pack: several records are checked against one layout."""
    return Drawn(pack)
