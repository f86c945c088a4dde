"""Every kind of fault at every place: the right rule finds it at the right place, and nothing else stands beside it.

The catalogue below lists the assembly faults of the trade by short names: T polarity and topology, J joints and bars,
G hygiene and counts, L parallel strings and groups, R the record itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain, pairwise
from typing import Any

import pytest
from faulty_builds import Build, Fault, above_advice, every_finding, judged, shipped_rules, with_changes
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.files.problems import InputProblems
from packcheck.network.graph import network_of_layout
from packcheck.network.topology import spanning_forest
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict

CATALOGUE = {
    "T01 one module turned end for end": "module-reversed",
    "T02 a whole block turned": "block-reversed",
    "T03 two modules turned in different blocks": "module-reversed",
    "T04 the whole stack mirrored": "stack-mirrored",
    "T05 a bar over the wrong pair of posts": "conductor-moved",
    "T06 a bar beside the service disconnect": "disconnect-bypassed",
    "T07 a bar missing": "conductor-not-fitted",
    "T08 a module left out, a bar in its place": "module-not-fitted",
    "T09 a module of another type": "module-wrong-type",
    "T10 main leads swapped": "mains-swapped",
    "T11 a serial twice, or none": "serial-doubled",
    "T12 two trays joined in the wrong order": "conductor-moved",
    "J01 a nut only finger tight": "joint-torque-low",
    "J02 torque set in the wrong unit": "torque-unit-slip",
    "J03 over-torque": "joint-torque-high",
    "J04 cross-threaded or bottomed nut": "joint-resistance-high",
    "J05 a washer between post and bar": "joint-resistance-high",
    "J06 oxide, paint or residue on the faces": "joint-resistance-above-peers",
    "J07 a washer missing": "part-count-off",
    "J08 a bar cracked or thin": "conductor-damaged",
    "J09 a bar of the wrong part": "conductor-wrong-part",
    "J10 a cap missing": "post-cap-missing",
    "J11 torqued before compression": "joint-torqued-before-clamp",
    "G01 a part left over": "part-unaccounted",
    "G02 more fitted than the layout has": "part-count-off",
    "G03 a tool not returned": "tool-not-returned",
    "G05 a cover off": "cover-not-fitted",
    "L01 a group joined at unequal voltages": "group-surge",
    "L02 a member reversed inside a group": "module-reversed",
    "L03 a member of a group not connected": "group-member-unjoined",
    "L04 groups of unequal size": "group-unequal-size",
    "L09 strings of unequal length in parallel": "string-unequal-length",
    "R02 an instrument out of calibration": "instrument-overdue",
    "R05 parts and total disagree": "sum-disagrees",
    "R07 a decimal or unit slip": "rest-voltage-slip",
}
NOT_FOUND = {
    "J12 re-torqued by backing off": "only a layout that asks for the method of the re-check finds it: tests/catalogue",
    "G04 swarf or dust": "only a layout that asks for an entry about cleaning finds it: tests/catalogue",
    "G06 condensation": "only a layout that asks for the humidity, or for isolation, finds it: tests/catalogue",
}
ONLY_THROUGH = {
    "J04": "its torque is right: only the joint's resistance shows it, and only if it was read",
    "J07": "the count shows it, and the re-check when the joint has moved; not which joint",
}
UNSEEN_BY_VOLTAGE = {
    "bars doubled": "a second bar beside the first changes only the resistance",
    "members unjoined": "the group keeps its voltage; resistance and capacity change",
    "group modules left out": "the group keeps its voltage; resistance and capacity change",
    "modules exchanged": "two modules of one type and voltage are alike to a meter",
}


def two_types(layout: dict[str, Any]) -> dict[str, Any]:
    stick = layout["module types"]["stick"]
    twin = {**stick, "cells": 5, "nominal": "6.0 V", "rest": "6.25 V to 7.0 V", "highest": "7.25 V"}
    return {**layout, "module types": {"stick": stick, "twin": twin}}


@cache
def build(name: str) -> Build:
    return {
        "stick 6": lambda: Build(stick_layout(6)),
        "stick 7": lambda: Build(stick_layout(7)),
        "stick 6 planned": lambda: Build(stick_layout(6), plan=True),
        "stick 6 release": lambda: Build(stick_layout(6), release=True),
        "stick 6 of two types": lambda: Build(two_types(stick_layout(6))),
        "groups 5x3": lambda: Build(grouped_layout(5, 3)),
        "trays 2x4": lambda: Build(trayed_layout(4)),
        "rack 2x4": lambda: Build(rack_layout([4, 4])),
        "rack 3x4": lambda: Build(rack_layout([4, 4, 4])),
        "stick 40": lambda: Build(stick_layout(40)),
    }[name]()


@dataclass(frozen=True)
class Kind:
    """One kind of fault in one pack: its generator, how many places it has, and the verdict it must lead to.

    ``every`` takes each so-manieth place only, for packs too large to visit everywhere.
    """

    name: str
    pack: str
    faults: Callable[[Build], Iterable[Fault]]
    places: int
    verdict: Verdict = Verdict.DO_NOT_ENERGIZE
    gate: Gate = Gate.PLUG_IN
    every: int = 1

    def cases(self) -> Iterator[Fault]:
        found = list(self.faults(build(self.pack)))
        assert len(found) == self.places, f"{self.name} in {self.pack}: {len(found)} places"
        yield from found[:: self.every]


TOPOLOGY = [
    Kind("modules reversed", "stick 6", Build.modules_reversed, 6),
    Kind("modules reversed", "stick 7", Build.modules_reversed, 7),
    Kind("modules reversed", "groups 5x3", Build.modules_reversed, 15),
    Kind("modules reversed", "trays 2x4", Build.modules_reversed, 8),
    Kind("modules reversed", "rack 3x4", Build.modules_reversed, 12),
    Kind("modules reversed", "stick 40", Build.modules_reversed, 40, every=7),
    Kind("blocks reversed", "trays 2x4", Build.blocks_reversed, 4),
    Kind("trays reversed", "trays 2x4", Build.trays_reversed, 2),
    Kind("trays reversed", "rack 2x4", Build.trays_reversed, 2),
    Kind("stack mirrored", "stick 6", Build.stack_mirrored, 1),
    Kind("stack mirrored", "stick 7", Build.stack_mirrored, 1),
    Kind("stack mirrored", "groups 5x3", Build.stack_mirrored, 1),
    Kind("stack mirrored", "rack 2x4", Build.stack_mirrored, 1),
    Kind("modules left out", "stick 6", Build.modules_left_out, 6),
    Kind("modules left out", "rack 2x4", Build.modules_left_out, 8),
    Kind("modules bypassed", "stick 6", Build.modules_bypassed, 6),
    Kind("modules bypassed", "stick 7", Build.modules_bypassed, 7),
    Kind("modules bypassed", "rack 2x4", Build.modules_bypassed, 8),
    Kind("bars missing", "stick 6", Build.bars_missing, 4),
    Kind("bars missing", "stick 7", Build.bars_missing, 5),
    Kind("bars missing", "groups 5x3", Build.bars_missing, 7),
    Kind("bars missing", "rack 2x4", Build.bars_missing, 6),
    Kind("bars missing", "stick 40", Build.bars_missing, 38, every=7),
    Kind("bars moved", "stick 6", Build.bars_moved, 6),
    Kind("bars moved", "stick 7", Build.bars_moved, 8),
    Kind("bars moved", "trays 2x4", Build.bars_moved, 8),
    Kind("bars moved", "stick 40", Build.bars_moved, 74, every=13),
    Kind("bar ends moved", "stick 6", Build.bar_ends_moved, 6),
    Kind("bar ends moved", "stick 7", Build.bar_ends_moved, 8),
    Kind("bar ends moved", "groups 5x3", Build.bar_ends_moved, 10),
    Kind("bar ends moved", "rack 2x4", Build.bar_ends_moved, 6),
    Kind("stray bars", "stick 6", Build.strays, 20),
    Kind("stray bars", "stick 7", Build.strays, 25),
    Kind("stray bars", "groups 5x3", Build.strays, 30, every=2),
    Kind("stray bars", "trays 2x4", Build.strays, 18),
    Kind("stray bars", "rack 2x4", Build.strays, 20),
    Kind("stray bars", "stick 40", Build.strays, 190, every=29),
    Kind("strings unjoined", "rack 3x4", Build.members_unjoined, 6),
    Kind("disconnects bridged", "stick 6", Build.disconnects_bridged, 1),
    Kind("disconnects bridged", "groups 5x3", Build.disconnects_bridged, 1),
    Kind("disconnects bridged", "rack 2x4", Build.disconnects_bridged, 2),
    Kind("mains swapped", "stick 6", Build.mains_swapped, 1),
    Kind("mains swapped", "stick 7", Build.mains_swapped, 1),
    Kind("mains swapped", "trays 2x4", Build.mains_swapped, 1),
    Kind("trays swapped", "trays 2x4", Build.trays_swapped, 1),
]
UNSEEN = [
    Kind("group modules left out", "groups 5x3", Build.modules_left_out, 15),
    Kind("bars doubled", "stick 6", Build.bars_doubled, 4, Verdict.HOLD),
    Kind("bars doubled", "groups 5x3", Build.bars_doubled, 7, Verdict.HOLD),
    Kind("members unjoined", "groups 5x3", Build.members_unjoined, 30, every=2),
    Kind("modules exchanged", "stick 6 planned", Build.modules_exchanged, 15, Verdict.HOLD),
]


def cells(section: str, column: str, value: object, rule: str) -> Callable[[Build], Iterable[Fault]]:
    return lambda b: b.cells(section, column, value, rule)


def rows(section: str, value: object, rule: str) -> Callable[[Build], Iterable[Fault]]:
    return lambda b: b.rows(section, value, rule)


def ledger(shift: tuple[int, int, int, int], rule: str) -> Callable[[Build], Iterable[Fault]]:
    return lambda b: b.ledger(shift, rule)


def devices_not_fitted(b: Build) -> Iterator[Fault]:
    for name, device in b.pack.devices.items():
        plug = device.kind == "service disconnect"
        rule = "disconnect-not-fitted" if plug else "device-not-fitted"
        yield Fault(name, {"devices": {name: "not fitted"}}, ((rule, name),))


def contactors_turned(b: Build) -> Iterator[Fault]:
    for name in (name for name, device in b.pack.devices.items() if device.kind == "main contactor"):
        yield Fault(name, {"devices": {name: {"current": "2 to 1"}}}, (("contactor-reversed", name),))


def bars_of_condition(word: str) -> Callable[[Build], Iterable[Fault]]:
    def faults(b: Build) -> Iterator[Fault]:
        for name, c in b.pack.conductors.items():
            if c.kind == "bar":
                row = {"lands": [landing.node for landing in c.lands], "part": c.part, "condition": word}
                yield Fault(name, {"bars": {name: row}}, (("conductor-damaged", name),))

    return faults


def bars_of_part(b: Build) -> Iterator[Fault]:
    for name, c in b.pack.conductors.items():
        if c.kind == "bar":
            row = {"lands": [landing.node for landing in c.lands], "part": "strap"}
            yield Fault(name, {"bars": {name: row}}, (("conductor-wrong-part", name),))


def serials_twice(b: Build) -> Iterator[Fault]:
    positions = list(b.pack.positions)
    for name, other in pairwise(positions):
        row = [b.clean["modules"][other][0], *b.clean["modules"][name][1:]]
        yield Fault(name, {"modules": {name: row}}, (("serial-doubled", name), ("serial-doubled", other)))


def torqued_before_clamp(b: Build) -> Iterator[Fault]:
    for name, row in b.table("joints"):
        torque, resistance, recheck, recheck_at, mark = row
        early = {
            "torque": f"{torque} N·m", "resistance": f"{resistance} µΩ", "recheck": recheck, "recheck at": recheck_at,
            "mark": mark, "at": "2026-10-05 09:30",
        }  # fmt: skip
        yield Fault(name, {"joints": {name: early}}, (("joint-torqued-before-clamp", name),))


def group_members_charged(b: Build) -> Iterator[Fault]:
    """One member rests 115 mV above the others, inside its own window: over two cells of 0.8 mΩ that is 72 A."""
    for name, row in b.table("modules"):
        changed = [*row[:3], round(row[3] + 0.115, 3)]
        yield Fault(name, {"modules": {name: changed}}, (("group-surge", b.pack.positions[name].group),))


def instruments_overdue(b: Build) -> Iterator[Fault]:
    for name in b.record().uses:
        due = {**b.clean["instruments"][name], "due": "2026-10-01"}
        yield Fault(name, {"instruments": {name: due}}, (("instrument-overdue", name),))


def readings_of_wrong_sign(b: Build) -> Iterator[Fault]:
    """A sign slip in one reading of the middle of a chain whose total was read too."""
    for name, row in b.table("readings"):
        if isinstance(row, list) and abs(row[2]) > 1 and name != "V1":
            yield Fault(name, {"readings": {name: [*row[:2], -row[2]]}}, (("reading-disagrees", name),))


def readings_slipped(b: Build) -> Iterator[Fault]:
    for name, row in b.table("readings"):
        if isinstance(row, list) and abs(row[2]) > 1:
            slipped = {name: [*row[:2], round(row[2] * 10, 3)]}
            yield Fault(name, {"readings": slipped}, (("reading-slip", name),), (("reading-disagrees", name),))


def rests_slipped(b: Build) -> Iterator[Fault]:
    """A rest voltage was written in millivolts: each reading across the module disagrees with the record for it."""
    forest = spanning_forest(network_of_layout(b.pack).closed(()))
    for name, row in b.table("modules"):
        slipped, folded = {name: [*row[:3], round(row[3] * 1000)]}, [("rest-voltage-outside-window", name)]
        for reading, (plus, minus) in b.planned_readings.items():
            if name in {step.edge.part for step in forest.walk(minus, plus) or ()}:
                folded.append(("reading-disagrees", reading))
        yield Fault(name, {"modules": slipped}, (("rest-voltage-slip", name),), tuple(folded), only_on_paper=True)


ROWS = [
    Kind("torque low", "stick 6", cells("joints", "torque N·m", 3.2, "joint-torque-low"), 18, Verdict.HOLD),
    Kind("torque low", "groups 5x3", cells("joints", "torque N·m", 5.5, "joint-torque-low"), 38, Verdict.HOLD, every=3),
    Kind("torque high", "stick 6", cells("joints", "torque N·m", 6.2, "joint-torque-high"), 18, Verdict.HOLD),
    Kind(
        "torque high", "groups 5x3", cells("joints", "torque N·m", 11, "joint-torque-high"), 38, Verdict.HOLD, every=3
    ),
    Kind("torque in lbf·in", "stick 6", cells("joints", "torque N·m", 39.8, "torque-unit-slip"), 18, Verdict.HOLD),
    Kind(
        "torque in lbf·in",
        "groups 5x3",
        cells("joints", "torque N·m", 70.8, "torque-unit-slip"),
        38,
        Verdict.HOLD,
        every=3,
    ),
    Kind("N·m for lbf·in", "stick 6", cells("joints", "torque N·m", 0.5084, "torque-unit-slip"), 18, Verdict.HOLD),
    Kind("a decimal off", "stick 6", cells("joints", "torque N·m", 45, "torque-unit-slip"), 18, Verdict.HOLD),
    Kind(
        "resistance high", "stick 6", cells("joints", "resistance µΩ", 310, "joint-resistance-high"), 18, Verdict.HOLD
    ),
    Kind(
        "resistance above peers",
        "stick 6",
        cells("joints", "resistance µΩ", 95, "joint-resistance-above-peers"),
        18,
        Verdict.HOLD,
    ),
    Kind(
        "joint moved",
        "stick 6 release",
        cells("joints", "recheck", "moved", "joint-moved-at-recheck"),
        18,
        Verdict.HOLD,
        Gate.RELEASE,
    ),
    Kind(
        "re-check early",
        "stick 6 release",
        cells("joints", "recheck at", "2026-10-05 12:00", "joint-recheck-early"),
        18,
        Verdict.HOLD,
        Gate.RELEASE,
    ),
    Kind("torqued before clamp", "stick 6", torqued_before_clamp, 18, Verdict.HOLD),
    Kind("one issued too many", "stick 6", ledger((1, 0, 0, 0), "part-unaccounted"), 7),
    Kind("one returned too few", "stick 6", ledger((0, 0, -1, 0), "part-unaccounted"), 7),
    Kind("one scrapped too many", "groups 5x3", ledger((0, 0, 0, 1), "part-unaccounted"), 5),
    Kind("one fitted too many", "stick 6", ledger((1, 1, 0, 0), "part-count-off"), 7, Verdict.HOLD),
    Kind("one fitted too few", "stick 6", ledger((0, -1, 1, 0), "part-count-off"), 7, Verdict.HOLD),
    Kind("tool out", "stick 6", rows("tools", [2, 1], "tool-not-returned"), 1),
    Kind("caps off", "stick 6", rows("caps", "off", "post-cap-missing"), 18, Verdict.HOLD),
    Kind("covers off", "stick 6", rows("covers", "not fitted", "cover-not-fitted"), 2),
    Kind("screws missing", "stick 6", rows("covers", {"screws": 3}, "cover-screws-missing"), 2, Verdict.HOLD),
    Kind("devices missing", "stick 6", devices_not_fitted, 4),
    Kind("devices missing", "rack 2x4", devices_not_fitted, 7),
    Kind("leads missing", "stick 6", rows("leads", "not fitted", "conductor-not-fitted"), 5),
    Kind("contactors turned", "stick 6", contactors_turned, 2),
    Kind("bars cracked", "stick 6", bars_of_condition("cracked"), 4, Verdict.HOLD),
    Kind("bars thin", "stick 6", bars_of_condition("thin"), 4, Verdict.HOLD),
    Kind("bars of another part", "stick 6", bars_of_part, 4, Verdict.HOLD),
    Kind(
        "modules of another type",
        "stick 6 of two types",
        cells("modules", "type", "twin", "module-wrong-type"),
        6,
        Verdict.HOLD,
    ),
    Kind("serials twice", "stick 6", serials_twice, 5, Verdict.HOLD),
    Kind("rest in millivolts", "stick 6", rests_slipped, 6),
    Kind("readings of wrong sign", "stick 6", readings_of_wrong_sign, 10),
    Kind("readings a decimal off", "stick 6", readings_slipped, 11),
    Kind("instruments overdue", "stick 6", instruments_overdue, 4, Verdict.HOLD),
    Kind("group members charged", "groups 5x3", group_members_charged, 15),
    Kind("taps moved", "stick 6", rows("taps", {"on": "P2.A"}, "tap-moved"), 8),
]
SHORTS = ("loop-shorts-modules", "loop-closed-by-switch")
"""A live short stands first, and what made it is told under it."""
GRAVE = ("reading-disagrees", "reading-floating")
"""What forbids energizing; a voltage where nothing joins, but less than a bridge would give, holds the pack."""
CLOSER = {
    "disconnect-not-shown-open",
    "sum-disagrees",
    "reading-apart-from-modules",
    "reading-unlike-its-kind",
    "reading-below-lowest",
}
"""Rules that look more closely at the same readings, and at those that change by less than half a module."""
U = Outcome.UNPROVEN
UNRECORDED = [
    ("joints", "torque N·m", "joint-torque-low", 18),
    ("joints", "resistance µΩ", "joint-resistance-high", 18),
    ("modules", "plus at", "module-reversed", 6),
    ("modules", "serial", "serial-doubled", 6),
    ("modules", "rest V", "rest-voltage-outside-window", 6),
    ("bars", None, "conductor-not-fitted", 4),
    ("leads", None, "conductor-not-fitted", 5),
    ("modules", None, "module-not-fitted", 6),
    ("devices", None, "device-not-fitted", 4),
    ("covers", None, "cover-not-fitted", 2),
    ("caps", None, "post-cap-missing", 18),
    ("taps", None, "tap-moved", 8),
    ("parts", None, "part-unaccounted", 7),
]
CASES = 0


def names(kind: Kind) -> str:
    return f"{kind.name} in {kind.pack}"


@pytest.mark.parametrize("kind", [*TOPOLOGY, *UNSEEN, *ROWS], ids=names)
def test_told_honestly_each_fault_stands_alone_at_the_top_at_its_place(kind: Kind) -> None:
    wrong = []
    for fault in kind.cases():
        judgement = judged(build(kind.pack).honest(fault), kind.gate)
        shorts = [f for f in above_advice(judgement) if f.rule in SHORTS]
        top = [f for f in above_advice(judgement) if f.rule not in SHORTS]
        led = {(c.rule, c.subject) for short in shorts for c in short.consequences}
        found = {(f.rule, f.subject) for f in top if f.outcome is Outcome.BROKEN} | (led & set(fault.top))
        folded = {(c.rule, c.subject) for finding in (*top, *shorts) for c in finding.consequences}
        told = len(top) + len(led & set(fault.top))
        if (
            found != set(fault.top)
            or told != len(fault.top)
            or not set(fault.folded) <= folded | {(s.rule, s.subject) for s in shorts}
        ):
            wrong.append((fault.place, [(f.rule, f.subject, f.outcome.value) for f in top][:6]))
        elif judgement.verdict is not kind.verdict:
            wrong.append((fault.place, judgement.verdict.value))
    assert not wrong, f"{len(wrong)} of {kind.places}: {wrong[:6]}"


@pytest.mark.parametrize("kind", TOPOLOGY, ids=names)
def test_told_as_drawn_the_readings_that_the_fault_changes_break_and_no_others(kind: Kind) -> None:
    b = build(kind.pack)
    sound = b.true_voltages(b.clean)
    module_v = min(kind_.rest_middle_v for kind_ in b.pack.module_types.values())
    members = max(map(len, b.pack.groups.values()))
    wrong = []
    for fault in kind.cases():
        judgement = judged(b.silent(fault), kind.gate)
        changed = [
            abs(x - y) / module_v
            for x, y in zip(sound, b.true_voltages(with_changes(b.clean, fault.changes)), strict=True)
        ]
        must = {name for name, by in zip(b.planned_readings, changed, strict=True) if by > 0.6}
        may = {name for name, by in zip(b.planned_readings, changed, strict=True) if by > 0.4 * min(1, 2 / members)}
        broken = [f for f in every_finding(judgement) if f.outcome is Outcome.BROKEN]
        broken = [f for f in broken if f.severity is not Severity.ADVISE]
        found = {f.subject for f in broken if f.rule in (*GRAVE, "reading-ghost")}
        others = {f.rule for f in broken} - {*GRAVE, "reading-ghost", "module-facing-contradicted"}
        if not must or not must <= found <= may or others - CLOSER:
            wrong.append((fault.place, sorted(must ^ found), sorted(others)))
        elif any(f.rule in GRAVE for f in broken) != (judgement.verdict is Verdict.DO_NOT_ENERGIZE):
            wrong.append((fault.place, judgement.verdict.value))
    assert not wrong, f"{len(wrong)} of {kind.places}: {wrong[:6]}"


@pytest.mark.parametrize("kind", UNSEEN, ids=names)
def test_what_no_voltage_shows_is_not_claimed_to_be_found_when_the_record_is_silent(kind: Kind) -> None:
    assert kind.name in UNSEEN_BY_VOLTAGE
    b = build(kind.pack)
    for fault in kind.cases():
        judgement = judged(b.silent(fault))
        assert above_advice(judgement) == [], fault.place
        assert judgement.verdict is Verdict.NO_RULE_BROKEN


@pytest.mark.parametrize(("section", "column", "rule", "places"), UNRECORDED, ids=lambda v: str(v))
def test_what_nobody_recorded_is_unproven_and_nothing_is_called_broken(
    section: str, column: str | None, rule: str, places: int
) -> None:
    b = build("stick 6")
    faults = list(b.cells(section, column, "none", rule) if column else b.rows(section, None, rule))
    assert len(faults) == places
    for fault in faults:
        judgement = judged(b.record(fault.changes))
        found = {(f.rule.replace("disconnect-", "device-"), f.subject) for f in every_finding(judgement)}
        assert set(fault.top) <= found, fault.place
        assert {f.outcome for f in every_finding(judgement) if f.severity is not Severity.ADVISE} == {U}, fault.place
        assert judgement.verdict is Verdict.HOLD, fault.place
        if section in ("joints", "caps", "taps", "parts"):
            assert {f.subject for f in above_advice(judgement)} == {fault.place}


def test_two_modules_turned_in_different_blocks_are_two_findings() -> None:
    b = build("trays 2x4")
    first, *_, last = b.modules_reversed()
    both = Fault("two", {"modules": {**first.changes["modules"], **last.changes["modules"]}}, first.top + last.top)
    judgement = judged(b.honest(both))
    assert {(f.rule, f.subject) for f in above_advice(judgement)} == set(both.top)
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE


def test_a_member_off_its_bar_has_the_unjoined_group_among_its_consequences() -> None:
    b = build("groups 5x3")
    fault = next(b.members_unjoined())
    found = {(f.rule, f.subject) for f in every_finding(judged(b.honest(fault)))}
    assert ("group-member-unjoined", "G1") in found


def test_a_position_used_twice_is_refused_by_the_reader() -> None:
    b = build("stick 6")
    twice = {**b.clean, "modules": {**b.clean["modules"], "P1..P2": "as drawn"}}
    with pytest.raises(InputProblems, match="a second time"):
        record_of(twice, b.pack)


def test_groups_of_unequal_size_are_found_in_the_layout() -> None:
    layout = grouped_layout(5, 2)
    block = next(iter(layout["positions"].values()))
    layout["positions"] = {
        "G1..G2": block,
        "G3": {**block, "of": ["a", "b", "c"], "first at": ["200 mm", "0 mm", "0 mm"]},
        "G4..G5": {**block, "first at": ["300 mm", "0 mm", "0 mm"], "plus at": ["R", "F"]},
    }
    layout["bars"]["M2"]["lands"].insert(2, "G3c.R")
    pack = pack_of(layout)
    judgement = judged(record_of(clean_record(pack), pack))
    assert ("group-unequal-size", "G3") in {(f.rule, f.subject) for f in above_advice(judgement)}
    assert judgement.verdict is Verdict.HOLD


def test_strings_of_unequal_length_in_parallel_are_found_in_the_layout() -> None:
    pack = pack_of(rack_layout([4, 5]))
    judgement = judged(record_of(clean_record(pack), pack), Gate.CLOSE_CONTACTORS)
    found = {(f.rule, f.subject) for f in above_advice(judgement) if f.outcome is Outcome.BROKEN}
    loop = ("layout-strings-unequal", "loop of S1-P1..S1-P4, S2-P1..S2-P5 closed by BN, BP")
    assert found == {("string-unequal-length", "S1"), ("string-unequal-length", "S2"), loop}
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE


def test_a_total_that_its_parts_do_not_add_up_to_is_found() -> None:
    b = build("stick 6")
    changes = {
        "readings": {
            "half A": [
                "P3.A",
                "P1.B",
                round(sum(row[2] for row in (b.clean["readings"][name] for name in ("V1", "V2", "V3"))) - 15.84, 3),
            ]
        }
    }
    found = {(f.rule, f.subject) for f in every_finding(judged(b.record(changes)))}
    assert ("sum-disagrees", "half A") in found


@pytest.mark.parametrize("layout", [
    *(stick_layout(n) for n in (4, 5, 9, 16, 23, 32, 40)),
    *(grouped_layout(s, p) for s, p in ((4, 1), (5, 2), (6, 8), (9, 4), (14, 3))),
    *(trayed_layout(n) for n in (3, 4, 9)),
    *(rack_layout(counts) for counts in ([4, 4], [5, 5, 5], [8, 8], [4, 4, 4, 4])),
], ids=lambda layout: f"{layout['name']} {next(iter(layout['positions']))}")  # fmt: skip
@pytest.mark.parametrize("seed", [1, 2])
def test_a_clean_build_is_never_flagged(layout: dict[str, object], seed: int) -> None:
    b = Build(layout, seed=seed, release=True)
    judgement = judged(b.record(), Gate.RELEASE)
    assert [(f.rule, f.subject, f.outcome.value) for f in above_advice(judgement)] == []
    assert judgement.verdict is Verdict.NO_RULE_BROKEN


def test_the_catalogue_is_complete_and_each_entry_is_found_by_a_rule_that_the_matrix_exercises() -> None:
    asked = [
        *(f"T{i:02d}" for i in range(1, 13)), *(f"J{i:02d}" for i in range(1, 13)), *(f"G{i:02d}" for i in range(1, 7)),
        "L01", "L02", "L03", "L04", "L09", "R02", "R05", "R07",
    ]  # fmt: skip
    assert sorted(entry.partition(" ")[0] for entry in [*CATALOGUE, *NOT_FOUND]) == sorted(asked)
    assert set(CATALOGUE.values()) <= {rule.name for rule in shipped_rules()}
    exercised = {rule for kind in [*TOPOLOGY, *UNSEEN, *ROWS] for fault in kind.faults(build(kind.pack))
                 for rule, _ in (*fault.top, *fault.folded)}  # fmt: skip
    elsewhere = {"group-member-unjoined", "group-unequal-size", "string-unequal-length", "sum-disagrees"}
    assert set(CATALOGUE.values()) - exercised == elsewhere
    assert set(ONLY_THROUGH) <= {entry.partition(" ")[0] for entry in CATALOGUE}


def test_the_matrix_has_not_shrunk() -> None:
    visited = [len(range(0, kind.places, kind.every)) for kind in chain(TOPOLOGY, UNSEEN, ROWS)]
    assert (sum(visited[: len(TOPOLOGY)]), sum(visited)) == (306, 732)
    assert (len(TOPOLOGY), len(UNSEEN), len(ROWS)) == (45, 5, 37)
