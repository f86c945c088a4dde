"""Nothing that a layout says is silent: each key of its schema, changed alone, changes what is shown."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
import yaml

from packcheck.files.document import parse_document
from packcheck.files.shipped import schema_folder
from packcheck.model.pack.from_document import read_pack
from packcheck.render.expanded import render_expanded

LAYOUT = """\
layout: 1
name: dunlin-8
title: Trial block of four groups of two
revision: 3
notes: The lid is on loan from another block.
faces: {F: front, R: rear}
module types:
  cell:
    chemistry: LFP
    cells: 1
    nominal: 3.2 V
    rest: 3.28 V to 3.32 V
    highest: 3.65 V
    lowest: 2.5 V
    capacity: 100 Ah
    resistance: 0.5 mΩ
    mass: 1980 g ± 20 g
    size: [50 mm, 160 mm, 115 mm]
    posts:
      F: {at: [25 mm, 20 mm, 115 mm], face: F, joint: post}
      R: {at: [25 mm, 140 mm, 115 mm], face: R, joint: post}
    turned: bars still fit
    vent: {at: [25 mm, 80 mm, 115 mm], face: F}
  spare: {chemistry: LFP, cells: 1, nominal: 3.2 V, rest: 3.28 V to 3.32 V, highest: 3.65 V, resistance: 0.6 mΩ,
          posts: {F: {at: [25 mm, 20 mm, 115 mm], joint: post}, R: {at: [25 mm, 140 mm, 115 mm], joint: post}}}
joint types:
  post: {thread: M6, class: 8.8, torque: "5 N·m to 7 N·m, aim 6 N·m", recheck: after 12 h,
         resistance: "30 µΩ, at most 60 µΩ", stack: [bar, washer-m6, nut-m6], nut factor: 0.15 to 0.25,
         compare with: lug}
  lug: {like: post, stack: [lug-m6, washer-m6, nut-m6]}
  thin: {thread: M5, class: A2-70, torque: 3 N·m to 4 N·m, compare with: post}
bar types:
  flat: {metal: copper, size: [120 mm, 20 mm, 3 mm], resistance: 20 µΩ, insulated: true}
  thick: {metal: copper, size: [120 mm, 20 mm, 4 mm], resistance: 15 µΩ}
positions:
  A-G1..A-G2: {module: cell, of: [a, b], first at: [0 mm, 0 mm, 0 mm], step: [60 mm, 0 mm, 0 mm], plus at: [F, R]}
  B-G1..B-G2: {like: A, first at: [0 mm, 400 mm, 0 mm]}
  C-G1..C-G2: {module: spare, of: [a, b], first at: [0 mm, 800 mm, 0 mm], step: [60 mm, 0 mm, 0 mm], plus at: [R, F]}
series:
  A: {through: A-G1..A-G2, bar: flat, names: [A1]}
  B: {through: B-G1..B-G2, bar: flat, names: [B1], drop: [B1]}
  C: {through: C-G1..C-G2, bar: flat, names: [C1]}
parallel strings: [[A, C]]
bars:
  L1: {type: flat, kind: link, lands: [B-G1a.F, B-G1b.F, B-G2a.F], length: 90 mm, size: [90 mm, 20 mm, 2 mm],
       resistance: 18 µΩ, part: link-9, joint: thin, insulated: true}
leads:
  W1: {type: flat, kind: lead, lands: [A-G1a.R, SD.1], length: 200 mm, size: [200 mm, 8 mm, 8 mm], resistance: 300 µΩ,
       part: lead-4, joint: lug, insulated: false}
  W2: {lands: [SD.2, F1.1]}
  W3: {lands: [A-G2a.R, K1.1]}
  W4: {lands: [K1.1, K2.1]}
devices:
  SD: {kind: service disconnect, interlock: true, part: plug-2, joint: thin}
  F1: {kind: fuse, rating: 80 A, volts: 80 V, breaks: 10 kA, resistance: 1 mΩ, part: fuse-80}
  K1: {kind: main contactor, current: 1 to 2}
  K2: {kind: main contactor}
  R1: {kind: precharge resistor, across: K2, resistance: 47 Ω}
  R2: {kind: precharge resistor, across: K1, resistance: 47 Ω}
outside: {main+: K1.2, main-: F1.2}
outlets:
  charger: {plus: K2.1, minus: K2.2, rating: 20 A, fed by: outside}
states:
  plug out: {closed: []}
  plug in: {closed: [SD]}
taps:
  T0: A-G1a.F
  T1..T2: [A-G2a.F, A-G2b.F]
harness: {wire: 22 AWG, fuse: 2 A, eyelet: eyelet-m6, X1: T0..T2}
probes: {N1: {"on": [A-G1a], kind: NTC 10 kΩ}}
vents: {V1: {over: A-G1a..A-G2a, to: outlet}}
covers: {CF: {over: face F, screws: 6 screw-m4}}
clamp: {length: 480 mm ± 0.5 mm, rods: 4 rod-m6, torque: 5 N·m to 7 N·m}
case: {foot-m6: 4}
parts:
  washer-m6: ISO 7089 M6
  nut-m6: {standard: ISO 4032 M6, largest: 12 mm, conducts: true}
isolation: {at least: 100 Ω/V, workshop floor: 1 MΩ}
creepage: {pollution degree: 2, material group: IIIa, distance: 9 mm, impulse: 2.5 kV, altitude: 2000 m}
surge: {at most: 20 A}
tests:
  gaps: {of: [A-G1a], at: [left, right], limit: 10 mm ± 0.5 mm, with: caliper, before: release, under: at least 20 °C,
         spread: 0.2 mm, not older than: 30 d, basis: drawing 12}
  drains: {at: [left], words: [clear, blocked]}
  charging: {kind: precharge, of: R1, at: [50 ms], capacitance: 1 mF, tolerance: 25 %}
  conducting: {kind: conductance, of: A-G1a, reference: 900 S}
order:
  - [A-G1..A-G2, clamp]
  - [A1, SD]
plan: {A-G1a: C-0007}
"""
ROOT: dict[str, Any] = yaml.safe_load(LAYOUT)
NEVER_CHANGES = {"layout": "the version of the language has one value"}
CHANGES: dict[str, tuple[tuple[str | int, ...], Any]] = {
    "name": (("name",), "dunlin-9"),
    "title": (("title",), "Trial block"),
    "revision": (("revision",), 4),
    "notes": (("notes",), "The lid is new."),
    "faces": (("faces", "R"), "back"),
    "faces/*": (("faces", "F"), "left"),
    "module types": (("module types", "more"), ROOT["module types"]["spare"]),
    "module types/*": (("module types", "more"), ROOT["module types"]["cell"]),
    "module types/*/chemistry": (("module types", "cell", "chemistry"), "NMC"),
    "module types/*/cells": (("module types", "cell", "cells"), 2),
    "module types/*/nominal": (("module types", "cell", "nominal"), "3.2001 V"),
    "module types/*/rest": (("module types", "cell", "rest"), "3.28 V to 3.3201 V"),
    "module types/*/highest": (("module types", "cell", "highest"), "3.6501 V"),
    "module types/*/lowest": (("module types", "cell", "lowest"), "2.5001 V"),
    "module types/*/capacity": (("module types", "cell", "capacity"), "100.01 Ah"),
    "module types/*/resistance": (("module types", "cell", "resistance"), "0.50001 mΩ"),
    "module types/*/mass": (("module types", "cell", "mass"), "1980 g ± 21 g"),
    "module types/*/size": (("module types", "cell", "size", 1), "160.01 mm"),
    "module types/*/posts": (("module types", "cell", "posts", "F", "joint"), "lug"),
    "module types/*/posts/*": (("module types", "spare", "posts", "F", "joint"), "lug"),
    "module types/*/posts/*/at": (("module types", "cell", "posts", "F", "at", 2), "115.01 mm"),
    "module types/*/posts/*/face": (("module types", "cell", "posts", "F", "face"), "R"),
    "module types/*/posts/*/joint": (("module types", "cell", "posts", "R", "joint"), "lug"),
    "module types/*/turned": (("module types", "cell", "turned"), "bars do not fit"),
    "module types/*/vent": (("module types", "cell", "vent"), {}),
    "module types/*/vent/at": (("module types", "cell", "vent", "at", 0), "25.01 mm"),
    "module types/*/vent/face": (("module types", "cell", "vent", "face"), "R"),
    "joint types": (("joint types", "more"), ROOT["joint types"]["lug"]),
    "joint types/*": (("joint types", "more"), ROOT["joint types"]["thin"]),
    "joint types/*/like": (("joint types", "lug", "like"), "thin"),
    "joint types/*/thread": (("joint types", "post", "thread"), "M8"),
    "joint types/*/class": (("joint types", "post", "class"), "5.6"),
    "joint types/*/torque": (("joint types", "post", "torque"), "5 N·m to 7 N·m, aim 6.001 N·m"),
    "joint types/*/recheck": (("joint types", "post", "recheck"), "after 13 h"),
    "joint types/*/resistance": (("joint types", "post", "resistance"), "30 µΩ, at most 60.01 µΩ"),
    "joint types/*/stack": (("joint types", "post", "stack"), ["bar", "nut-m6"]),
    "joint types/*/nut factor": (("joint types", "post", "nut factor"), "0.15 to 0.2501"),
    "joint types/*/compare with": (("joint types", "post", "compare with"), "thin"),
    "bar types": (("bar types", "more"), ROOT["bar types"]["thick"]),
    "bar types/*": (("bar types", "more"), ROOT["bar types"]["flat"]),
    "bar types/*/metal": (("bar types", "flat", "metal"), "aluminium"),
    "bar types/*/size": (("bar types", "flat", "size", 2), "3.01 mm"),
    "bar types/*/resistance": (("bar types", "flat", "resistance"), "20.001 µΩ"),
    "bar types/*/insulated": (("bar types", "flat", "insulated"), False),
    "positions": (("positions", "D1"), {"module": "cell", "first at": ["0 mm", "0 mm", "500 mm"], "plus at": "F"}),
    "positions/*": (("positions", "D2"), {"module": "cell", "first at": ["0 mm", "0 mm", "600 mm"], "plus at": "R"}),
    "positions/*/like": (("positions", "B-G1..B-G2", "like"), "C"),
    "positions/*/module": (("positions", "A-G1..A-G2", "module"), "spare"),
    "positions/*/of": (("positions", "C-G1..C-G2", "of"), ["a", "c"]),
    "positions/*/first at": (("positions", "A-G1..A-G2", "first at", 2), "0.01 mm"),
    "positions/*/step": (("positions", "A-G1..A-G2", "step", 0), "60.01 mm"),
    "positions/*/plus at": (("positions", "C-G1..C-G2", "plus at"), "R"),
    "series": (("series", "C", "bar"), "thick"),
    "series/*": (("series", "B", "bar"), None),
    "series/*/through": (("series", "C", "through"), ["C-G2", "C-G1"]),
    "series/*/bar": (("series", "A", "bar"), "thick"),
    "series/*/names": (("series", "C", "names"), ["C2"]),
    "series/*/drop": (("series", "B", "drop"), []),
    "parallel strings": (("parallel strings",), [["A", "B"]]),
    "bars": (("bars", "L2"), {"lands": ["C-G1a.F", "C-G1b.F"]}),
    "bars/*": (("bars", "L3"), {"lands": ["C-G1a.R", "C-G1b.R"]}),
    "devices": (("devices", "K9"), {"kind": "contactor"}),
    "devices/*": (("devices", "K8"), {"kind": "switch"}),
    "leads": (("leads", "W9"), {"lands": ["C-G1a.F", "C-G1b.F"]}),
    "leads/*": (("leads", "W8"), {"lands": ["C-G1a.R", "C-G1b.R"]}),
    **{
        f"{section}/*/{key}": ((section, name, key), value)
        for section, name in (("bars", "L1"), ("leads", "W1"))
        for key, value in {
            "lands": ["C-G1a.R", "C-G1b.R"], "type": "thick", "kind": "bar", "length": "90.01 mm",
            "size": ["91 mm", "20 mm", "2 mm"], "resistance": "18.001 µΩ", "part": "link-10", "joint": "post",
            "insulated": section == "leads",
        }.items()
    },
    "devices/*/kind": (("devices", "K1", "kind"), "contactor"),
    "devices/*/rating": (("devices", "F1", "rating"), "80.01 A"),
    "devices/*/current": (("devices", "K1", "current"), "2 to 1"),
    "devices/*/volts": (("devices", "F1", "volts"), "80.01 V"),
    "devices/*/breaks": (("devices", "F1", "breaks"), "10.001 kA"),
    "devices/*/resistance": (("devices", "F1", "resistance"), "1.0001 mΩ"),
    "devices/*/across": (("devices", "R2", "across"), "K2"),
    "devices/*/interlock": (("devices", "SD", "interlock"), False),
    "devices/*/part": (("devices", "F1", "part"), "fuse-90"),
    "devices/*/joint": (("devices", "SD", "joint"), "post"),
    "outside": (("outside", "main+"), "A-G2a.R"),
    "outside/main+": (("outside", "main+"), "K1.1"),
    "outside/main-": (("outside", "main-"), "F1.1"),
    "outlets": (("outlets", "tap"), {"plus": "K2.2"}),
    "outlets/*": (("outlets", "tap"), {"minus": "K2.2"}),
    "outlets/*/plus": (("outlets", "charger", "plus"), "K1.1"),
    "outlets/*/minus": (("outlets", "charger", "minus"), "F1.1"),
    "outlets/*/rating": (("outlets", "charger", "rating"), "20.01 A"),
    "outlets/*/fed by": (("outlets", "charger", "fed by"), "pack"),
    "states": (("states", "live"), {"closed": ["SD", "K1"]}),
    "states/*": (("states", "half live"), {"closed": ["SD", "K1"]}),
    "states/*/closed": (("states", "plug in", "closed"), ["SD", "K1"]),
    "taps": (("taps", "T9"), "A-G1a.R"),
    "taps/*": (("taps", "T0"), "A-G1a.R"),
    "harness": (("harness", "X2"), []),
    "harness/*": (("harness", "X1"), ["T1", "T0", "T2"]),
    "harness/wire": (("harness", "wire"), "0.35 mm²"),
    "harness/fuse": (("harness", "fuse"), "2.01 A"),
    "harness/eyelet": (("harness", "eyelet"), "eyelet-m7"),
    "probes": (("probes", "N2"), {"on": ["A-G2a"]}),
    "probes/*": (("probes", "N2"), {"on": ["A-G2b"]}),
    "probes/*/on": (("probes", "N1", "on"), ["A-G2a"]),
    "probes/*/kind": (("probes", "N1", "kind"), "Pt100"),
    "vents": (("vents", "V2"), {"over": "A-G1b", "to": "outlet"}),
    "vents/*": (("vents", "V2"), {"over": "A-G1b", "to": "roof"}),
    "vents/*/over": (("vents", "V1", "over"), ["A-G1a", "A-G2b"]),
    "vents/*/to": (("vents", "V1", "to"), "roof"),
    "covers": (("covers", "CT"), {"over": "top"}),
    "covers/*": (("covers", "CR"), {"over": "face R"}),
    "covers/*/over": (("covers", "CF", "over"), "face R"),
    "covers/*/screws": (("covers", "CF", "screws"), "6 screw-m5"),
    "clamp": (("clamp",), {"length": "481 mm"}),
    "clamp/length": (("clamp", "length"), "480 mm ± 0.51 mm"),
    "clamp/rods": (("clamp", "rods"), "4 rod-m8"),
    "clamp/torque": (("clamp", "torque"), "5 N·m to 7.001 N·m"),
    "case": (("case", "clip"), 2),
    "case/*": (("case", "foot-m6"), 5),
    "parts": (("parts", "clip"), {"conducts": False}),
    "parts/*": (("parts", "washer-m6"), "ISO 7093 M6"),
    "parts/*/standard": (("parts", "nut-m6", "standard"), "ISO 4035 M6"),
    "parts/*/largest": (("parts", "nut-m6", "largest"), "12.01 mm"),
    "parts/*/conducts": (("parts", "nut-m6", "conducts"), False),
    "isolation": (("isolation",), None),
    "isolation/at least": (("isolation", "at least"), "101 Ω/V"),
    "isolation/workshop floor": (("isolation", "workshop floor"), "1.001 MΩ"),
    "creepage": (("creepage",), None),
    "creepage/pollution degree": (("creepage", "pollution degree"), 3),
    "creepage/material group": (("creepage", "material group"), "II"),
    "creepage/distance": (("creepage", "distance"), "9.01 mm"),
    "creepage/impulse": (("creepage", "impulse"), "2.501 kV"),
    "creepage/altitude": (("creepage", "altitude"), "2001 m"),
    "surge": (("surge",), None),
    "tests": (("tests", "drains"), None),
    "tests/*": (("tests", "more"), {"kind": "air path", "at": ["duct"]}),
    "tests/*/kind": (("tests", "drains"), {"kind": "air path", "at": ["left"]}),
    "tests/*/of": (("tests", "gaps", "of"), ["A-G1b"]),
    "tests/*/at": (("tests", "gaps", "at"), ["left", "middle"]),
    "tests/*/limit": (("tests", "gaps", "limit"), "10 mm ± 0.51 mm"),
    "tests/*/words": (("tests", "drains", "words"), ["clear", "kinked"]),
    "tests/*/with": (("tests", "gaps", "with"), "feeler gauge"),
    "tests/*/before": (("tests", "gaps", "before"), "plug in"),
    "tests/*/under": (("tests", "gaps", "under"), "at least 21 °C"),
    "tests/*/spread": (("tests", "gaps", "spread"), "0.21 mm"),
    "tests/*/tolerance": (("tests", "charging", "tolerance"), "26 %"),
    "tests/*/not older than": (("tests", "gaps", "not older than"), "31 d"),
    "tests/*/capacitance": (("tests", "charging", "capacitance"), "1.1 mF"),
    "tests/*/reference": (("tests", "conducting", "reference"), "901 S"),
    "tests/*/basis": (("tests", "gaps", "basis"), "drawing 13"),
    "surge/at most": (("surge", "at most"), "20.01 A"),
    "order": (("order",), [["A1"]]),
    "order/[]": (("order", 1), ["SD", "A1"]),
    "plan": (("plan", "A-G1b"), "C-0008"),
    "plan/*": (("plan", "A-G1a"), "C-0008"),
}  # fmt: skip
"""Of each key of the schema: where it is changed in the layout above, and what it then says; None takes it out."""


def schema_keys() -> Iterator[str]:
    """Yield every key of the schema of a layout, ``*`` for a name that people choose, ``[]`` for a list in one."""
    schema = json.loads((schema_folder() / "layout.json").read_text(encoding="utf-8"))

    def walk(node: dict[str, Any], path: tuple[str, ...]) -> Iterator[str]:
        for kind in node.get("anyOf", ()):
            yield from walk(kind, path)
        for name, inner in node.get("properties", {}).items():
            if name != "$schema":
                yield "/".join((*path, name))
                yield from walk(inner, (*path, name))
        if isinstance(inner := node.get("additionalProperties"), dict):
            yield "/".join((*path, "*"))
            yield from walk(inner, (*path, "*"))
        items = node.get("items")
        if isinstance(items, dict) and items.get("type") == "array" and path == ("order",):
            yield "/".join((*path, "[]"))

    yield from walk(schema, ())


def shown(root: dict[str, Any]) -> str:
    text = yaml.safe_dump(root, allow_unicode=True, sort_keys=False)
    lines = render_expanded(read_pack(parse_document(text.encode(), "dunlin-8.yaml"))).splitlines()
    return "\n".join(line for line in lines if not line.startswith("SHA-256 "))


def changed(path: tuple[str | int, ...], value: object) -> dict[str, Any]:
    root = copy.deepcopy(ROOT)
    node: Any = root
    for step in path[:-1]:
        node = node[step]
    if value is None:
        del node[path[-1]]
    else:
        node[path[-1]] = value
    return root


def test_every_key_of_the_schema_is_changed() -> None:
    assert sorted(set(schema_keys()) - set(NEVER_CHANGES)) == sorted(CHANGES)
    assert len(CHANGES) >= 130


@pytest.mark.parametrize("key", CHANGES)
def test_a_key_that_is_changed_changes_what_is_shown(key: str) -> None:
    path, value = CHANGES[key]
    assert shown(changed(path, value)) != shown(ROOT)
