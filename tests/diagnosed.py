"""Faults of ``faulty_builds`` told as drawn, and which explanation is the true one."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

from faulty_builds import Build, Fault, with_changes
from oracle.algebra import Circuit
from oracle.drawing import parts
from workshop import Data, record_of

from packcheck.diagnosis.hypothesis import PAIR, Hypothesis
from packcheck.model.record.model import Record

NOISE = 0.99
"""How much of what the meter's accuracy leaves open the readings here are off by at most."""


def noisy(build: Build, built: Data, seed: int, *, plug_in: bool = True) -> Data:
    """Return readings true to a build but for an error of up to the meter's accuracy, 0.03 % and 2 mV."""
    draw = random.Random(seed)

    def shown(true: float) -> float:
        return round(true + draw.uniform(-NOISE, NOISE) * (0.0003 * abs(true) + 0.002), 4)

    rows: Data = {
        "columns": ["between", "and", "value V"],
        "taken": {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"},
    }
    for (name, (plus, minus)), true in zip(build.planned_readings.items(), build.true_voltages(built), strict=True):
        rows[name] = [plus, minus, shown(true)]
    if plug_in:
        plus, minus = build.ends
        closed = next(state.closed for state in build.pack.states.values() if state.name == "plug in")
        true = Circuit(parts(build.layout, built, closed)).volts(plus, minus)
        rows["total"] = {"between": plus, "and": minus, "value": f"{shown(true)} V", "state": "plug in"}
    return rows


def told_as_drawn(build: Build, fault: Fault | None, seed: int) -> Record:
    """Return the record that says everything is as drawn, with readings true to the fault but for the meter."""
    built = with_changes(build.clean, fault.changes) if fault else build.clean
    return record_of({**build.clean, "readings": noisy(build, built, seed)}, build.pack)


Check = Callable[[Hypothesis], bool]


def cases(build: Build) -> Iterator[tuple[str, Fault, Check]]:
    """Yield faults of every kind at every place, each with what tells its true explanation from others."""
    for fault in build.modules_reversed():
        yield "module turned", fault, _of("module turned", fault.place)
    for fault in build.blocks_reversed():
        yield "block turned", fault, _turned(fault)
    for fault in build.trays_reversed():
        yield "tray turned", fault, _turned(fault)
    for fault in build.stack_mirrored():
        yield "stack turned", fault, _turned(fault)
    for fault in build.modules_left_out():
        yield "module left out", fault, _of("module open", fault.place)
    for fault in build.modules_bypassed():
        yield "module bridged", fault, _of("module bridged", fault.place)
    for fault in build.bars_missing():
        yield "bar missing", fault, _of("conductor missing", fault.place)
    for fault in build.bars_moved():
        yield "bar moved", fault, _moved(fault)
    for fault in build.bar_ends_moved():
        yield "bar end moved", fault, _moved(fault)


def _of(kind: str, part: str) -> Check:
    return lambda hypothesis: hypothesis.kind == kind and hypothesis.parts == (part,)


def _turned(fault: Fault) -> Check:
    names = set(fault.changes["modules"])
    return lambda hypothesis: hypothesis.kind != PAIR and set(hypothesis.emf_by) == names and not hypothesis.out


def _moved(fault: Fault) -> Check:
    ((name, row),) = fault.changes["bars"].items()

    def check(hypothesis: Hypothesis) -> bool:
        return hypothesis.kind == "conductor moved" and hypothesis.parts == (name,) and set(row["lands"]) >= {
            put.start for put in hypothesis.put
        }  # fmt: skip

    return check
