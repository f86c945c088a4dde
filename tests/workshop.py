"""A workshop for tests: regular packs of any size, and complete records of clean builds of them.

``clean_record`` writes what a careful technician would: every table, readings true to the modules' voltages but for an
instrument error well inside its accuracy.  Faults are then put in by changing the returned data before it is written.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from packcheck.files.document import parse_document
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.model.pack.types import Bounds
from packcheck.model.record.from_document import read_record
from packcheck.model.record.model import FittedModule, Record
from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import Edge, branches, network_of_record
from packcheck.network.topology import Forest, spanning_forest

Data = dict[str, Any]

LONGEST_CLAMP_MM = 19_000
"""Stacks longer than this have no clamp, nor their fuses the voltage: they are there to be timed."""
METER = {"kind": "multimeter", "accuracy": "0.03 % + 2 mV", "input": "10 MΩ", "due": "2027-02-01"}
WRENCH = {"kind": "click wrench", "range": "1 N·m to 20 N·m", "accuracy": "4 %", "due": "2027-01-15", "cycles": 1200}
OHMMETER = {"kind": "micro-ohmmeter", "accuracy": "0.5 % + 1 µΩ", "due": "2027-01-15"}
RULE = {"kind": "caliper", "accuracy": "0.05 mm", "due": "2027-01-15"}


def to_yaml(value: Any, indent: int = 0) -> str:
    """Return data as YAML: the outer two levels in blocks, rows in one line each."""
    lines = []
    for key, item in value.items():
        head = " " * indent + scalar(key) + ":"
        if isinstance(item, dict) and indent < 2 and item:
            lines += [head, to_yaml(item, indent + 2)]
        else:
            lines.append(f"{head} {flow(item)}")
    return "\n".join(lines) + ("\n" if indent == 0 else "")


def flow(item: Any) -> str:
    """Return data as YAML in one line."""
    if isinstance(item, dict):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in item.items()) + "}"
    if isinstance(item, list | tuple):
        return "[" + ", ".join(flow(v) for v in item) + "]"
    return scalar(item)


def scalar(item: Any) -> str:
    """Return one scalar, quoted where a reader could take it for something else."""
    if item is None:
        return "none"
    if isinstance(item, bool):
        return "true" if item else "false"
    text = str(item)
    if isinstance(item, str) and (not text or (text[0] in "0123456789-+.{[\"'#&*!|>%@" and _is_number(text))):
        return f'"{text}"'
    return f'"{text}"' if any(mark in text for mark in (": ", ", ", "{", "}", "[", "]", " #")) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


# layouts


def stick_layout(modules: int, *, pitch_mm: float = 20.0, name: str = "generated") -> Data:
    """Return a layout of one series string of modules turned about, bars on two faces, a disconnect in the middle."""
    assert modules >= 4
    middle = modules // 2
    width = len(str(modules))
    p = lambda i: f"P{i:0{width}d}"  # noqa: E731
    b = lambda i: f"B{i:0{width}d}"  # noqa: E731
    plus = lambda i: "A" if i % 2 else "B"  # noqa: E731
    minus = lambda i: "B" if i % 2 else "A"  # noqa: E731
    taps = {f"T{i:0{width}d}": f"{p(i)}.{plus(i)}" for i in range(1, modules + 1)}
    taps = {f"T{0:0{width}d}": f"{p(1)}.{minus(1)}", **taps}
    taps["TX"] = f"{p(middle + 1)}.{minus(middle + 1)}"
    return {
        "layout": 1,
        "name": name,
        "revision": 1,
        "faces": {"A": "front", "B": "back"},
        "module types": {
            "stick": {
                "chemistry": "NiMH",
                "cells": 6,
                "nominal": "7.2 V",
                "rest": "7.5 V to 8.4 V",
                "highest": "8.7 V",
                "capacity": "6 Ah",
                "resistance": "10 mΩ",
                "size": ["20 mm", "280 mm", "100 mm"],
                "posts": {
                    "A": {"at": ["10 mm", "0 mm", "60 mm"], "joint": "post"},
                    "B": {"at": ["10 mm", "280 mm", "60 mm"], "joint": "post"},
                },
            }
        },
        "joint types": {
            "post": {
                "thread": "M5",
                "class": 8.8,
                "torque": "4.0 N·m to 5.0 N·m, aim 4.5 N·m",
                "recheck": "after 12 h",
                "resistance": "80 µΩ, at most 150 µΩ",
                "stack": ["bar", "washer-m5", "nut-m5", "cap-m5"],
            },
            "lug": {"like": "post", "stack": ["lug-m5", "washer-m5", "nut-m5", "cap-m5"]},
        },
        "bar types": {"bar": {"metal": "copper", "size": ["34 mm", "16 mm", "2 mm"], "resistance": "20 µΩ"}},
        "positions": {
            f"{p(1)}..{p(modules)}": {
                "module": "stick",
                "first at": ["0 mm", "0 mm", "0 mm"],
                "step": [f"{pitch_mm} mm", "0 mm", "0 mm"],
                "plus at": ["A", "B"],
            }
        },
        "series": {
            "main": {
                "through": f"{p(1)}..{p(modules)}",
                "bar": "bar",
                "names": f"{b(1)}..{b(modules - 1)}",
                "drop": b(middle),
            }
        },
        "leads": {
            "W1": {"lands": [f"{p(middle)}.{plus(middle)}", "SD.1"]},
            "W2": {"lands": ["SD.2", f"{p(middle + 1)}.{minus(middle + 1)}"]},
            "W3": {"lands": [f"{p(modules)}.{plus(modules)}", "F1.1"]},
            "W4": {"lands": ["F1.2", "K1.1"]},
            "W5": {"lands": [f"{p(1)}.{minus(1)}", "K2.2"]},
        },
        "devices": {
            "SD": {"kind": "service disconnect", "interlock": True},
            "F1": {
                "kind": "fuse",
                "rating": "80 A",
                "volts": f"{min(10_000, max(250, round(8.8 * modules)))} V",
                "breaks": "20 kA",
            },
            "K1": {"kind": "main contactor", "current": "1 to 2"},
            "K2": {"kind": "main contactor", "current": "1 to 2"},
        },
        "outside": {"main+": "K1.2", "main-": "K2.1"},
        "states": {"plug out": {"closed": []}, "plug in": {"closed": ["SD"]}, "live": {"closed": ["SD", "K1", "K2"]}},
        "taps": taps,
        "covers": {"CA": {"over": "face A", "screws": "6 screw-m4"}, "CB": {"over": "face B", "screws": "8 screw-m4"}},
        **(_clamp(modules * pitch_mm) if modules * pitch_mm < LONGEST_CLAMP_MM else {}),
        "parts": {"washer-m5": "ISO 7089 M5", "nut-m5": "ISO 4032 M5", "cap-m5": {"conducts": False}},
        "creepage": {"pollution degree": 2, "material group": "IIIa"},
    }


def _clamp(length_mm: float) -> Data:
    length = f"{length_mm:g} mm ± 0.5 mm"
    return {"clamp": {"length": length, "rods": "4 rod-m6", "torque": "5.0 N·m to 7.0 N·m"}}


def grouped_layout(groups: int, members: int, *, name: str = "grouped") -> Data:
    """Return a layout of S groups of P cells, all posts on top, bars with 2 P landings, a disconnect in the middle."""
    assert groups >= 4
    assert 1 <= members <= 8
    middle, width = groups // 2, len(str(groups))
    g = lambda i: f"G{i:0{width}d}"  # noqa: E731
    of = "abcdefgh"[:members]
    plus = lambda i: "F" if i % 2 else "R"  # noqa: E731
    minus = lambda i: "R" if i % 2 else "F"  # noqa: E731
    row = lambda i, post: [f"{g(i)}{m}.{post}" for m in of]  # noqa: E731
    names = [f"B{i:0{width}d}" for i in range(1, groups)]
    return {
        "layout": 1,
        "name": name,
        "revision": 1,
        "faces": {"T": "top"},
        "module types": {
            "cell": {
                "chemistry": "NMC",
                "cells": 1,
                "nominal": "3.65 V",
                "rest": "3.50 V to 3.75 V",
                "highest": "4.20 V",
                "capacity": "60 Ah",
                "resistance": "0.8 mΩ",
                "size": ["27 mm", "148 mm", "95 mm"],
                "posts": {
                    "F": {"at": ["13.5 mm", "18 mm", "95 mm"], "face": "T", "joint": "post"},
                    "R": {"at": ["13.5 mm", "130 mm", "95 mm"], "face": "T", "joint": "post"},
                },
            }
        },
        "joint types": {
            "post": {
                "thread": "M6",
                "class": 8.8,
                "torque": "7.0 N·m to 9.0 N·m, aim 8.0 N·m",
                "resistance": "40 µΩ, at most 80 µΩ",
                "stack": ["bar", "washer-m6", "nut-m6"],
            },
            "lug": {"like": "post", "stack": ["lug-m6", "washer-m6", "nut-m6"]},
        },
        "bar types": {
            "bar": {
                "metal": "aluminium",
                "size": [f"{27 * members * 2 - 8} mm", "20 mm", "3 mm"],
                "resistance": "12 µΩ",
            }
        },
        "positions": {
            f"{g(1)}..{g(groups)}": {
                "of": list(of),
                "module": "cell",
                "first at": ["0 mm", "0 mm", "0 mm"],
                "step": ["27 mm", "0 mm", "0 mm"],
                "plus at": ["F", "R"],
            }
        },
        "series": {
            "main": {
                "through": f"{g(1)}..{g(groups)}",
                "bar": "bar",
                "names": f"{names[0]}..{names[-1]}",
                "drop": names[middle - 1],
            }
        },
        "bars": {
            "E-": {"lands": row(1, minus(1)), "size": [f"{max(48, 27 * members - 8)} mm", "20 mm", "4 mm"]}
            if members > 1
            else {"lands": [*row(1, minus(1)), "K2.2"]},
            "E+": {"lands": row(groups, plus(groups)), "size": [f"{max(48, 27 * members - 8)} mm", "20 mm", "4 mm"]}
            if members > 1
            else {"lands": [*row(groups, plus(groups)), "F1.1"]},
            "M1": {"lands": [*row(middle, plus(middle)), "SD.1"]},
            "M2": {"lands": [*row(middle + 1, minus(middle + 1)), "SD.2"]},
        },
        "leads": {
            **({"W5": {"lands": ["E-", "K2.2"]}, "W6": {"lands": ["E+", "F1.1"]}} if members > 1 else {}),
            "W7": {"lands": ["F1.2", "K1.1"]},
        },
        "devices": {
            "SD": {"kind": "service disconnect"},
            "F1": {"kind": "fuse", "rating": "350 A", "volts": f"{max(100, round(4.4 * groups))} V", "breaks": "50 kA"},
            "K1": {"kind": "main contactor", "current": "1 to 2"},
            "K2": {"kind": "main contactor", "current": "1 to 2"},
        },
        "outside": {"main+": "K1.2", "main-": "K2.1"},
        "states": {"plug out": {"closed": []}, "plug in": {"closed": ["SD"]}, "live": {"closed": ["SD", "K1", "K2"]}},
        "taps": {
            "S-": "E-",
            **{f"S{n[1:]}": n for n in names[: middle - 1]},
            "SM1": "M1",
            "SM2": "M2",
            **{f"S{n[1:]}": n for n in names[middle:]},
            "S+": "E+",
        },
        "covers": {"C1": {"over": "top", "screws": "10 screw-m5"}},
        "surge": {"at most": "60 A"},
        "creepage": {"pollution degree": 2, "material group": "IIIa"},
    }


def trayed_layout(modules: int, *, name: str = "trays") -> Data:
    """Return a stick layout whose two halves, of ``modules`` each, are trays T1 and T2; taps every two modules."""
    layout = stick_layout(2 * modules, name=name)
    width = len(str(2 * modules))
    p = lambda i: f"P{i:0{width}d}"  # noqa: E731

    def moved(node: str) -> str:
        position, _, post = node.partition(".")
        if not position.startswith("P"):
            return node
        number = int(position[1:])
        return f"T1-{p(number)}.{post}" if number <= modules else f"T2-{p(number - modules)}.{post}"

    block = next(iter(layout["positions"].values()))
    turned = block["plus at"] if modules % 2 == 0 else block["plus at"][::-1]
    layout["positions"] = {
        f"T1-{p(1)}..T1-{p(modules)}": block,
        f"T2-{p(1)}..T2-{p(modules)}": {**block, "first at": [f"{20 * modules} mm", "0 mm", "0 mm"], "plus at": turned},
    }
    layout["series"] = {
        tray: {
            "through": f"{tray}-{p(1)}..{tray}-{p(modules)}",
            "bar": "bar",
            "names": f"{tray}-B{1:0{width}d}..{tray}-B{modules - 1:0{width}d}",
        }
        for tray in ("T1", "T2")
    }
    layout["leads"] = {name: {"lands": [moved(n) for n in lead["lands"]]} for name, lead in layout["leads"].items()}
    nodes = [moved(node) for node in layout["taps"].values()]
    first, second = nodes[: modules + 1], [nodes[-1], *nodes[modules + 1 : -1]]
    layout["taps"] = {f"S{i}": node for i, node in enumerate([*_every_second(first), *_every_second(second)])}
    return layout


def _every_second(nodes: list[str]) -> list[str]:
    return [*nodes[:-1:2], nodes[-1]]


def rack_layout(counts: list[int], *, name: str = "rack") -> Data:
    """Return a layout of strings in parallel, each a tray of so many modules, a disconnect in its middle, a fuse."""
    layout = stick_layout(max(4, *counts), name=name)
    block = next(iter(layout["positions"].values()))
    strings = {f"S{i}": count for i, count in enumerate(counts, 1)}
    plus = lambda s, i: f"{s}-P{i}.{'A' if i % 2 else 'B'}"  # noqa: E731
    minus = lambda s, i: f"{s}-P{i}.{'B' if i % 2 else 'A'}"  # noqa: E731
    layout["positions"] = {
        f"{s}-P1..{s}-P{n}": {**block, "first at": ["0 mm", "0 mm", f"{150 * i} mm"]}
        for i, (s, n) in enumerate(strings.items())
    }
    layout["series"] = {
        s: {"through": f"{s}-P1..{s}-P{n}", "bar": "bar", "names": f"{s}-B1..{s}-B{n - 1}", "drop": f"{s}-B{n // 2}"}
        for s, n in strings.items()
    }
    size = [f"{150 * max(2, len(counts))} mm", "20 mm", "4 mm"]
    layout["bars"] = {
        "BN": {"lands": [*(minus(s, 1) for s in strings), "K2.2"], "size": size},
        "BP": {"lands": [*(f"F{s}.2" for s in strings), "F1.1"], "size": size},
    }
    layout["leads"] = {
        **{f"W{s}a": {"lands": [plus(s, n // 2), f"D{s}.1"]} for s, n in strings.items()},
        **{f"W{s}b": {"lands": [f"D{s}.2", minus(s, n // 2 + 1)]} for s, n in strings.items()},
        **{f"W{s}f": {"lands": [plus(s, n), f"F{s}.1"]} for s, n in strings.items()},
        "W4": {"lands": ["F1.2", "K1.1"]},
    }
    plugs = {f"D{s}": {"kind": "service disconnect"} for s in strings}
    fuses = {f"F{s}": layout["devices"]["F1"] for s in strings}
    layout["devices"] = {**plugs, **fuses, **{key: layout["devices"][key] for key in ("F1", "K1", "K2")}}
    layout["states"] = {
        "plug out": {"closed": []},
        "plug in": {"closed": [*plugs]},
        "live": {"closed": [*plugs, "K1", "K2"]},
    }
    layout["taps"] = {}
    for s, n in strings.items():
        halves = [
            minus(s, 1),
            *(plus(s, i) for i in range(1, n // 2 + 1)),
            minus(s, n // 2 + 1),
            *(plus(s, i) for i in range(n // 2 + 1, n + 1)),
        ]
        layout["taps"].update({f"{s}-T{i}": node for i, node in enumerate(halves)})
    layout["parallel strings"] = [list(strings)]
    layout["surge"] = {"at most": "20 A"}
    layout.pop("clamp", None)
    return layout


def pack_of(layout: Data, file: str = "layout.yaml") -> Pack:
    """Return the pack that layout data describe, read as a file would be; equal data give one and the same pack."""
    return _pack_told(to_yaml(layout), file)


@lru_cache(maxsize=64)
def _pack_told(text: str, file: str) -> Pack:
    return read_pack(parse_document(text, file))


def record_of(record: Data, pack: Pack, file: str = "record.yaml") -> Record:
    """Return the record that data describe, read as a file would be."""
    return read_record(parse_document(to_yaml(record), file), pack)


# records


def clean_record(pack: Pack, seed: int = 1) -> Data:
    """Return the complete record of a clean build."""
    random_ = random.Random(seed)
    voltage = {p: _rest(pack, p, random_) for p in pack.positions}
    record = bare_record(pack, voltage, random_)
    record["readings"] = readings_of(pack, record, voltage, random_)
    return record


def _rest(pack: Pack, position: str, random_: random.Random) -> float:
    kind = pack.module_type_at(position)
    return round(kind.rest_middle_v * (1 + random_.uniform(-0.001, 0.001)), 3)


def bare_record(pack: Pack, voltage: dict[str, float], random_: random.Random) -> Data:
    """Return the record of a clean build without its readings between nodes."""
    drawn = "as drawn"
    bars = {c.name: drawn for c in pack.conductors.values() if c.kind != "lead"}
    leads = {c.name: drawn for c in pack.conductors.values() if c.kind == "lead"}
    record: Data = {
        "record": 1,
        "layout": pack.file,
        "of": {"name": pack.name, "revision": pack.revision, "pack": "SK-1"},
        "people": {"MK": "fitter", "TO": "second person"},
        "instruments": {"V1": METER, "W1": WRENCH, "R1": OHMMETER, "L1": RULE},
        "extra": "none",
        "modules": {
            "columns": ["serial", "plus at", "type", "rest V"],
            "taken": {"at": "2026-10-05 08:40", "by": "MK", "with": {"rest": "V1"}, "state": "loose"},
            **{
                p.name: [f"M-{1000 + i}", p.plus, p.module_type, voltage[p.name]]
                for i, p in enumerate(pack.positions.values())
            },
        },
        "bars": bars,
        "leads": leads,
        "devices": dict.fromkeys(pack.devices, drawn),
        "joints": {
            "columns": ["torque N·m", "resistance µΩ", "recheck", "recheck at", "mark"],
            "taken": {"at": "2026-10-05 11:20", "by": "TO", "with": {"torque": "W1", "resistance": "R1"}},
            **{name: _joint(pack, landing.joint_type, random_) for name, (_, landing) in pack.joints.items()},
        },
        "parts": {
            "columns": ["issued", "fitted", "returned", "scrapped"],
            **{part: [count + 2, count, 2, 0] for part, count in needed_parts(pack).items()},
        },
        "tools": {"columns": ["out", "in"], "spanner-8": [1, 1]},
        "covers": dict.fromkeys(pack.covers, drawn),
        "taps": dict.fromkeys(pack.taps, drawn),
        "caps": dict.fromkeys(capped_places(pack), "on"),
        "probes": dict.fromkeys(pack.probes, drawn),
        "vents": dict.fromkeys(pack.vents, drawn),
    }
    if pack.clamp:
        length, torque = _inside(pack.clamp.length_mm), _inside(pack.clamp.torque_n_m)
        record["clamp"] = {
            **({"length": f"{length:g} mm"} if length else {}),
            **({"torque": f"{torque:g} N·m"} if torque else {}),
            "taken": {"at": "2026-10-05 10:00", "by": "MK", "with": {"length": "L1", "torque": "W1"}},
        }
    return {key: value for key, value in record.items() if value not in ({}, [])}


def _inside(bounds: Bounds) -> float | None:
    """Return a number inside a band; None where the layout states none."""
    if bounds.low is not None and bounds.high is not None:
        return float(bounds.low + bounds.high) / 2
    stated = [float(end) for end in (bounds.aim, bounds.high, bounds.low) if end is not None]
    return stated[0] if stated else None


def _joint(pack: Pack, kind: str, random_: random.Random) -> list[Any]:
    type_ = pack.joint_types[kind]
    aim = type_.torque_n_m.aim or ((type_.torque_n_m.low or 0) + (type_.torque_n_m.high or 0)) / 2
    usual = (type_.resistance_ohm.aim or 80e-6) * 1e6
    return [aim, max(0.1, round(usual * random_.uniform(0.99, 1.01), 1)), "held", "2026-10-06 08:00", "white"]


def readings_of(
    pack: Pack, record: Data, voltage: dict[str, float], random_: random.Random, built: Record | None = None
) -> Data:
    """Return voltage readings with the plug out: between neighbouring taps, across every lead and device end, and
    between the mains.

    They are true to ``built`` (what is really in the pack; the record itself where left out), read by V1 with an error
    of less than half its accuracy.
    """
    told = record_of({**record, "readings": {}}, pack)
    truth = built or told
    edges = network_of_record(told).closed(())
    forest = spanning_forest(edges)
    solution = solve_circuit(branches(network_of_record(truth).closed(())))
    wanted = [*_wanted_pairs(pack, edges, forest), ends_of(pack)]
    rows: Data = {
        "columns": ["between", "and", "value V"],
        "taken": {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"},
    }
    for index, (plus, minus) in enumerate(wanted, 1):
        volts = solution.voltage(plus, minus) if plus in solution.island and minus in solution.island else None
        true = 0.0 if volts is None else float(volts)
        rows[f"V{index}"] = [plus, minus, round(true + random_.uniform(-0.5, 0.5) * (0.0003 * abs(true) + 0.002), 4)]
    del voltage
    return rows


def ends_of(pack: Pack) -> tuple[str, str]:
    """Return the place of + at the end of the last string, and that of − at the start of the first."""
    strings = list(pack.strings.values())
    last, first = strings[-1].groups[-1], strings[0].groups[0]
    return pack.positions[pack.groups[last][0]].plus_place, pack.positions[pack.groups[first][0]].minus_place


def _wanted_pairs(pack: Pack, edges: list[Edge], forest: Forest) -> list[tuple[str, str]]:
    nodes = list(dict.fromkeys(tap.node for tap in pack.taps.values()))
    pairs = []
    for a, b in pairwise(nodes):
        walk = forest.walk(a, b)
        if walk and any(step.edge.kind == "module" for step in walk):
            forward = next(step for step in walk if step.edge.kind == "module").forward
            pairs.append((b, a) if forward else (a, b))
    walks = [forest.walk(a, b) or () for b, a in pairs]
    crossed = {_side(pack, step.edge) for walk in walks for step in walk if step.edge.kind == "joint"}
    ends = {edge.name: _side(pack, edge) for edge in edges if edge.kind == "joint"}
    for conductor in pack.conductors.values():
        if not {ends.get(landing.joint) for landing in conductor.lands} <= crossed:
            pair = _across(conductor.lands[0].node, conductor.lands[-1].node, edges)
            if pair:
                pairs.append(pair)
                crossed.update(_side(pack, s.edge) for s in forest.walk(*pair) or () if s.edge.kind == "joint")
    return pairs


def _side(pack: Pack, joint: Edge) -> tuple[str, str]:
    """Return a conductor and where it lands; members of one parallel group count as one place."""
    position = pack.positions.get(joint.start.partition(".")[0])
    return joint.part, position.group if position else joint.start


def _across(first: str, last: str, edges: Iterable[Edge]) -> tuple[str, str] | None:
    """Return the nodes of a reading across a conductor and the nearest module beyond one of its landings."""
    edges = list(edges)
    for start, other in ((first, last), (last, first)):
        forest = spanning_forest(edges, roots=(start,))
        if forest.root.get(other) != start:
            continue
        for node in forest.root:
            step = forest.step_to(node)
            if forest.root[node] == start and step and step.edge.kind == "module":
                walk = forest.walk(start, node) or []
                if other in {s.edge.start for s in walk} | {s.edge.end for s in walk}:
                    return (node, start) if step.forward else (start, node)
    return None


def with_module(record: Record, position: str, **changes: Any) -> Record:
    """Return a record in which one module is otherwise, for a build that differs from what was written."""
    module = record.modules.get(position, FittedModule(position))
    return replace(record, modules={**record.modules, position: replace(module, **changes)})


def write(path: Path, data: Data) -> Path:
    """Write data as YAML and return the path."""
    path.write_text(to_yaml(data), encoding="utf-8")
    return path
