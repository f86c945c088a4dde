"""Bridges: two bare conductors of one section within reach of each other, and what flows when they are joined."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite

from packcheck.exposure.sections import KEY_BITS, Section, Sections
from packcheck.geometry.reach import Geometry, Pair, way_of
from packcheck.network.circuit import resistances_between
from packcheck.network.graph import branches
from packcheck.physics.arc import ArcPoint, arc_operating_point, maximum_power_w, short_circuit_current_a
from packcheck.physics.classes import voltage_class

ARC_GAP_MM = 1.0
"""Gap at which the arc fit is asked whether an arc can hold [mm]."""
NO_VOLTS = 1e-6
FRAME = "the earthed frame"
SWINGING = "a free lead end by itself"


@dataclass(frozen=True)
class Source:
    """Two nodes seen as a source: voltages [V] at rest and at highest, resistance [ohm] with all EMFs as wires.

    ``external_ohm`` is what the bridge itself adds; ``limit_a`` is what a sense wire on the way carries [A] before its
    fuse opens or it melts.
    """

    rest_v: float
    highest_v: float
    resistance_ohm: float
    external_ohm: float
    limit_a: float = inf

    @property
    def current_rest_a(self) -> float:
        """Return the current [A] of a bridge at rest voltage."""
        return min(self.limit_a, short_circuit_current_a(self.rest_v, self.resistance_ohm, self.external_ohm))

    @property
    def current_a(self) -> float:
        """Return the current [A] of a bridge at the highest voltage."""
        return min(self.limit_a, short_circuit_current_a(self.highest_v, self.resistance_ohm, self.external_ohm))

    @property
    def power_rest_w(self) -> float:
        """Return the bound E²/(4R) [W] on the power of an arc or a poor contact, at rest voltage."""
        return self._bound_w(self.rest_v)

    @property
    def power_w(self) -> float:
        """Return the bound E²/(4R) [W] at the highest voltage."""
        return self._bound_w(self.highest_v)

    @property
    def arc(self) -> ArcPoint | None:
        """Return the arc that the published fit gives at 1 mm at the highest voltage; None when it gives none."""
        return self._arc(self.highest_v)

    @property
    def arc_rest(self) -> ArcPoint | None:
        """Return the same at rest voltage."""
        return self._arc(self.rest_v)

    def _bound_w(self, volts: float) -> float:
        return min(maximum_power_w(volts, self.resistance_ohm), volts * self.limit_a)

    def _arc(self, volts: float) -> ArcPoint | None:
        arc = arc_operating_point(volts, self.resistance_ohm, ARC_GAP_MM)
        return arc if arc and arc.current_a <= self.limit_a else None

    @property
    def voltage_class(self) -> str:
        """Return the voltage class at the highest voltage: A, B, or "beyond B"."""
        return voltage_class(self.highest_v) or "beyond B"


@dataclass(frozen=True)
class Bridge:
    """The two bodies joined, how far apart they are [mm], which way the bridge lies, what spans it.

    ``gap_drawn`` is False where the layout does not say how far: one end is that of a lead, bolted to a device that
    stands somewhere within the length of the lead.
    """

    a: str
    b: str
    nodes: tuple[str, str]
    gap_mm: float
    way: str
    by: str
    source: Source
    gap_drawn: bool = True

    def rank(self) -> tuple[bool, float, float]:
        """Return how bad it is: what no sense wire limits first, then the highest voltage, then the most power."""
        return self.source.limit_a == inf, round(self.source.highest_v, 6), self.source.power_w


@dataclass(frozen=True)
class Found:
    """The bridges of one section: the worst for each reach (None where nothing is in reach), and their sum.

    ``class_b`` counts pairs above 60 V; ``power_sum_w`` adds E²/(4R) over all pairs within the longest reach.
    """

    worst: tuple[Bridge | None, ...]
    pairs: int
    class_b: int
    power_sum_w: float


class Bridges:
    """Finds the bridges of sections; what has not changed is worked out once."""

    def __init__(
        self, geometry: Geometry, sections: Sections, external_ohm: float, earthed: str = "", sense_a: float = inf
    ) -> None:
        self.geometry = geometry
        self._sections = sections
        self._external_ohm = external_ohm
        self._earthed = earthed
        self._sense_a = sense_a
        self._near: list[list[tuple[int, float]]] = [[] for _ in geometry.bodies]
        for pair in geometry.pairs:
            self._near[pair.a].append((pair.b, pair.gap_mm))
            self._near[pair.b].append((pair.a, pair.gap_mm))
        draw = random.Random(2)
        self._key = [draw.getrandbits(KEY_BITS) for _ in geometry.bodies]
        self._known: dict[tuple[int, int], Found] = {}

    def of_section(self, key: int, section: Section, bare: Sequence[int]) -> Found:
        """Return the bridges among the bare bodies of a section."""
        mark = 0
        for index in bare:
            mark ^= self._key[index]
        found = self._known.get((key, mark))
        if found is None:
            found = self._known[key, mark] = self._find(section, bare)
        return found

    def joins_two_sections(self, bare: Iterable[int], root_of: dict[int, int]) -> bool:
        """Return whether two bare bodies of different sections lie within reach of each other."""
        chosen = set(bare)
        return any(
            other in chosen and root_of[other] != root_of[index] for index in chosen for other, _ in self._near[index]
        )

    def across(self, section: Section) -> Source:
        """Return a section seen from its two ends."""
        return Source(section.rest_v, section.highest_v, section.resistance_ohm, self._external_ohm)

    def _find(self, section: Section, bare: Sequence[int]) -> Found:
        bodies, chosen = self.geometry.bodies, set(bare)
        pairs = [
            Pair(index, other, gap)
            for index in bare
            for other, gap in self._near[index]
            if index < other and other in chosen and self._differ(section, bodies[index].node, bodies[other].node)
        ]
        if self._earthed in section.highest:
            pairs += [
                Pair(-1, index, 0.0) for index in bare if self._differ(section, self._earthed, bodies[index].node)
            ]
        nodes = [(self._node(pair.a), self._node(pair.b)) for pair in pairs]
        ohms = [float(ohm) for ohm in resistances_between(branches(section.edges), nodes)] if pairs else []
        volts = [self._volts(section, a, b) for a, b in nodes]
        usable = [i for i, ohm in enumerate(ohms) if ohm > 0 and isfinite(ohm)]
        limits = [self._limit_a(pair) for pair in pairs]
        power = sum(min(volts[i] ** 2 / (4 * ohms[i]), volts[i] * limits[i]) for i in usable)
        worst = tuple(
            self._worst(
                section, reach.words, [i for i in usable if pairs[i].gap_mm <= reach.length_mm], pairs, volts, ohms
            )
            for reach in self.geometry.reaches
        )
        return Found(worst, len(usable), sum(1 for i in usable if voltage_class(volts[i]) != "A"), power)

    def _limit_a(self, pair: Pair) -> float:
        """Return what a sense wire on the way lets through [A]: a pin of a connector hangs on one."""
        ends = (self.geometry.bodies[index] for index in pair[:2] if index >= 0)
        return self._sense_a if any(body.kind == "pin" for body in ends) else inf

    def _node(self, body: int) -> str:
        return self._earthed if body < 0 else self.geometry.bodies[body].node

    def _differ(self, section: Section, a: str, b: str) -> bool:
        return self._volts(section, a, b) > NO_VOLTS

    @staticmethod
    def _volts(section: Section, a: str, b: str) -> float:
        return abs(section.highest[a] - section.highest[b])

    def _worst(
        self, section: Section, by: str, chosen: list[int], pairs: list[Pair], volts: list[float], ohms: list[float]
    ) -> Bridge | None:
        if not chosen:
            return None
        top = max(
            chosen,
            key=lambda i: (
                self._limit_a(pairs[i]) == inf, round(volts[i], 6), volts[i] ** 2 / ohms[i], -pairs[i].gap_mm,
            ),
        )  # fmt: skip
        pair, nodes = pairs[top], (self._node(pairs[top].a), self._node(pairs[top].b))
        rest = abs(section.rest[nodes[0]] - section.rest[nodes[1]])
        bodies = self.geometry.bodies
        frame = pair.a < 0
        second = bodies[pair.b]
        way = "to the earthed frame" if frame else way_of(bodies[pair.a], second, self.geometry.row_axis)
        swings = not frame and "lead end" in (bodies[pair.a].kind, second.kind)
        words = "anything that touches both" if frame else SWINGING if swings and not pair.gap_mm else by
        return Bridge(
            FRAME if frame else bodies[pair.a].name, second.name, nodes, pair.gap_mm, way, words,
            Source(rest, volts[top], ohms[top], self._external_ohm, self._limit_a(pair)),
        )  # fmt: skip
