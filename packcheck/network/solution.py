"""Potentials and currents of a pack's network with nothing connected outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from packcheck.files.frozen import dataclass
from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import Edge, branches
from packcheck.network.topology import Forest, spanning_forest, tree_potentials


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
    if forest.loops(edges):
        solution = solve_circuit(branches(edges))
        potential = {str(node): float(volts) for node, volts in solution.potential.items()}
        island = {str(node): str(root) for node, root in solution.island.items()}
        return Solved(potential, island, [float(current) for current in solution.current])
    return Solved(tree_potentials(forest), forest.root, [0.0] * len(edges))
