"""Complete records of clean builds: every table that a careful technician fills, and the instruments it is read with.

Faults are put in by changing the returned data before it is written.
"""

from __future__ import annotations

import random
from typing import Any

from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.model.pack.types import Bounds
from workshop.as_yaml import Data
from workshop.readings import readings_of

METER = {"kind": "multimeter", "accuracy": "0.03 % + 2 mV", "input": "10 MΩ", "due": "2027-02-01"}
WRENCH = {"kind": "click wrench", "range": "1 N·m to 20 N·m", "accuracy": "4 %", "due": "2027-01-15", "cycles": 1200}
OHMMETER = {"kind": "micro-ohmmeter", "accuracy": "0.5 % + 1 µΩ", "due": "2027-01-15"}
RULE = {"kind": "caliper", "accuracy": "0.05 mm", "due": "2027-01-15"}


def clean_record(pack: Pack, seed: int = 1) -> Data:
    """Return the complete record of a clean build."""
    random_ = random.Random(seed)
    voltage = {p: _rest(pack, p, random_) for p in pack.positions}
    record = bare_record(pack, voltage, random_)
    record["readings"] = readings_of(pack, record, random_)
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
