"""Faulty builds for tests: one fault put into the record of a clean build, told honestly or told as drawn.

A fault changes what is really in the pack.  *Honest*: the record says what is there, and its readings are true to it.
*Silent*: the record says what the drawing says, and only the readings are true to the pack.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import combinations
from typing import Any

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.findings import Finding, Gate, Judgement, Outcome, Severity
from packcheck.judge import judge
from packcheck.network import branches, network_of_layout, network_of_record
from packcheck.pack.model import Conductor, Pack
from packcheck.physics.circuit import Solution, solve_circuit
from packcheck.record.model import Record
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule
from packcheck.shipped import shipped_folder
from packcheck.topology import nodes_between, spanning_forest
from workshop import Data, clean_record, pack_of, record_of

TABLES = table_by_name()


@lru_cache(maxsize=1)
def shipped_rules() -> tuple[Rule, ...]:
    return load_rules([shipped_folder("rules")], TABLES)


def judged(record: Record, gate: Gate = Gate.PLUG_IN) -> Judgement:
    return judge(shipped_rules(), build_facts(record.pack, record), TABLES, gate=gate)


def above_advice(judgement: Judgement) -> list[Finding]:
    """Return the top-level findings that count."""
    return [finding for finding in judgement.findings if finding.severity is not Severity.ADVISE]


def every_finding(judgement: Judgement) -> Iterator[Finding]:
    for finding in judgement.findings:
        yield finding
        yield from finding.consequences


@dataclass(frozen=True)
class Fault:
    """One fault at one place.

    ``changes`` maps sections of the record to the rows that differ; a row of None is taken out.  ``rule`` and
    ``subjects`` are the findings that must stand at the top, no others.  ``shows`` are the parts of which one must lie
    on the way of a reading that breaks a rule when the record is silent; None when no voltage shows the fault.
    """

    place: str
    changes: Mapping[str, Mapping[str, Any]]
    rule: str
    subjects: tuple[str, ...]
    shows: frozenset[str] | None = None
    outcome: Outcome = Outcome.BROKEN


@dataclass(frozen=True)
class Build:
    """A layout with the complete record of a clean build of it."""

    layout: Data
    seed: int = 1
    plan: bool = False
    pack: Pack = field(init=False)
    clean: Data = field(init=False)

    def __post_init__(self) -> None:
        layout = dict(self.layout)
        pack = pack_of(layout)
        if self.plan:
            serials = {position: f"M-{1000 + i}" for i, position in enumerate(pack.positions)}
            pack = pack_of({**layout, "plan": serials})
        object.__setattr__(self, "pack", pack)
        object.__setattr__(self, "clean", clean_record(pack, self.seed))
        self.clean["readings"] = self.readings(self.record())

    def record(self, changes: Mapping[str, Mapping[str, Any]] | None = None) -> Record:
        """Return the record after some changes."""
        return record_of(with_changes(self.clean, changes or {}), self.pack)

    def honest(self, fault: Fault) -> Record:
        """Return the record that tells the fault, with readings true to it."""
        told = with_changes(self.clean, fault.changes)
        if not {"modules", "bars", "leads"} & set(fault.changes):
            return record_of(told, self.pack)
        return record_of({**told, "readings": self.readings(record_of(told, self.pack))}, self.pack)

    def silent(self, fault: Fault) -> Record:
        """Return the record that says everything is as drawn, with readings true to the fault."""
        return record_of({**self.clean, "readings": self.readings(self.record(fault.changes))}, self.pack)

    def readings(self, built: Record) -> Data:
        """Return the planned readings with the plug out, true to a build but for a small error of the instrument."""
        solution = solve_circuit(branches(network_of_record(built).closed(())))
        random_ = random.Random(self.seed)
        rows: Data = {
            "columns": ["between", "and", "value V"],
            "taken": {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"},
        }
        for name, (plus, minus) in self.planned_readings.items():
            true = potential_between(solution, plus, minus)
            rows[name] = [plus, minus, round(true + random_.uniform(-0.5, 0.5) * (0.0003 * abs(true) + 0.002), 4)]
        return rows

    @cached_property
    def planned_readings(self) -> dict[str, tuple[str, str]]:
        """Return the sheet of readings: tap to tap, across leads, and across each gap that the open plug leaves."""
        pairs = {name: (row[0], row[1]) for name, row in self.clean["readings"].items() if name not in ("columns", "taken")}
        gaps = [(device.ends[1], device.ends[0]) for device in self.pack.devices.values() if is_plug(device.kind)]
        strings = list(self.pack.strings.values())
        first, last = strings[0].groups[0], strings[-1].groups[-1]
        if len(gaps) == 1:
            gaps.append((self._place(last, plus=True), self._place(first, plus=False)))
        return {**pairs, **{f"G{i}": gap for i, gap in enumerate(gaps, 1)}}

    def _place(self, group: str, plus: bool) -> str:
        position = self.pack.positions[self.pack.groups[group][0]]
        return position.plus_place if plus else position.minus_place

    @cached_property
    def way_of_reading(self) -> dict[str, frozenset[str]]:
        """Return the parts that may decide each planned reading, as drawn with the plug out."""
        edges = network_of_layout(self.pack).closed(())
        ways = {}
        for name, (plus, minus) in self.planned_readings.items():
            nodes = nodes_between(edges, minus, plus)
            ways[name] = frozenset(edge.part for edge in edges if edge.start in nodes and edge.end in nodes)
        return ways

    # faults of modules, bars, leads: one generator per kind, one fault per place

    def modules_reversed(self) -> Iterator[Fault]:
        for position in self.pack.positions:
            yield Fault(position, {"modules": {position: self._turned(position)}}, "module-reversed", (position,), frozenset({position}))

    def _turned(self, position: str) -> list[Any]:
        row = list(self.clean["modules"][position])
        row[1] = self.pack.positions[position].minus
        return row

    def bars_missing(self) -> Iterator[Fault]:
        """A bar was never fitted; it and the hardware of its joints lie in the tray, and the ledger says so."""
        for bar in self._bars():
            yield Fault(bar.name, {"bars": {bar.name: "not fitted"}, "parts": self._returned(bar), "joints": dict.fromkeys(
                (landing.joint for landing in bar.lands), None)}, "conductor-not-fitted", (bar.name,), frozenset({bar.name}))

    def _returned(self, bar: Conductor) -> dict[str, list[int] | None]:
        gone: dict[str, int] = {bar.part: 1} if bar.part in self.pack.bar_types else {}
        for landing in bar.lands:
            for part in self.pack.joint_types[landing.joint_type].stack:
                if part not in ("bar", "lug"):
                    gone[part] = gone.get(part, 0) + 1
        counts = self.clean["parts"]
        return {part: [counts[part][0], counts[part][1] - n, counts[part][2] + n, 0] for part, n in gone.items()}

    def bars_moved(self) -> Iterator[Fault]:
        """A bar of two landings sits one position further along, or one back."""
        order = list(self.pack.positions)
        for bar in self._bars():
            for step in (1, -1):
                lands = [self._beside(node, step, order) for node in (landing.node for landing in bar.lands)]
                if None not in lands:
                    yield Fault(f"{bar.name} {step:+d}", {"bars": {bar.name: self._at(lands, bar.part)}},
                                "conductor-moved", (bar.name,), frozenset({bar.name}))

    def bar_ends_moved(self) -> Iterator[Fault]:
        """One end of a bar sits on the neighbouring post of the same face."""
        order = list(self.pack.positions)
        for bar in self._bars():
            nodes = [landing.node for landing in bar.lands]
            for index, step in ((i, s) for i in range(len(nodes)) for s in (1, -1)):
                moved = self._beside(nodes[index], step, order)
                if moved is not None and moved not in nodes:
                    lands = [*nodes[:index], moved, *nodes[index + 1 :]]
                    yield Fault(f"{bar.name} end {index} {step:+d}", {"bars": {bar.name: self._at(lands, bar.part)}},
                                "conductor-moved", (bar.name,), frozenset({bar.name}))

    def _beside(self, node: str, step: int, order: list[str]) -> str | None:
        if node.partition(".")[0] not in order:
            return None
        position, _, post = node.partition(".")
        index = order.index(position) + step
        inside = 0 <= index < len(order) and self.pack.positions[order[index]].tray == self.pack.positions[position].tray
        return f"{order[index]}.{post}" if inside else None

    def _at(self, lands: list[str | None] | list[str], part: str = "") -> Data:
        return {"lands": lands, **({"part": part} if part else {})}

    def strays(self) -> Iterator[Fault]:
        """A bar that the layout does not have joins two posts of one face, at most three pitches apart."""
        order = list(self.pack.positions)
        forest = spanning_forest([e for e in network_of_layout(self.pack).closed(()) if e.kind != "module"])
        faces = {post: post for kind in self.pack.module_types.values() for post in kind.posts}
        for (i, a), (j, b) in combinations(enumerate(order), 2):
            if j - i > 3 or self.pack.positions[a].tray != self.pack.positions[b].tray:
                continue
            for post in faces:
                one, other = f"{a}.{post}", f"{b}.{post}"
                if not forest.joined(one, other):
                    yield Fault(f"{one}-{other}", {"bars": {"X1": self._at([one, other])}}, "conductor-stray", ("X1",),
                                frozenset({a, b}))

    def bars_doubled(self) -> Iterator[Fault]:
        for bar in self._bars():
            lands = [landing.node for landing in bar.lands]
            yield Fault(bar.name, {"bars": {"X1": self._at(lands)}}, "conductor-doubled", ("X1",))

    def modules_bypassed(self) -> Iterator[Fault]:
        """A module is left out, and a bar across its place carries the current past it."""
        for name, position in self.pack.positions.items():
            bridge = self._at([position.plus_place, position.minus_place])
            if len(self.pack.groups[position.group]) == 1:
                yield Fault(name, {"modules": {name: "not fitted"}, "bars": {"X1": bridge}}, "module-not-fitted", (name,),
                            frozenset({name}))

    def modules_left_out(self) -> Iterator[Fault]:
        for name, position in self.pack.positions.items():
            alone = len(self.pack.groups[position.group]) == 1
            yield Fault(name, {"modules": {name: "not fitted"}}, "module-not-fitted", (name,), frozenset({name}) if alone else None)

    def modules_exchanged(self) -> Iterator[Fault]:
        rows = self.clean["modules"]
        for a, b in combinations(self.pack.positions, 2):
            changed = {a: [rows[b][0], *rows[a][1:3], rows[b][3]], b: [rows[a][0], *rows[b][1:3], rows[a][3]]}
            yield Fault(f"{a}-{b}", {"modules": changed}, "module-out-of-plan", (a, b))

    def stack_mirrored(self) -> Iterator[Fault]:
        everything = list(self.pack.positions)
        yield Fault("the whole stack", {"modules": {p: self._turned(p) for p in everything}}, "stack-mirrored",
                    ("the whole stack",), frozenset(everything))

    def trays_reversed(self) -> Iterator[Fault]:
        trays: dict[str, list[str]] = {}
        for position in self.pack.positions.values():
            trays.setdefault(position.tray, []).append(position.name)
        for tray, members in trays.items():
            yield Fault(tray, {"modules": {p: self._turned(p) for p in members}}, "tray-reversed", (f"tray {tray}",),
                        frozenset(members))

    def blocks_reversed(self, size: int = 2) -> Iterator[Fault]:
        """All modules between two neighbouring taps are turned."""
        for name, (plus, minus) in self.planned_readings.items():
            members = [p for p in self.pack.positions if p in self.way_of_reading[name]]
            taps = {tap.node for tap in self.pack.taps.values()}
            if len(members) == size and {plus, minus} <= taps:
                yield Fault(name, {"modules": {p: self._turned(p) for p in members}}, "block-reversed",
                            (f"block {_and(members)}",), frozenset(members))

    def mains_swapped(self) -> Iterator[Fault]:
        """The two leads from the ends of the string to fuse and contactor have changed places at the string."""
        by_place = {landing.node: (lead, landing.node) for lead in self.pack.conductors.values() if lead.kind == "lead"
                    for landing in lead.lands}
        string = list(self.pack.strings.values())
        first, last = self._place(string[0].groups[0], plus=False), self._place(string[-1].groups[-1], plus=True)
        (minus, _), (plus, _) = by_place[first], by_place[last]
        swap = {first: last, last: first}
        leads = {lead.name: self._at([swap.get(landing.node, landing.node) for landing in lead.lands]) for lead in (minus, plus)}
        yield Fault("mains", {"leads": leads}, "mains-swapped", (self.pack.name,))

    def members_unjoined(self) -> Iterator[Fault]:
        """A bar with more than two landings misses one of them."""
        for bar in self._bars():
            nodes = [landing.node for landing in bar.lands]
            for index in range(len(nodes)) if len(nodes) > 2 else ():
                if nodes[index].endswith((".1", ".2")):
                    continue
                lands = [*nodes[:index], *nodes[index + 1 :]]
                yield Fault(f"{bar.name} off {nodes[index]}", {"bars": {bar.name: self._at(lands, bar.part)}},
                            "conductor-moved", (bar.name,))

    def _bars(self) -> Iterator[Conductor]:
        yield from (c for c in self.pack.conductors.values() if c.kind == "bar")

    # faults at joints, in the ledger, of covers and instruments

    def joint_cells(self, column: str, value: Any, rule: str, outcome: Outcome = Outcome.BROKEN) -> Iterator[Fault]:
        """One cell of each joint's row is otherwise."""
        index = [heading.partition(" ")[0] if heading not in ("recheck at",) else heading
                 for heading in self.clean["joints"]["columns"]].index(column)
        for name in self.pack.joints:
            if name in self.clean["joints"]:
                row = list(self.clean["joints"][name])
                row[index] = value
                yield Fault(name, {"joints": {name: row}}, rule, (name,), outcome=outcome)

    def ledger(self, shift: tuple[int, int, int, int], rule: str) -> Iterator[Fault]:
        """One part's line of the ledger is off by some numbers issued, fitted, returned, scrapped."""
        for part, row in self.clean["parts"].items():
            if part != "columns":
                yield Fault(part, {"parts": {part: [a + b for a, b in zip(row, shift, strict=True)]}}, rule, (part,))

    def rows_set(self, section: str, value: Any, rule: str, outcome: Outcome = Outcome.BROKEN) -> Iterator[Fault]:
        """Each row of a section in turn is something else; None takes it out."""
        for name in self.clean[section]:
            if name not in ("columns", "taken"):
                yield Fault(name, {section: {name: value}}, rule, (name,), outcome=outcome)


def with_changes(record: Data, changes: Mapping[str, Mapping[str, Any]]) -> Data:
    """Return the record with rows put in, changed, or (None) taken out."""
    changed = dict(record)
    for section, rows in changes.items():
        merged = {**record.get(section, {}), **rows}
        changed[section] = {name: row for name, row in merged.items() if row is not None}
    return changed


def potential_between(solution: Solution, plus: str, minus: str) -> float:
    """Return what a meter of 10 MΩ settles at: 0 V between parts that nothing joins."""
    volts = solution.voltage(plus, minus) if plus in solution.island and minus in solution.island else None
    return 0.0 if volts is None else float(volts)


def is_plug(kind: str) -> bool:
    return kind in ("service disconnect", "isolator")


def _and(names: list[str]) -> str:
    from packcheck.places import list_places

    return list_places(names)
