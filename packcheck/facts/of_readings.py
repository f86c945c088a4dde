"""Facts about voltage readings: what the record predicts there, whether it agrees, and what it thereby confirms."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from packcheck.facts.catalogue import Datum, Measured, Row, Value, Without
from packcheck.facts.common import measured, source_of, worked_out
from packcheck.facts.evidence import PATH, Evidence
from packcheck.facts.slips import reading_slip
from packcheck.network import Edge
from packcheck.pack.model import Position
from packcheck.places import list_places
from packcheck.record.model import Entry, Reading
from packcheck.record.taken import LOOSE
from packcheck.solution import Solved, solve
from packcheck.topology import Forest, Step, spanning_forest, unsettled_blocks


@dataclass(frozen=True)
class Checked:
    """A reading held against the network: the walk between its leads and the voltage expected there.

    ``walk`` is None when nothing joins the two nodes in the reading's state; ``expected`` when a module's voltage or
    facing on the way was not recorded.
    """

    reading: Reading
    walk: tuple[Step, ...] | None
    expected: Measured | None
    lacking: tuple[str, ...] = ()
    joined_if_fitted: bool = False

    @property
    def modules(self) -> list[Edge]:
        """Return the modules on the way."""
        return [step.edge for step in self.walk or () if step.edge.kind == "module"]

    @property
    def difference(self) -> Measured | None:
        """Return reading less expectation."""
        if self.expected is None:
            return None
        value = self.reading.value_v
        low, high = value.low - self.expected.high, value.high - self.expected.low
        return worked_out(low, high, (value, self.expected))

    @property
    def smallest_module_v(self) -> float:
        """Return the smallest module voltage on the way [V]."""
        return min((abs(edge.emf_v) for edge in self.modules), default=0.0)


def check_readings(evidence: Evidence) -> tuple[Checked, ...]:
    """Return every voltage reading of the record with what the network predicts for it."""
    if evidence.record is None:
        return ()
    views: dict[str, _View] = {}
    found = []
    for reading in evidence.record.readings:
        state = reading.value_v.state
        if state not in views:
            views[state] = _View.of(evidence, state)
        found.append(views[state].check(reading))
    return tuple(found)


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
        if not closed:
            forest, possible = evidence.switches_open
            return cls(evidence, edges, forest, possible_edges, possible)
        forest = spanning_forest(edges)
        possible = forest if evidence.built.is_certain else spanning_forest(possible_edges)
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
            return Checked(reading, None, None, joined_if_fitted=self.possible.joined(reading.minus, reading.plus))
        modules = [step.edge for step in walk if step.edge.kind == "module"]
        lacking = tuple(edge.part for edge in modules if not edge.emf_known)
        if lacking or any(self.is_unsettled(step) for step in walk):
            return Checked(reading, tuple(walk), None, lacking or self._unknown_beside(modules))
        middle = self.solution.voltage_v(reading.plus, reading.minus) or 0.0
        half = sum(edge.half_v for edge in modules)
        return Checked(reading, tuple(walk), worked_out(middle - half, middle + half, self._rests(modules)))

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


def is_sharp_and_agrees(checked: Checked, members: int = 1) -> bool:
    """Return whether a reading agrees so closely that one module missing or turned round on its way would have shown.

    A missing module changes the reading by its voltage, one of ``members`` in parallel turned round by twice its
    voltage over ``members``; a reading that agrees within half of that has not seen one.
    """
    difference = checked.difference
    if difference is None or not difference.fit or not checked.modules:
        return False
    return max(abs(difference.low), abs(difference.high)) < checked.smallest_module_v * min(0.5, 1 / members)


class Confirmed:
    """What the readings that agree confirm: the facing of modules, the presence of conductors."""

    def __init__(self, evidence: Evidence, checked: Sequence[Checked]) -> None:
        self.evidence = evidence
        self._modules: set[str] = set()
        self._joints: set[str] = set()
        self._signs: dict[str, str] = {}
        self._tried: set[str] = set()
        self._unfit: dict[str, set[str]] = {}
        for one in checked:
            self._take(one)
        self._take_rest_readings()

    def _take(self, one: Checked) -> None:
        self._take_sign(one.reading)
        if not one.walk or not is_sharp_and_agrees(one):
            across = [step.edge.part for step in one.walk or self._drawn_walk(one.reading)]
            self._tried.update(across)
            if one.difference and not one.difference.fit:
                for part in across:
                    self._unfit.setdefault(part, set()).add(one.difference.instrument)
            return
        groups, positions = self.evidence.pack.groups, self.evidence.pack.positions
        self._joints.update(step.edge.name for step in one.walk if step.edge.kind == "joint")
        for edge in one.modules:
            members = groups[positions[edge.part].group]
            self._modules.add(edge.part)
            if len(members) > 1 and is_sharp_and_agrees(one, len(members)):
                self._modules.update(members)

    def _drawn_walk(self, reading: Reading) -> Sequence[Step]:
        """Return the way between a reading's leads as the layout has it, everything closed."""
        return self.evidence.drawn.forest.walk(reading.minus, reading.plus) or ()

    def tried(self, name: str) -> bool:
        """Return whether a reading was taken across a part that then did not confirm it."""
        return name in self._tried

    def unfit_across(self, name: str) -> set[str]:
        """Return the instruments that were read across a part and could prove nothing."""
        return self._unfit.get(name, set())

    def _take_sign(self, reading: Reading) -> None:
        position, _, plus = reading.plus.rpartition(".")
        other, _, minus = reading.minus.rpartition(".")
        value = reading.value_v
        if position == other and position in self.evidence.pack.positions and value.low * value.high > 0:
            self._signs[position] = plus if value.value > 0 else minus

    def _take_rest_readings(self) -> None:
        """Take rest voltages read in place, red lead on the post written as +: they show where + is."""
        for module in self.evidence.record.modules.values() if self.evidence.record else ():
            entry = module.rest_v
            if entry is None or module.plus is None or module.stated_as_drawn or entry.state in ("", LOOSE):
                continue
            posts = self.evidence.pack.module_type_at(module.position).posts
            if entry.low * entry.high > 0 and module.position not in self._signs:
                other = next(post for post in posts if post != module.plus)
                self._signs[module.position] = module.plus if entry.value > 0 else other
                if entry.fit and entry.value > 0:
                    self._modules.add(module.position)

    def plus_of(self, position: Position) -> str | None:
        """Return the post that a reading shows as +, or None where none was taken between the two posts."""
        return self._signs.get(position.name)

    def module(self, position: str) -> bool | None:
        """Return True when a reading confirms the module's facing, None otherwise."""
        return True if position in self._modules else None

    def conductor(self, name: str) -> bool | None:
        """Return True when readings confirm that every landing of the conductor joins, None otherwise.

        No voltage can tell the landings on one side of one parallel group apart: one of them stands for all.
        """
        return True if self._sides[name] and self._sides[name] <= self._sides_crossed[name] else None

    @cached_property
    def _sides(self) -> dict[str, set[str]]:
        return self._sides_of(edge for edge in self.evidence.built.edges if edge.kind == "joint")

    @cached_property
    def _sides_crossed(self) -> dict[str, set[str]]:
        edges = self.evidence.built.edges
        return self._sides_of(edge for edge in edges if edge.kind == "joint" and edge.name in self._joints)

    def _sides_of(self, joints: Iterable[Edge]) -> dict[str, set[str]]:
        sides: dict[str, set[str]] = defaultdict(set)
        for edge in joints:
            sides[edge.part].add(self._side(edge.start))
        return sides

    def _side(self, node: str) -> str:
        """Return a name for a place that all places on one side of its parallel group share."""
        position = self.evidence.pack.positions.get(node.rpartition(".")[0])
        return node if position is None else position.group + self.evidence.pack.polarity_of(node)


def reading_rows(
    evidence: Evidence, checked: Sequence[Checked], without: Mapping[str, tuple[Without, ...]]
) -> Iterator[Row]:
    """Yield one row per voltage reading; ``without`` is what each would be without faults that other readings show."""
    for one in checked:
        yield _reading_row(evidence, one, without.get(one.reading.name, ()))


def _reading_row(evidence: Evidence, one: Checked, without: tuple[Without, ...]) -> Row:
    reading, value = one.reading, one.reading.value_v
    floating = one.walk is None
    module_v = one.smallest_module_v
    slip = ""
    if one.expected is not None:
        middle = (one.expected.low + one.expected.high) / 2
        slip = reading_slip(value.value, middle, module_v / 2, (one.expected.high - one.expected.low) / 2)
    values: dict[str, Value] = {
        "reading": reading.name,
        "between": f"{reading.words[0]} and {reading.words[1]}",
        "state": value.state or None,
        "value_v": measured(value),
        "expected_v": one.expected,
        "difference_v": one.difference,
        "module_v": module_v if not floating else 0.0,
        "floating": None if floating and one.joined_if_fitted else floating,
        "slip": slip,
        "slipped": None if one.expected is None and not floating else bool(slip),
    }
    lacking = evidence.fitted_datum
    if one.lacking:
        lacking = Datum("rest voltage, and post at which + is", list_places(one.lacking), "multimeter")
    missing = dict.fromkeys(("expected_v", "difference_v", "slipped"), lacking)
    missing["floating"] = evidence.fitted_datum
    if floating:
        missing["difference_v"] = missing["expected_v"] = evidence.fitted_datum
    touches = {reading.name, *(step.edge.part for step in one.walk or ())}
    groups, positions = evidence.pack.groups, evidence.pack.positions
    touches.update(member for edge in one.modules for member in groups[positions[edge.part].group])
    if floating or any(not step.edge.as_drawn for step in one.walk or ()):
        touches.add(PATH)
    place = f"reading {reading.name}, {reading.words[0]} against {reading.words[1]}, {value.state or 'no state'}"
    source = source_of(evidence, value.line)
    reckoned = frozenset({"difference_v"})
    return Row(reading.name, values, missing, frozenset(touches), place, "", source, reckoned, without)


def sum_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row for each reading that other readings of its state lie along, end to end."""
    known = {one.reading.name: one for one in checked}
    by_state: dict[str, dict[str, list[Reading]]] = {}
    for one in checked:
        if one.reading.value_v.state != LOOSE and one.walk is not None:
            by_state.setdefault(one.reading.value_v.state, {}).setdefault(one.reading.minus, []).append(one.reading)
    for one in checked:
        chain = _chain(one.reading, by_state.get(one.reading.value_v.state, {}))
        if len(chain) > 1:
            without = without_misfits(one, [known[reading.name] for reading in chain])
            yield _sum_row(evidence, one.reading, chain, without)


def _chain(total: Reading, from_node: Mapping[str, list[Reading]]) -> list[Reading]:
    """Return the fewest other readings that lead end to end from the minus of a reading to its plus; [] if none do."""
    reached: dict[str, Reading | None] = {total.minus: None}
    layer = [total.minus]
    while layer and total.plus not in reached:
        found = []
        for reading in (r for node in layer for r in from_node.get(node, ())):
            beside_it = {reading.minus, reading.plus} == {total.minus, total.plus}
            if not beside_it and reading.plus not in reached:
                reached[reading.plus] = reading
                found.append(reading.plus)
        layer = found
    chain: list[Reading] = []
    step = reached.get(total.plus)
    while step is not None:
        chain.append(step)
        step = reached[step.minus]
    return chain[::-1]


OFF = 0.5
"""Share of its smallest module, and at least as many volts, that a reading may be off and still count in a sum."""


def without_misfits(total: Checked, chain: Sequence[Checked]) -> tuple[Without, ...]:
    """Return the difference that would be left if those readings that disagree showed what is expected of them."""
    off = [one for one in (total, *chain) if one.difference is not None and _is_off(one, one.difference)]
    if not off:
        return ()
    shown = {one.reading.name: one.expected if one in off else measured(one.reading.value_v) for one in (total, *chain)}
    values = [value for value in shown.values() if value is not None]
    whole, parts = values[0], values[1:]
    difference = worked_out(whole.low - sum(p.high for p in parts), whole.high - sum(p.low for p in parts), values)
    return (Without(frozenset(one.reading.name for one in off), {"difference_v": difference}),)


def _is_off(one: Checked, difference: Measured) -> bool:
    return max(abs(difference.low), abs(difference.high)) > OFF * max(1.0, one.smallest_module_v)


def _sum_row(evidence: Evidence, total: Reading, chain: list[Reading], without: tuple[Without, ...]) -> Row:
    parts: list[Entry] = [reading.value_v for reading in chain]
    low, high = sum(e.low for e in parts), sum(e.high for e in parts)
    values: dict[str, Value] = {
        "sum": total.name,
        "parts": list_places(r.name for r in chain),
        "total_v": measured(total.value_v),
        "parts_v": worked_out(low, high, parts),
        "difference_v": worked_out(total.value_v.low - high, total.value_v.high - low, (*parts, total.value_v)),
        "smallest_v": min(abs(e.value) for e in parts),
    }
    touches = frozenset((total.name, *(r.name for r in chain)))
    return Row(
        total.name,
        values,
        {},
        touches,
        f"reading {total.name} against {values['parts']}",
        "",
        source_of(evidence, total.value_v.line),
        frozenset({"difference_v"}),
        without,
    )
