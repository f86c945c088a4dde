"""Kinds of assembly faults: for each the pack, the places it can be at, and the verdict it must lead to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from faulty_builds import Build, Fault
from workshop import grouped_layout, rack_layout, stick_layout, trayed_layout

from packcheck.network.graph import network_of_layout
from packcheck.network.topology import spanning_forest
from packcheck.rules.findings import Gate, Verdict

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


def torques(value: float, rule: str) -> Callable[[Build], Iterable[Fault]]:
    return cells("joints", "torque N·m", value, rule)


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
    Kind("torque low", "stick 6", torques(3.2, "joint-torque-low"), 18, Verdict.HOLD),
    Kind("torque low", "groups 5x3", torques(5.5, "joint-torque-low"), 38, Verdict.HOLD, every=3),
    Kind("torque high", "stick 6", torques(6.2, "joint-torque-high"), 18, Verdict.HOLD),
    Kind("torque high", "groups 5x3", torques(11, "joint-torque-high"), 38, Verdict.HOLD, every=3),
    Kind("torque in lbf·in", "stick 6", torques(39.8, "torque-unit-slip"), 18, Verdict.HOLD),
    Kind("torque in lbf·in", "groups 5x3", torques(70.8, "torque-unit-slip"), 38, Verdict.HOLD, every=3),
    Kind("N·m for lbf·in", "stick 6", torques(0.5084, "torque-unit-slip"), 18, Verdict.HOLD),
    Kind("a decimal off", "stick 6", torques(45, "torque-unit-slip"), 18, Verdict.HOLD),
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
