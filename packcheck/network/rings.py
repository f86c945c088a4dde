"""Rings of a network that voltage drives a current around: shorts, and strings or members that fight each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from packcheck.network.graph import Edge
from packcheck.network.topology import Clusters, Forest, Step, conductors_alone, spanning_forest, tree_potentials

QUIET_SHARE = 0.02
"""Rings driven by less than this share of a module's voltage are not looked at: they only join like poles."""


class Ring(NamedTuple):
    """A closed walk through modules; its first step closes it, and is what fits the layout least.

    ``driving_v`` is the sum of the EMFs around it [V], never negative; ``half_v`` its uncertainty [V]; ``current_a``
    the largest current in it [A], and ``power_w`` the heat in all of it [W].
    """

    steps: tuple[Step, ...]
    driving_v: float
    half_v: float
    current_a: float = 0.0
    power_w: float = 0.0

    @property
    def modules(self) -> tuple[str, ...]:
        """Return the modules it runs through."""
        return tuple(step.edge.part for step in self.steps if step.edge.kind == "module")

    @property
    def conductors(self) -> tuple[str, ...]:
        """Return the conductors it runs through."""
        return tuple(dict.fromkeys(step.edge.part for step in self.steps if step.edge.kind == "joint"))

    @property
    def odd(self) -> tuple[str, ...]:
        """Return its conductors and modules that are not as drawn."""
        return tuple(dict.fromkeys(step.edge.part for step in self.steps if not step.edge.as_drawn))

    @property
    def module_v(self) -> float:
        """Return the greatest voltage of one of its modules [V]."""
        return max(step.edge.emf_v for step in self.steps if step.edge.kind == "module")

    @property
    def resistance_ohm(self) -> float:
        """Return the sum of the resistances around it [ohm]."""
        return sum(step.edge.resistance_ohm for step in self.steps)


def driven_rings(edges: Sequence[Edge], currents: Callable[[Sequence[Edge]], Sequence[float]]) -> list[Ring]:
    """Return the rings with a driving voltage, and those that an edge not as drawn closes.

    A tree is grown from what is as drawn: conductors first, then modules, then what is otherwise; each edge left over
    closes one ring.  ``currents`` [A] are asked for only where there is a ring to tell.
    """
    cluster = Clusters()
    kept: list[Edge] = []
    closing: list[Edge] = []
    for edge in sorted(edges, key=_oddness):
        (kept if cluster.join(edge.start, edge.end) else closing).append(edge)
    if not closing:
        return []
    plain, forest = conductors_alone(kept), spanning_forest(kept)
    volts = tree_potentials(forest)
    told = list(_told(closing, plain, forest, volts))
    if not told:
        return []
    amperes = dict(zip((edge.name for edge in edges), currents(edges), strict=True))
    return [_with_current(ring, amperes) for ring in told]


def _with_current(ring: Ring, amperes: Mapping[str, float]) -> Ring:
    through = [abs(float(amperes[step.edge.name])) for step in ring.steps]
    heat = sum(a * a * step.edge.resistance_ohm for a, step in zip(through, ring.steps, strict=True))
    return ring._replace(current_a=max(through), power_w=heat)


def _oddness(edge: Edge) -> tuple[bool, bool]:
    return (not edge.as_drawn, edge.kind == "module")


def _told(closing: Sequence[Edge], plain: Forest, forest: Forest, volts: dict[str, float]) -> Iterator[Ring]:
    for edge in closing:
        driving = edge.emf_v + volts[edge.start] - volts[edge.end]
        if edge.as_drawn and abs(driving) <= QUIET_SHARE * abs(edge.emf_v):
            continue
        back = plain.walk(edge.end, edge.start) or forest.walk(edge.end, edge.start) or []
        ring = Ring((Step(edge, True), *back), abs(driving), sum(s.edge.half_v for s in (Step(edge, True), *back)))
        if ring.modules and (not edge.as_drawn or abs(driving) > QUIET_SHARE * ring.module_v):
            yield ring


def worst_of_each(rings: Sequence[Ring]) -> list[Ring]:
    """Return of the rings that share a conductor or a module the one with the fewest modules, then the largest current.

    Rings closed by conductors that are not as drawn are told each by itself.
    """
    cluster = Clusters()
    for ring in rings:
        for part in (*ring.modules, *ring.conductors):
            cluster.join(ring.steps[0].edge.part, part)
    best: dict[str, Ring] = {}
    for ring in rings:
        first = ring.steps[0].edge
        key = first.name if not first.as_drawn and first.kind == "joint" else cluster.find(first.part)
        if key not in best or _rank(ring) < _rank(best[key]):
            best[key] = ring
    return list(best.values())


def _rank(ring: Ring) -> tuple[int, float]:
    return (len(ring.modules), -ring.current_a)
