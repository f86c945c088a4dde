"""The connected sections of a state: their modules, potentials at rest and at highest, and the voltage across each.

``network/sections`` has the voltage of sections too, and only while they grow.  Here things come off again, members of
a group that disagree drive currents (so each section is solved), and a tool's bridge asks for a section's resistance.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from packcheck.exposure.steps import State
from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Pack
from packcheck.network.circuit import resistances_between, solve_circuit
from packcheck.network.graph import Edge, branches

KEY_BITS = 96


@dataclass(frozen=True)
class Section:
    """A connected part of the pack with at least one module; potentials [V] against a node of its own.

    ``charged`` are the same edges, every module at its highest voltage.
    """

    edges: tuple[Edge, ...]
    charged: tuple[Edge, ...]
    modules: tuple[str, ...]

    @cached_property
    def rest(self) -> dict[str, float]:
        """Return the potential of each node [V], every module at rest."""
        return _potentials(self.edges)

    @cached_property
    def highest(self) -> dict[str, float]:
        """Return the potential of each node [V], every module at its highest voltage."""
        return _potentials(self.charged)

    @cached_property
    def ends(self) -> tuple[str, str]:
        """Return the nodes of lowest and highest potential, every module at its highest voltage."""
        return min(self.highest, key=self.highest.__getitem__), max(self.highest, key=self.highest.__getitem__)

    @cached_property
    def rest_v(self) -> float:
        """Return the voltage [V] across the section at rest."""
        return max(self.rest.values()) - min(self.rest.values())

    @cached_property
    def highest_v(self) -> float:
        """Return the voltage [V] across the section with every module at its highest."""
        return self.highest[self.ends[1]] - self.highest[self.ends[0]]

    @cached_property
    def resistance_ohm(self) -> float:
        """Return the resistance [ohm] between the two ends."""
        return float(resistances_between(branches(self.edges), [self.ends])[0])


class Sections:
    """Finds the sections of a state.  A section that has not changed is solved once.

    Parameters
    ----------
    pack : the layout.
    edges : all edges of the network, EMFs at rest, as drawn or as recorded.
    """

    def __init__(self, pack: Pack, edges: Sequence[Edge]) -> None:
        self._pack = pack
        self._edges = edges
        self._highest = {name: pack.module_type_at(name).highest_v for name in pack.positions}
        number: dict[str, int] = {}
        self._ends = [
            (number.setdefault(edge.start, len(number)), number.setdefault(edge.end, len(number))) for edge in edges
        ]
        self.number = number
        self._needs = [self._need(edge) for edge in edges]
        draw = random.Random(1)
        self._key = [draw.getrandbits(KEY_BITS) for _ in edges]
        self._solved: dict[int, Section] = {}

    def of(self, state: State) -> dict[int, tuple[int, Section]]:
        """Return by root number the key and the section of every part with a module in it."""
        self.root = root = list(range(len(self.number)))
        active = self._active(state)
        for index in active:
            a, b = self._ends[index]
            a, b = find(root, a), find(root, b)
            if a != b:
                root[b] = a
        members: dict[int, list[int]] = {}
        for index in active:
            members.setdefault(find(root, self._ends[index][0]), []).append(index)
        found = {}
        for top, edges in members.items():
            key = 0
            for index in edges:
                key ^= self._key[index]
            section = self._solved.get(key)
            if section is None:
                chosen = [self._edges[index] for index in edges]
                if not any(edge.kind == "module" for edge in chosen):
                    continue
                section = self._solved[key] = self._section(chosen)
            found[top] = (key, section)
        return found

    def touch_v(self, by_root: Mapping[int, tuple[int, Section]], nodes: Iterable[str]) -> float:
        """Return the highest voltage [V] between two of some nodes that one section joins, in the state of ``by_root``.

        Two hands reach further than a tool, so that distance does not count.
        """
        volts: dict[int, list[float]] = {}
        for node in nodes:
            root = self.root_of(node)
            if root in by_root:
                volts.setdefault(root, []).append(by_root[root][1].highest[node])
        return max((max(at) - min(at) for at in volts.values()), default=0.0)

    def root_of(self, node: str) -> int:
        """Return the root number of a node in the state last asked for; -1 for a node without edges."""
        index = self.number.get(node)
        return -1 if index is None else find(self.root, index)

    def _active(self, state: State) -> list[int]:
        """Return the numbers of the edges that are there in a state."""
        devices = self._pack.devices
        shut = {name for name in state.devices if devices[name].always_closed} | state.closed
        there = {"module": state.positions, "joint": state.conductors, "device": shut}
        standing = state.positions
        return [
            index
            for index, (kind, part, position) in enumerate(self._needs)
            if part in there[kind] and (not position or position in standing)
        ]

    def _need(self, edge: Edge) -> tuple[str, str, str]:
        """Return what an edge needs to be there: its part by kind, and the position its start stands on."""
        place = self._pack.places.get(edge.start)
        return edge.kind, edge.part, place.position if place else ""

    def _section(self, edges: list[Edge]) -> Section:
        charged = tuple(
            edge._replace(emf_v=self._highest.get(edge.part, edge.emf_v)) if edge.kind == "module" else edge
            for edge in edges
        )
        return Section(tuple(edges), charged, tuple(edge.part for edge in edges if edge.kind == "module"))


def _potentials(edges: Sequence[Edge]) -> dict[str, float]:
    return {str(node): float(volts) for node, volts in solve_circuit(branches(edges)).potential.items()}


def find(root: list[int], node: int) -> int:
    """Return the root of a node, halving the path to it."""
    while root[node] != node:
        root[node] = root[root[node]]
        node = root[node]
    return node
