"""The exposure of an order of work: every stage of it with its sections, its bridges and what it asks for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import inf

from packcheck.exposure.bridges import SWINGING, Bridge, Bridges, Found, Source
from packcheck.exposure.protection import Asks, asks_for
from packcheck.exposure.sections import Section, Sections
from packcheck.exposure.steps import Bareness, State, finished, states_of
from packcheck.files.problems import WrongUsage, nearest_name
from packcheck.geometry.reach import Geometry, build_geometry
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage
from packcheck.model.record.model import Record
from packcheck.network.graph import Edge, at_highest, network_of_layout, network_of_record
from packcheck.network.solution import solve

USUAL_TOOL_MM = 150.0
USUAL_EXTERNAL_OHM = 1e-3


@dataclass(frozen=True)
class Asked:
    """What was asked: tools [mm], resistance of the bridge itself [ohm], an earthed node, caps on or all off."""

    tools_mm: tuple[float, ...] = (USUAL_TOOL_MM,)
    external_ohm: float = USUAL_EXTERNAL_OHM
    earthed: str = ""
    caps: bool = True


@dataclass(frozen=True)
class Exposure:
    """One stage: what is bare (places by section), the largest section, the worst bridges, what the stage asks for.

    ``across`` is the largest section bridged from end to end: the most that any bridge of this stage could see,
    whatever is covered.  ``worst`` has one entry per reach.  ``floating`` tells that a bridge in reach would join two
    sections: it passes no current by itself, but ``then_v`` [V] may lie across the next one.  ``touch_v`` [V] is the
    highest voltage between any two bare conductors of one section, however far apart: two hands reach further than a
    tool.
    """

    stage: Stage
    state: State
    bare: tuple[str, ...]
    sections: tuple[Section, ...]
    across: Source | None
    worst: tuple[Bridge | None, ...]
    pairs: int
    class_b_pairs: int
    power_sum_w: float
    floating: bool
    then_v: float
    touch_v: float
    asks: Asks

    @property
    def largest(self) -> Section | None:
        """Return the section with the highest voltage."""
        return self.sections[0] if self.sections else None

    @property
    def highest_v(self) -> float:
        """Return the voltage [V] of the largest section at the highest cell voltage."""
        return self.sections[0].highest_v if self.sections else 0.0

    @property
    def rest_v(self) -> float:
        """Return the voltage [V] of the largest section at rest."""
        return self.sections[0].rest_v if self.sections else 0.0

    @property
    def worst_of_all(self) -> Bridge | None:
        """Return the worst bridge over all reaches."""
        found = [bridge for bridge in self.worst if bridge]
        return max(found, key=Bridge.rank, default=None)


@dataclass
class Model:
    """A pack made ready for the question: geometry, sections and bridges, each worked out once."""

    pack: Pack
    asked: Asked
    record: Record | None = None
    geometry: Geometry = field(init=False)
    sections: Sections = field(init=False)
    bridges: Bridges = field(init=False)
    bareness: Bareness = field(init=False)
    pack_v: float = field(init=False)

    def __post_init__(self) -> None:
        self.geometry = build_geometry(self.pack, self.asked.tools_mm)
        self.sections = Sections(self.pack, edges_of(self.pack, self.record))
        node = earthed_node(self.pack, self.asked.earthed)
        self.bridges = Bridges(
            self.geometry, self.sections, self.asked.external_ohm, node, self.pack.sense_limit_a or inf
        )
        self.bareness = Bareness(self.pack, self.geometry, self.asked.caps)
        self.pack_v = string_v(self.pack)

    def start(self, stages: Sequence[Stage]) -> State:
        """Return the state before the first stage: nothing, or a finished pack that is taken apart."""
        return finished(self.pack) if stages and stages[0].off else State()

    def story(self, stages: Sequence[Stage], start: State | None = None) -> list[Exposure]:
        """Return the exposure after every stage."""
        begin = start if start is not None else self.start(stages)
        return [self.exposure(stage, state) for stage, state in states_of(self.pack, stages, begin)]

    def exposure(self, stage: Stage, state: State, bareness: Bareness | None = None) -> Exposure:
        """Return the exposure of one state."""
        by_root = self.sections.of(state)
        bodies, bare = self.geometry.bodies, (bareness or self.bareness).bare(state)
        root_of = {index: self.sections.root_of(bodies[index].node) for index in bare}
        inside: dict[int, list[int]] = {}
        for index, root in root_of.items():
            if root in by_root:
                inside.setdefault(root, []).append(index)
        live = {index: root for index, root in root_of.items() if root in by_root}
        found = [self.bridges.of_section(*by_root[root], members) for root, members in inside.items()]
        sections = sorted((section for _, section in by_root.values()), key=lambda s: -s.highest_v)
        floating = len(inside) > 1 and self.bridges.joins_two_sections(live, live)
        heights = sorted((by_root[root][1].highest_v for root in inside), reverse=True)
        rest_v = sections[0].rest_v if sections else 0.0
        highest_v = sections[0].highest_v if sections else 0.0
        fixed = [bodies[index] for index in live if bodies[index].kind in ("post", "bar")]
        places = [place for body in fixed if state.in_hand.isdisjoint(body.places) for place in body.places]
        return Exposure(
            stage=stage, state=state, bare=tuple(bodies[index].name for index in live), sections=tuple(sections),
            across=self.bridges.across(sections[0]) if sections else None,
            worst=self._worst(found, state), pairs=sum(f.pairs for f in found),
            class_b_pairs=sum(f.class_b for f in found),
            power_sum_w=sum(f.power_sum_w for f in found), floating=floating,
            then_v=sum(heights[:2]) if floating else 0.0,
            touch_v=self.sections.touch_v(by_root, (bodies[index].node for index in live)),
            asks=asks_for(
                self.pack, highest_v, rest_v, places, state.covers | self._over_work(state), self.bareness.over,
                self.pack_v,
            ),
        )  # fmt: skip

    def _over_work(self, state: State) -> frozenset[str]:
        """Return the covers over the joints in hand: they cannot go on before the work under them is done."""
        places, parts = self.bareness.over, self.bareness.over_conductor
        return frozenset(cover for name in state.in_hand for cover in (*places.get(name, ()), *parts.get(name, ())))

    def power_sum_w(self, state: State) -> float:
        """Return the sum of E²/(4R) [W] over all pairs of bare conductors in reach of each other in a state."""
        by_root = self.sections.of(state)
        inside: dict[int, list[int]] = {}
        for index in self.bareness.bare(state):
            root = self.sections.root_of(self.geometry.bodies[index].node)
            if root in by_root:
                inside.setdefault(root, []).append(index)
        return sum(self.bridges.of_section(*by_root[root], bare).power_sum_w for root, bare in inside.items())

    def _worst(self, found: Iterable[Found], state: State) -> tuple[Bridge | None, ...]:
        columns = [[f.worst[i] for f in found] for found in [list(found)] for i in range(len(self.geometry.reaches))]
        worst = (max((b for b in column if b), key=Bridge.rank, default=None) for column in columns)
        words = (reach.words for reach in self.geometry.reaches)
        return tuple(b and self._as_bolted(b, by, state) for b, by in zip(worst, words, strict=True))

    def _as_bolted(self, bridge: Bridge, by: str, state: State) -> Bridge:
        """Return a bridge that a lead end makes by itself, or, its lead bolted at both ends, what else spans it."""
        part_of = {body.name: body.part for body in self.geometry.bodies if body.kind == "lead end"}
        leads = {part_of[name] for name in (bridge.a, bridge.b) if name in part_of}
        if bridge.by != SWINGING or not leads.isdisjoint(state.in_hand):
            return bridge
        return replace(bridge, by=by, gap_drawn=False)


def string_v(pack: Pack) -> float:
    """Return the voltage [V] between the mains, everything closed and every module at its highest; 0 where unjoined."""
    edges = at_highest(pack, network_of_layout(pack).all_closed())
    return abs(solve(edges).voltage_v(pack.outside["main+"], pack.outside["main-"]) or 0.0)


def edges_of(pack: Pack, record: Record | None) -> tuple[Edge, ...]:
    """Return the edges to reckon with: those of the layout, or of a record where one is given.

    Parts the record says are not fitted are left out; what it does not say is taken as drawn.
    """
    return network_of_record(record).edges if record else network_of_layout(pack).edges


def earthed_node(pack: Pack, name: str) -> str:
    """Return the node that is earthed; "" for none.

    Raises
    ------
    WrongUsage : the layout has no such node.
    """
    if not name:
        return ""
    node = pack.node_of(name)
    if node is None:
        near = nearest_name(name, [*pack.nodes, *pack.taps, *pack.terminals])
        raise WrongUsage(f"no place, conductor or device end '{name}'" + (f"; did you mean '{near}'?" if near else ""))
    return node
