"""Voltage readings held against the network: what the record predicts there, and how far they are from it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import half_of_difference, worked_out
from packcheck.files.frozen import dataclass
from packcheck.files.name_lists import list_places
from packcheck.model.pack.types import ModuleType
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Reading
from packcheck.network.graph import Edge
from packcheck.network.solution import Solved, solve
from packcheck.network.topology import Forest, Step, spanning_forest, unsettled_blocks
from packcheck.rules.catalogue import Datum, Measured

REST_DATUM = "rest voltage, and post at which + is"
"""The words of a datum that is two, about one module or a list of them."""
CIRCULATING_V = 0.05
"""Drops of more than this on the way [V] come from a short: members of a group make millivolts; common practice."""


@dataclass(frozen=True)
class Checked:
    """A reading held against the network: the walk between its leads and the voltage expected there.

    ``walk`` is None when nothing joins the two nodes in the reading's state; ``expected`` when a module's voltage or
    facing on the way was not recorded.  ``half_v`` is what the instruments leave open of reading less expectation
    [V], ``drop_v`` what circulating currents make on the way [V].  ``waits_for`` is what has to be recorded before the
    reading tells anything of the parts it lies across, ``across_if_fitted`` those where nothing joins for want of it.
    """

    reading: Reading
    walk: tuple[Step, ...] | None
    expected: Measured | None
    lacking: tuple[str, ...] = ()
    joined_if_fitted: bool = False
    half_v: float = 0.0
    drop_v: float = 0.0
    waits_for: Datum | None = None
    across_if_fitted: tuple[str, ...] = ()

    @cached_property
    def modules(self) -> list[Edge]:
        """Return the modules on the way."""
        return [step.edge for step in self.walk or () if step.edge.kind == "module"]

    @cached_property
    def difference(self) -> Measured | None:
        """Return reading less expectation."""
        if self.expected is None:
            return None
        middle = self.reading.value_v.value - (self.expected.low + self.expected.high) / 2
        return worked_out(middle - self.half_v, middle + self.half_v, (self.reading.value_v, self.expected))

    @property
    def circulating(self) -> bool:
        """Return whether currents make so much on the way that something is shorted."""
        return self.drop_v > CIRCULATING_V

    def cells(self, evidence: Evidence) -> int:
        """Return how many cells in series lie on the way."""
        return sum(fitted_type(evidence, edge.part).cells for edge in self.modules)

    def fault_v(self, evidence: Evidence) -> float:
        """Return the least change [V] that one module missing or turned round makes; 1 V where none lies on the way.

        One that stands alone changes the reading by its voltage when it is missing; one of P in parallel by twice its
        voltage over P when it is turned round.
        """
        groups, positions = evidence.pack.groups, evidence.pack.positions
        members = {edge.part: len(groups[positions[edge.part].group]) for edge in self.modules}
        return min((abs(edge.emf_v) * min(1.0, 2 / members[edge.part]) for edge in self.modules), default=1.0)

    @cached_property
    def smallest_module_v(self) -> float:
        """Return the smallest module voltage on the way [V]."""
        return min((abs(edge.emf_v) for edge in self.modules), default=0.0)


def rest_datum(positions: Iterable[str]) -> Datum:
    """Return what is to be recorded of modules before a voltage over them can be told."""
    return Datum(REST_DATUM, list_places(positions), "multimeter")


def fitted_type(evidence: Evidence, position: str) -> ModuleType:
    """Return the type of module fitted at a position; the planned one where none or an unknown one was recorded."""
    module = evidence.record.modules.get(position) if evidence.record else None
    known = evidence.pack.module_types.get(module.type or "") if module else None
    return known or evidence.pack.module_type_at(position)


def check_readings(evidence: Evidence) -> tuple[Checked, ...]:
    """Return every voltage reading at rest with what the network predicts for it.

    One under a load that nothing can draw, for the mains are parted or the leads floated, is one at rest.
    """
    if evidence.record is None:
        return ()
    views, found = _Views(evidence), []
    for reading in (*evidence.record.readings, *evidence.record.loaded):
        if not reading.load_a or not views.is_loaded(reading):
            found.append(views[reading.value_v.state].check(reading))
    return tuple(found)


def check_loaded(evidence: Evidence) -> tuple[Checked, ...]:
    """Return every reading under a load that the mains can give, with what the network predicts for it at rest."""
    views = _Views(evidence)
    loaded = evidence.record.loaded if evidence.record else ()
    return tuple(views[one.value_v.state].check(one) for one in loaded if views.is_loaded(one))


def check_poles(evidence: Evidence) -> dict[str, Checked]:
    """Return what was read between the poles of each isolation test, or what a tester showed, as a reading there."""
    views, found = _Views(evidence), {}
    for test in evidence.record.isolation.values() if evidence.record else ():
        if read := test.poles_v or test.tester_ohm:
            found[test.name] = views[test.state].check(
                Reading(test.name, test.plus, test.minus, (test.plus, test.minus), read)
            )
    return found


class _Views(dict[str, "_View"]):
    """Views of the network by switching state, each made when it is asked for."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence

    def __missing__(self, state: str) -> _View:
        self[state] = _View.of(self.evidence, state)
        return self[state]

    def is_loaded(self, reading: Reading) -> bool:
        """Return whether the current of a load at the mains can run in the state of a reading."""
        view, ends = self[reading.value_v.state], self.evidence.pack.outside
        plus, minus = ends.get("main+"), ends.get("main-")
        joined = view.possible.joined
        return bool(plus and minus and joined(plus, minus)) and joined(reading.plus, reading.minus)


@dataclass(frozen=True)
class _View:
    """The network as it stood in one switching state, loose modules on the bench included."""

    evidence: Evidence
    edges: Sequence[Edge]
    forest: Forest
    possible_edges: Sequence[Edge]
    possible: Forest

    @classmethod
    def of(cls, evidence: Evidence, state: str) -> _View:
        if state == LOOSE:
            edges = [edge for edge in evidence.built.edges if edge.kind == "module" and edge.sure]
            forest = spanning_forest(edges)
            return cls(evidence, edges, forest, edges, forest)
        known = evidence.pack.states.get(state)
        closed = known.closed if known else frozenset()
        edges, possible_edges = evidence.built.closed(closed), evidence.built.closed(closed, possibly=True)
        forest, possible = evidence.joined_with(closed)
        return cls(evidence, edges, forest, possible_edges, possible)

    @cached_property
    def unsettled(self) -> dict[str, frozenset[int]]:
        """Return for each node the loops in which parts that nobody recorded may change its potential."""
        certain = len(self.possible_edges) == len(self.edges) and all(edge.emf_known for edge in self.edges)
        return {} if certain else unsettled_blocks(self.possible_edges)

    def is_unsettled(self, step: Step) -> bool:
        """Return whether a part that nobody recorded may change the voltage across a step."""
        nowhere: frozenset[int] = frozenset()
        here, there = self.unsettled.get(step.edge.start, nowhere), self.unsettled.get(step.edge.end, nowhere)
        return not here.isdisjoint(there)

    @cached_property
    def solution(self) -> Solved:
        return solve(self.edges, self.forest)

    def check(self, reading: Reading) -> Checked:
        walk = self.forest.walk(reading.minus, reading.plus)
        if walk is None:
            way = self.possible.walk(reading.minus, reading.plus)
            unsure = next((step.edge.part for step in way or () if not step.edge.sure), "")
            datum = self.evidence.fitted_datum_of(unsure) if unsure else None
            across = tuple(step.edge.part for step in way or ())
            return Checked(reading, None, None, (), way is not None, waits_for=datum, across_if_fitted=across)
        modules = [step.edge for step in walk if step.edge.kind == "module"]
        lacking = tuple(edge.part for edge in modules if not edge.emf_known)
        if lacking or any(self.is_unsettled(step) for step in walk):
            lacking = lacking or self._unknown_beside(modules)
            datum = rest_datum(lacking) if lacking else None
            return Checked(reading, tuple(walk), None, lacking, waits_for=datum)
        middle = self.solution.voltage_v(reading.plus, reading.minus) or 0.0
        half = sum(edge.half_v for edge in modules)
        expected = worked_out(middle - half, middle + half, self._rests(modules))
        drop = self._drop_v(walk)
        half = half_of_difference(self._terms(reading, walk))
        return Checked(reading, tuple(walk), expected, half_v=half, drop_v=drop)

    def _drop_v(self, walk: Iterable[Step]) -> float:
        """Return the voltage that currents make in the resistances on a walk [V]; 0 where nothing circulates."""
        current = self._current_by_edge
        return sum(abs(current.get(edge.name, 0.0)) * edge.resistance_ohm for edge, _ in walk) if current else 0.0

    @cached_property
    def _current_by_edge(self) -> dict[str, float]:
        if not any(self.solution.currents):
            return {}
        pairs = zip(self.edges, self.solution.currents, strict=True)
        return {edge.name: float(current) for edge, current in pairs}

    def _terms(self, reading: Reading, walk: Iterable[Step]) -> Iterator[tuple[float, Entry]]:
        """Yield the readings that a difference is made of, each with its sign in it."""
        yield 1.0, reading.value_v
        record = self.evidence.record
        for edge, forward in walk:
            module = record.modules.get(edge.part) if record and edge.kind == "module" else None
            if module and module.rest_v:
                yield (-1.0 if forward else 1.0), module.rest_v

    def _unknown_beside(self, modules: Iterable[Edge]) -> tuple[str, ...]:
        """Return the modules in parallel with some whose voltage or facing was not recorded."""
        groups, positions = self.evidence.pack.groups, self.evidence.pack.positions
        beside = {member for edge in modules for member in groups[positions[edge.part].group]}
        return tuple(edge.part for edge in self.edges if edge.part in beside and not edge.emf_known)

    def _rests(self, modules: Iterable[Edge]) -> Iterator[Entry]:
        record = self.evidence.record
        for edge in modules:
            module = record.modules.get(edge.part) if record else None
            if module and module.rest_v:
                yield module.rest_v
