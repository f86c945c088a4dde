"""Potentials and currents of a pack's network with nothing connected outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.graph import Edge, branches
from packcheck.network.topology import Forest, spanning_forest, tree_potentials

SHORT_OHM = 1e-6
"""Resistance of a short between the mains [ohm]: small beside any pack's own."""


@dataclass(frozen=True)
class Solved:
    """Potentials [V] by node, each island against its own first node; currents [A] by edge, from start to end."""

    potential: Mapping[str, float]
    island: Mapping[str, str]
    currents: Sequence[float]

    def voltage_v(self, plus: str, minus: str) -> float | None:
        """Return the voltage [V] of ``plus`` against ``minus``; None when nothing joins them."""
        if plus not in self.island or self.island[plus] != self.island.get(minus):
            return None
        return self.potential[plus] - self.potential[minus]


def solve(edges: Sequence[Edge], forest: Forest | None = None) -> Solved:
    """Return potentials and currents of a network.

    Where it has no loop no current flows, and the potentials are the EMFs added up along a tree; else the nodal
    equations are solved.  ``forest`` spans the edges, where the caller has it.
    """
    forest = forest or spanning_forest(edges)
    islands = len(forest.root) - len(forest.step)
    if len(edges) > len(forest.root) - islands:
        solution = solve_circuit(branches(edges))
        potential = {str(node): float(volts) for node, volts in solution.potential.items()}
        island = {str(node): str(root) for node, root in solution.island.items()}
        return Solved(potential, island, [float(current) for current in solution.current])
    return Solved(tree_potentials(forest), forest.root, [0.0] * len(edges))


def short_currents_a(edges: Sequence[Edge], plus: str, minus: str, forest: Forest) -> dict[str, float]:
    """Return the current [A] through each device when two joined nodes are shorted, and that of the short as ""."""
    islands = len(forest.root) - len(forest.step)
    if len(edges) == len(forest.root) - islands:
        walk = forest.walk(minus, plus) or []
        volts = sum(step.edge.emf_v if step.forward else -step.edge.emf_v for step in walk)
        current = abs(volts) / (SHORT_OHM + sum(step.edge.resistance_ohm for step in walk))
        on_the_way = {step.edge.part for step in walk}
        devices = [edge.part for edge in edges if edge.kind == "device"]
        return {**{name: current if name in on_the_way else 0.0 for name in devices}, "": current}
    solution = solve_circuit([*branches(edges), Branch(plus, minus, SHORT_OHM, 0.0)])
    devices_a = {
        edge.part: abs(float(current))
        for edge, current in zip(edges, solution.current, strict=False)
        if edge.kind == "device"
    }
    return {**devices_a, "": abs(float(solution.current[-1]))}
