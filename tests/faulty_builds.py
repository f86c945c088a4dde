"""Faulty builds for tests: one fault put into the record of a clean build, told honestly or told as drawn.

A fault changes what is really in the pack.  *Honest*: the record says what is there, and its readings are true to it.
*Silent*: the record says what the drawing says, and only the readings are true to the pack.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import combinations, pairwise
from typing import Any

from oracle.algebra import Circuit
from oracle.drawing import parts
from workshop import Data, clean_record, pack_of, record_of

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.name_lists import list_places
from packcheck.files.shipped import shipped_folder
from packcheck.judging.judge import judge
from packcheck.model.pack.model import Conductor, Device, Pack
from packcheck.model.record.model import Record
from packcheck.network.graph import network_of_layout
from packcheck.network.topology import spanning_forest
from packcheck.rules.catalogue import Facts
from packcheck.rules.findings import Finding, Gate, Judgement, Severity
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule

TABLES = table_by_name()
Named = tuple[str, str]
Rows = Mapping[str, Any]


@lru_cache(maxsize=1)
def shipped_rules() -> tuple[Rule, ...]:
    return load_rules([shipped_folder("rules")], TABLES)


def judged(record: Record, gate: Gate = Gate.PLUG_IN) -> Judgement:
    return judged_facts(build_facts(record.pack, record), gate)


def judged_facts(facts: Facts, gate: Gate = Gate.PLUG_IN) -> Judgement:
    return judge(shipped_rules(), facts, TABLES, gate=gate)


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

    ``changes`` maps sections of the record to the rows that differ; a row of None is taken out.  ``top`` are the
    findings (rule, subject) that must stand at the top, and no others.  ``folded`` must stand below one of them.
    ``only_on_paper``: the pack is sound, a number was written down wrong.
    """

    place: str
    changes: Mapping[str, Rows]
    top: tuple[Named, ...]
    folded: tuple[Named, ...] = ()
    only_on_paper: bool = False


@dataclass(frozen=True)
class Build:
    """A layout with the complete record of a clean build of it.

    ``release`` adds a reading of the whole pack with the plug in, which only later gates can ask for.
    """

    layout: Data
    plan: bool = False
    release: bool = False
    seed: int = 1
    pack: Pack = field(init=False)
    clean: Data = field(init=False)

    def __post_init__(self) -> None:
        pack = pack_of(self.layout)
        if self.plan:
            serials = {position: f"M-{1000 + i}" for i, position in enumerate(pack.positions)}
            pack = pack_of({**self.layout, "plan": serials})
        clean = clean_record(pack, self.seed)
        wrench = {**clean["instruments"]["W1"], "range": "1 N·m to 13 N·m"}
        clean["instruments"] = {**clean["instruments"], "W1": wrench}
        object.__setattr__(self, "pack", pack)
        object.__setattr__(self, "clean", clean)
        clean["readings"] = self.readings(clean)

    def record(self, changes: Mapping[str, Rows] | None = None) -> Record:
        """Return the record after some changes, its readings as they are."""
        return record_of(with_changes(self.clean, changes or {}), self.pack)

    def told_honestly(self, fault: Fault) -> Data:
        """Return the record that tells the fault, with readings true to it."""
        told = with_changes(self.clean, fault.changes)
        if {"modules", "bars", "leads", "devices"} & set(fault.changes) and not fault.only_on_paper:
            told["readings"] = self.readings(told)
        return told

    def told_as_drawn(self, fault: Fault) -> Data:
        """Return the record that says everything is as drawn, with readings true to the fault."""
        return {**self.clean, "readings": self.readings(with_changes(self.clean, fault.changes))}

    def honest(self, fault: Fault) -> Record:
        return record_of(self.told_honestly(fault), self.pack)

    def silent(self, fault: Fault) -> Record:
        return record_of(self.told_as_drawn(fault), self.pack)

    def readings(self, built: Data) -> Data:
        """Return the planned readings, true to a build but for an error of less than half the meter's accuracy.

        What is true comes from ``tests/oracle``, which knows nothing of the program.
        """
        random_ = random.Random(self.seed)
        rows: Data = {
            "columns": ["between", "and", "value V"],
            "taken": {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"},
        }
        for (name, (plus, minus)), true in zip(self.planned_readings.items(), self.true_voltages(built), strict=True):
            rows[name] = [plus, minus, round(true + random_.uniform(-0.5, 0.5) * (0.0003 * abs(true) + 0.002), 4)]
        if self.release:
            plus, minus = self.ends
            closed = next(state.closed for state in self.pack.states.values() if state.name == "plug in")
            true = Circuit(parts(self.layout, built, closed)).volts(plus, minus)
            rows["total"] = {"between": plus, "and": minus, "value": f"{true:.3f} V", "state": "plug in"}
            for number, (one, other) in enumerate(self.past_contactors, 1):
                rows[f"open {number}"] = {"between": one, "and": other, "value": "0.001 V", "state": "plug in"}
        return rows

    @property
    def past_contactors(self) -> list[Named]:
        """Return for each main contactor its outer end and the end of the pack beyond the other one."""
        plus, minus = self.ends
        outer = self.pack.outside
        found = [(outer["main+"], minus), (plus, outer["main-"])]
        return [(one, other) for one, other in found if {one[:2], other[:2]} & {"K1", "K2"}]

    def true_voltages(self, built: Data) -> list[float]:
        """Return what stands between the nodes of each planned reading, with the plug out [V]."""
        circuit = Circuit(parts(self.layout, built, ()))
        return [circuit.volts(plus, minus) for plus, minus in self.planned_readings.values()]

    @cached_property
    def planned_readings(self) -> dict[str, Named]:
        """Return the sheet of readings: tap to tap, across leads, and across each gap that the open plug leaves."""
        written = self.clean["readings"].items()
        pairs = {name: (row[0], row[1]) for name, row in written if name not in ("columns", "taken")}
        plugs = [device for device in self.pack.devices.values() if device.kind == "service disconnect"]
        gaps = [*((plug.ends[1], plug.ends[0]) for plug in plugs), self.ends]
        across = [pair for bank in self.pack.parallel_strings for pair in self._from_string_to_string(bank)]
        named = {"G": gaps, "S": across, "O": self._past_contactors_of_outlets(plugs)}
        return {**pairs, **{f"{letter}{i}": pair for letter, more in named.items() for i, pair in enumerate(more, 1)}}

    def _past_contactors_of_outlets(self, plugs: Sequence[Device]) -> list[Named]:
        """Return the outer end of each contactor of an outlet, and the side of the open plug beyond it."""
        inlets = [one for one in self.pack.outlets.values() if one.plus.partition(".")[0] in self.pack.devices]
        inlets = [one for one in inlets if self.pack.devices[one.plus.partition(".")[0]].kind == "contactor"]
        (lower, upper) = plugs[0].ends if plugs else ("", "")
        return [pair for one in inlets for pair in ((one.plus, upper), (lower, one.minus))]

    def _from_string_to_string(self, bank: Sequence[Sequence[str]]) -> Iterator[Named]:
        """Yield readings over the first module of each string to the next, likewise at their ends, and over fuses."""
        groups = [self.pack.strings[names[0]].groups for names in bank]
        for one, other in pairwise(groups):
            yield self._place(one[0], plus=True), self._place(other[0], plus=False)
            yield self._place(other[-1], plus=True), self._place(one[-1], plus=False)
        fused = [name for name in self.pack.devices if name.startswith("FS")]
        yield from ((self._place(string[-1], plus=True), "F1.1") for string in groups if fused)

    @property
    def ends(self) -> Named:
        """Return the place of + at the end of the last string, and that of − at the start of the first."""
        strings = list(self.pack.strings.values())
        return self._place(strings[-1].groups[-1], plus=True), self._place(strings[0].groups[0], plus=False)

    def _place(self, group: str, plus: bool) -> str:
        position = self.pack.positions[self.pack.groups[group][0]]
        return position.plus_place if plus else position.minus_place

    # modules, bars and leads

    def modules_reversed(self) -> Iterator[Fault]:
        """One module sits end for end; the bars stay at their places."""
        for position in self.pack.positions:
            yield self._turn(position, [position], "module-reversed", position)

    def blocks_reversed(self) -> Iterator[Fault]:
        """All modules between two neighbouring taps, two or more, are turned."""
        forest = spanning_forest(network_of_layout(self.pack).closed(()))
        nodes = [tap.node for tap in self.pack.taps.values()]
        for a, b in pairwise(nodes):
            members = [step.edge.part for step in forest.walk(a, b) or () if step.edge.kind == "module"]
            if len(members) > 1:
                yield self._turn(f"{a} to {b}", members, "block-reversed", f"block {list_places(members)}")

    def trays_reversed(self) -> Iterator[Fault]:
        trays: dict[str, list[str]] = {}
        for position in self.pack.positions.values():
            trays.setdefault(position.tray, []).append(position.name)
        for tray, members in trays.items():
            yield self._turn(tray, members, "tray-reversed", f"tray {tray}")

    def stack_mirrored(self) -> Iterator[Fault]:
        yield self._turn("all", list(self.pack.positions), "stack-mirrored", "the whole stack")

    def _turn(self, place: str, members: Sequence[str], rule: str, subject: str) -> Fault:
        rows = {}
        for position in members:
            rows[position] = list(self.clean["modules"][position])
            rows[position][1] = self.pack.positions[position].minus
        return Fault(place, {"modules": rows}, ((rule, subject),))

    def modules_left_out(self) -> Iterator[Fault]:
        for name in self.pack.positions:
            yield Fault(name, {"modules": {name: "not fitted"}}, (("module-not-fitted", name),))

    def modules_bypassed(self) -> Iterator[Fault]:
        """A module is left out, and a bar from post to post of its place carries the current past it."""
        for name, position in self.pack.positions.items():
            bridge = {"X1": {"lands": [position.plus_place, position.minus_place]}}
            top = (("module-not-fitted", name), ("conductor-stray", "X1"))
            yield Fault(name, {"modules": {name: "not fitted"}, "bars": bridge}, top)

    def modules_exchanged(self) -> Iterator[Fault]:
        """Two modules stand in each other's positions, each the right way round for where it stands."""
        rows = self.clean["modules"]
        for a, b in combinations(self.pack.positions, 2):
            changed = {a: [rows[b][0], *rows[a][1:3], rows[b][3]], b: [rows[a][0], *rows[b][1:3], rows[a][3]]}
            top = (("module-out-of-plan", a), ("module-out-of-plan", b))
            yield Fault(f"{a} with {b}", {"modules": changed}, top)

    def bars_missing(self) -> Iterator[Fault]:
        """A bar was never fitted; it and the hardware of posts left bare lie in the tray, and the ledger says so."""
        for bar in self._bars():
            joints = {landing.joint: None for landing in bar.lands if landing.joint in self.clean["joints"]}
            changes = {"bars": {bar.name: "not fitted"}, "parts": self._returned(bar), "joints": joints}
            yield Fault(bar.name, changes, (("conductor-not-fitted", bar.name),))

    def _returned(self, bar: Conductor) -> dict[str, list[int]]:
        gone: dict[str, int] = {bar.part: 1} if bar.part in self.pack.bar_types else {}
        shared = {landing.node for c in self.pack.conductors.values() if c.name != bar.name for landing in c.lands}
        shared |= {tap.node for tap in self.pack.taps.values()}
        for landing in bar.lands:
            kind = self.pack.joint_types.get(landing.joint_type)
            for part in kind.stack if kind and landing.node not in shared else ():
                if part not in ("bar", "lug"):
                    gone[part] = gone.get(part, 0) + 1
        counts = self.clean["parts"]
        return {part: [counts[part][0], counts[part][1] - n, counts[part][2] + n, 0] for part, n in gone.items()}

    def bars_moved(self) -> Iterator[Fault]:
        """A bar sits one position further along, or one back, with all its landings."""
        for bar in self._bars():
            for step in (1, -1):
                lands = [self._beside(landing.node, step) for landing in bar.lands]
                if None not in lands:
                    yield self._moved(bar, lands, f"{bar.name} {step:+d}")

    def bar_ends_moved(self) -> Iterator[Fault]:
        """One landing of a bar sits on the neighbouring post of the same face."""
        for bar in self._bars():
            nodes = [landing.node for landing in bar.lands]
            for index, step in ((i, s) for i in range(len(nodes)) for s in (1, -1)):
                there = self._beside(nodes[index], step)
                if there is not None and there not in nodes:
                    lands = [*nodes[:index], there, *nodes[index + 1 :]]
                    yield self._moved(bar, lands, f"{bar.name}, {nodes[index]} to {there}")

    def members_unjoined(self) -> Iterator[Fault]:
        """A bar with more than two landings misses the post of one module, or the fuse of one string."""
        for bar in self._bars():
            nodes = [landing.node for landing in bar.lands]
            for node in nodes if len(nodes) > 2 else ():
                if node.partition(".")[0] in self.pack.positions or node.startswith("FS"):
                    yield self._moved(bar, [other for other in nodes if other != node], f"{bar.name} off {node}")

    def _moved(self, bar: Conductor, lands: Sequence[str | None], place: str) -> Fault:
        row = {"lands": list(lands), **({"part": bar.part} if bar.part else {})}
        return Fault(place, {"bars": {bar.name: row}}, (("conductor-moved", bar.name),))

    def _beside(self, node: str, step: int) -> str | None:
        """Return the same post of the next position of the same tray, or None."""
        order, (position, _, post) = list(self.pack.positions), node.partition(".")
        if position not in order or not 0 <= order.index(position) + step < len(order):
            return None
        there = self.pack.positions[order[order.index(position) + step]]
        return f"{there.name}.{post}" if there.tray == self.pack.positions[position].tray else None

    def strays(self) -> Iterator[Fault]:
        """A bar that the layout does not have joins two posts of one face, at most three pitches apart."""
        for one, other in self._pairs_of_posts():
            yield Fault(f"{one} to {other}", {"bars": {"X1": {"lands": [one, other]}}}, (("conductor-stray", "X1"),))

    def _pairs_of_posts(self) -> Iterator[Named]:
        forest = spanning_forest([edge for edge in network_of_layout(self.pack).closed(()) if edge.kind != "module"])
        order = list(self.pack.positions.values())
        for (i, a), (j, b) in combinations(enumerate(order), 2):
            for post in (a.plus, a.minus) if j - i <= 3 and a.tray == b.tray else ():
                if not forest.joined(f"{a.name}.{post}", f"{b.name}.{post}"):
                    yield f"{a.name}.{post}", f"{b.name}.{post}"

    def disconnects_bridged(self) -> Iterator[Fault]:
        """A bar sits where the disconnect has its gap, and the disconnect is fitted too."""
        forest = spanning_forest([edge for edge in network_of_layout(self.pack).closed(()) if edge.kind != "module"])
        places = [f"{p.name}.{post}" for p in self.pack.positions.values() for post in (p.plus, p.minus)]
        for device in self.pack.devices.values():
            if device.kind == "service disconnect":
                lands = [next(place for place in places if forest.joined(place, end)) for end in device.ends]
                top, folded = (("conductor-stray", "X1"),), (("disconnect-bypassed", device.name),)
                yield Fault(device.name, {"bars": {"X1": {"lands": lands}}}, top, folded)

    def bars_doubled(self) -> Iterator[Fault]:
        for bar in self._bars():
            row = {"lands": [landing.node for landing in bar.lands]}
            yield Fault(bar.name, {"bars": {"X1": row}}, (("conductor-doubled", "X1"),))

    def mains_swapped(self) -> Iterator[Fault]:
        """The leads at the two ends of the string have changed places."""
        plus, minus = self.ends
        yield self._leads_exchanged("mains", plus, minus, (("mains-swapped", self.pack.name),))

    def trays_swapped(self) -> Iterator[Fault]:
        """The leads at the two ends of the second tray have changed places, so that its voltage counts against."""
        second = list(self.pack.strings.values())[1].groups
        yield self._leads_exchanged("T2", self._place(second[0], plus=False), self._place(second[-1], plus=True))

    def _leads_exchanged(self, place: str, one: str, other: str, folded: tuple[Named, ...] = ()) -> Fault:
        swap, rows = {one: other, other: one}, {}
        for lead in self.pack.conductors.values():
            nodes = [landing.node for landing in lead.lands]
            if lead.kind == "lead" and {one, other} & set(nodes):
                rows[lead.name] = {"lands": [swap.get(node, node) for node in nodes]}
        return Fault(place, {"leads": rows}, tuple(("conductor-moved", name) for name in rows), folded)

    def _bars(self) -> Iterator[Conductor]:
        yield from (conductor for conductor in self.pack.conductors.values() if conductor.kind == "bar")

    # rows and cells

    def cells(self, section: str, column: str, value: Any, rule: str) -> Iterator[Fault]:
        """One cell of each row of a table in turn is otherwise."""
        index = self.clean[section]["columns"].index(column)
        for name, row in self.table(section):
            changed = [*row[:index], value(row[index]) if callable(value) else value, *row[index + 1 :]]
            yield Fault(name, {section: {name: changed}}, ((rule, name),))

    def ledger(self, shift: tuple[int, int, int, int], rule: str) -> Iterator[Fault]:
        """One part's line of the ledger is off by some numbers issued, fitted, returned, scrapped."""
        for part, row in self.table("parts"):
            yield Fault(part, {"parts": {part: [a + b for a, b in zip(row, shift, strict=True)]}}, ((rule, part),))

    def rows(self, section: str, value: Any, rule: str) -> Iterator[Fault]:
        """Each row of a section in turn is something else; None takes it out."""
        for name, _ in self.table(section):
            yield Fault(name, {section: {name: value}}, ((rule, name),))

    def table(self, section: str) -> Iterator[tuple[str, Any]]:
        """Yield the rows of a section of the clean record, by name."""
        yield from ((name, row) for name, row in self.clean[section].items() if name not in ("columns", "taken"))


def with_changes(record: Data, changes: Mapping[str, Rows]) -> Data:
    """Return the record with rows put in, changed, or (None) taken out."""
    changed = dict(record)
    for section, rows in changes.items():
        merged = {**record.get(section, {}), **rows}
        changed[section] = {name: row for name, row in merged.items() if row is not None}
    return changed
