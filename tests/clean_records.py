"""Clean builds of every shape, as texts: what a careful technician with real instruments writes down.

Readings come from ``tests/oracle``; on them lie the spread of the modules, the meter's common scale error, the noise of
one reading and the rounding to its last digit, all inside the meter's stated accuracy.
"""

from __future__ import annotations

import random
from typing import Any, NamedTuple

from branches import BRANCHES, with_branches
from faulty_builds import Build
from oracle.algebra import Circuit
from oracle.drawing import parts, positions
from with_evidence import INSTRUMENTS as READ_WITH
from with_evidence import ask_for_isolation, draw_vents, isolation_read, read_modules, vents_found
from with_tests import INSTRUMENTS, ask_for_tests, found_in_tests
from workshop import Data, grouped_layout, rack_layout, stick_layout, to_yaml, trayed_layout

CHEMISTRIES = {
    "NiMH": (6, 7.2, 7.5, 8.4, 8.7),
    "NMC": (1, 3.65, 3.5, 3.75, 4.2),
    "LFP": (1, 3.2, 3.2, 3.35, 3.65),
    "lead-acid": (6, 12.0, 12.3, 12.9, 14.7),
}
"""Cells, nominal, rest from, rest to, highest [V] of one module; common practice, no source."""
HIGHEST_V = 500.0
"""Charged voltage that one string of these layouts is drawn for [V]: 6 mm between bars, pollution degree 2, IIIa."""
METERS = [("0.03 % + 2 mV", 3e-4, 2e-3, 3), ("0.05 % + 3 mV", 5e-4, 3e-3, 3), ("0.5 % + 20 mV", 5e-3, 2e-2, 2)]
"""Accuracy as written, share of reading, constant part [V], digits shown; common practice, no source."""


class Written(NamedTuple):
    """The two texts of a build and what it is, in a few words."""

    layout: str
    record: str
    about: str


def clean_build(seed: int, most: int = 200) -> Written:
    """Return the build that a seed stands for, of at most so many modules."""
    rng = random.Random(seed)
    chemistry = rng.choice(list(CHEMISTRIES))
    layout, shape = _layout(rng, min(most, int(HIGHEST_V / CHEMISTRIES[chemistry][-1])))
    _give_chemistry(layout, chemistry)
    beside = _branches(rng)
    layout = with_branches(layout, beside)
    asks = seed % 4 != 0 and "K1" in layout["devices"]
    layout = ask_for_tests(layout) if asks else layout
    lot = random.Random(f"evidence {seed}")
    if asks:
        draw_vents(layout, lot)
    isolated = ask_for_isolation(layout, len(parts_names(layout)) * CHEMISTRIES[chemistry][2] / _abreast(layout))
    build = Build(layout, release=True, seed=seed)
    record = {**build.clean, "readings": dict(build.clean["readings"])}
    meter = rng.choice(METERS[:2] if shape in ("stick", "trays", "rack") else METERS[:1])
    record["instruments"] = {**record["instruments"], "V1": {**record["instruments"]["V1"], "accuracy": meter[0]}}
    _write_voltages(rng, build, record, meter)
    _write_joints(rng, record)
    more = ["isolation"] * _write_isolation(build, record, lot, meter) if isolated else []
    if seed % 2:
        read_modules(layout, record["modules"], lot)
        more.append("modules tested")
    record["instruments"] = {**record["instruments"], **READ_WITH}
    if asks:
        record["vents"] = vents_found(layout, lot)
        record["instruments"] = {**record["instruments"], **INSTRUMENTS}
        record["tests"] = found_in_tests(layout, random.Random(f"tests {seed}"))
    return Written(
        to_yaml(layout),
        to_yaml(record),
        f"seed {seed}: {shape}, {chemistry}, {len(build.pack.positions)} modules, beside the path: {beside}"
        + (", tests asked for" if asks else "")
        + "".join(f", {one}" for one in more),
    )


def _layout(rng: random.Random, most: int) -> tuple[Data, str]:
    shape = rng.choice(("stick", "groups", "trays", "rack"))
    size = round(4 * (most / 4) ** rng.random())  # small packs are as frequent as large ones
    if shape == "stick":
        return stick_layout(size), shape
    if shape == "groups":
        members = rng.randint(1, 8)
        return grouped_layout(max(4, size // members), members), shape
    if shape == "trays":
        return trayed_layout(max(3, size // 2)), shape
    strings = rng.randint(2, 4)
    return rack_layout([max(4, size // strings)] * strings), shape


def _branches(rng: random.Random) -> list[str]:
    """Return the branches of a pack: none in every second; a bond and a monitor do not go together."""
    chosen = [name for name in BRANCHES if rng.random() < 0.4] if rng.random() < 0.5 else []
    return [name for name in chosen if name != "isolation monitor" or "earthed middle" not in chosen]


def _give_chemistry(layout: Data, name: str) -> None:
    cells, nominal, low, high, highest = CHEMISTRIES[name]
    modules = len(parts_names(layout))
    for kind in layout["module types"].values():
        kind.update(
            chemistry=name, cells=cells, nominal=f"{nominal} V", rest=f"{low} V to {high} V", highest=f"{highest} V"
        )
    layout["devices"]["F1"]["volts"] = f"{round(modules * highest * 1.1) + 50} V"
    layout["devices"]["F1"]["breaks"] = "200 kA"  # what a rack of stiff modules can push through a short


def parts_names(layout: Data) -> list[str]:
    """Return the positions of a layout."""
    return [name for members in positions(layout).values() for name, _ in members]


def _write_voltages(rng: random.Random, build: Build, record: Data, meter: tuple[str, float, float, int]) -> None:
    _, share, floor, digits = meter
    scale = rng.uniform(-0.6, 0.6) * share
    state_of_charge = rng.uniform(-0.3, 0.3)
    kind = next(iter(build.pack.module_types.values()))
    window = (kind.rest_v.high or 0) - (kind.rest_v.low or 0)
    spread = 0.0003 if any(len(members) > 1 for members in build.pack.groups.values()) else 0.002
    true = {p: kind.rest_middle_v + state_of_charge * window + rng.gauss(0, spread * kind.rest_middle_v / 3)
            for p in build.pack.positions}  # fmt: skip
    read = lambda volts: round(volts * (1 + scale) + rng.uniform(-0.4, 0.4) * floor, digits)  # noqa: E731
    rows = {p: list(record["modules"][p]) for p in true}
    actual = {**record, "modules": {**record["modules"], **{p: [*rows[p][:3], true[p]] for p in true}}}
    record["modules"] = {**record["modules"], **{p: [*rows[p][:3], read(true[p])] for p in true}}
    circuit = Circuit(parts(build.layout, actual, ()))
    for name, (plus, minus) in build.planned_readings.items():
        record["readings"][name] = [plus, minus, read(circuit.volts(plus, minus))]
    closed = next(state.closed for state in build.pack.states.values() if state.name == "plug in")
    total = Circuit(parts(build.layout, actual, closed)).volts(*build.ends)
    record["readings"]["total"] = {**record["readings"]["total"], "value": f"{read(total):.{digits}f} V"}


def _abreast(layout: Data) -> float:
    """Return how many modules of a layout lie side by side: members of a group, or strings in parallel."""
    members = max(len(block.get("of", [""])) for block in layout["positions"].values())
    return members * len(layout.get("parallel strings", [[""]])[0])


def _write_isolation(build: Build, record: Data, rng: random.Random, meter: tuple[str, float, float, int]) -> bool:
    """Write an isolation test of the whole pack with the plug in, by the meter of the voltages."""
    _, share, floor, digits = meter
    closed = next(state.closed for state in build.pack.states.values() if state.name == "plug in")
    volts = Circuit(parts(build.layout, record, closed)).volts(*build.ends)
    scale = rng.uniform(-0.3, 0.3) * share
    read = lambda true: f"{true * (1 + scale) + rng.uniform(-0.3, 0.3) * floor:.{digits}f}"  # noqa: E731
    record["isolation"] = isolation_read(build.layout, build.ends, volts, rng, read)
    return True


def _write_joints(rng: random.Random, record: Data) -> None:
    """Good joints scatter by 2 % (one standard deviation), cut at three; common practice, no source."""
    index = record["joints"]["columns"].index("resistance µΩ")
    rows: dict[str, Any] = {}
    for name, row in record["joints"].items():
        if name not in ("columns", "taken"):
            factor = 1 + max(-0.06, min(0.06, rng.gauss(0, 0.02)))
            rows[name] = [*row[:index], round(row[index] * factor, 1), *row[index + 1 :]]
    record["joints"] = {**record["joints"], **rows}
