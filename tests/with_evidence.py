"""What a careful team reads besides voltages and joints: isolation, modules on the shelf, vent lines blown through.

All of it by arithmetic of its own: two leaks to the chassis and the meter that reads them are a divider.
"""

from __future__ import annotations

import random
from typing import Any

from oracle.drawing import positions

Data = dict[str, Any]
METER_OHM = 10e6
LEAKS_OHM = (8e6, 60e6)
"""What a dry, clean pack has from each pole to its chassis [ohm]; common practice, no source."""
MONITOR_OHM = 1e6
"""The isolation monitor of ``branches``: from the negative pole to the chassis."""
LEAST_V = 12.0
"""From here on packs are asked for isolation: below it the meter's last digit is too much of what is read."""
LEAST_RESISTOR_OHM = 100e3
INSTRUMENTS: Data = {
    "O1": {"kind": "ohmmeter", "accuracy": "0.2 %", "due": "2027-02-01"},
    "Z1": {"kind": "battery cycler", "accuracy": "1 %", "due": "2027-02-01"},
    "L9": {"kind": "load tester", "accuracy": "1 % + 10 µΩ", "due": "2027-02-01"},
    "G9": {"kind": "scales", "accuracy": "1 g", "due": "2027-02-01"},
}


def ask_for_isolation(layout: Data, volts: float) -> bool:
    """Ask for isolation where a pack has the voltage for it and is not bonded to its frame; return whether it is."""
    if volts < LEAST_V or "EB" in layout["devices"]:
        return False
    floor = "200 kΩ" if "IM" in layout["devices"] else "1 MΩ"
    layout["isolation"] = {"at least": "100 Ω/V", "workshop floor": floor}
    return True


def isolation_read(layout: Data, poles: tuple[str, str], volts: float, rng: random.Random, read: Any) -> Data:
    """Return the table of an isolation test with the plug in: the meter, then a resistor too, beside each leak.

    Parameters
    ----------
    layout : with or without an isolation monitor.
    poles : the positive and the negative one.
    volts : what truly stands between them.
    read : what the meter shows of a voltage.
    """
    plus_ohm, minus_ohm = rng.uniform(*LEAKS_OHM), rng.uniform(*LEAKS_OHM)
    if "IM" in layout["devices"]:
        minus_ohm = beside(minus_ohm, MONITOR_OHM)
    resistor = max(LEAST_RESISTOR_OHM, round(500 * volts, -2))
    to_minus = share(volts, beside(minus_ohm, METER_OHM), plus_ohm)
    to_plus = share(volts, beside(plus_ohm, METER_OHM), minus_ohm)
    at_minus = to_minus >= to_plus
    here, there = (minus_ohm, plus_ohm) if at_minus else (plus_ohm, minus_ohm)
    after = share(volts, beside(beside(here, METER_OHM), resistor), there)
    row = {"minus at": poles[1], "plus at": poles[0], "poles": f"{read(volts)} V", "minus to chassis":
           f"{read(to_minus)} V", "plus to chassis": f"{read(to_plus)} V", "resistor": f"{resistor / 1000:g} kΩ",
           "resistor in": f"{read(after)} V", "state": "plug in", "at": "2026-10-06 15:20", "by": "TO",
           "with": {"poles": "V1", "minus to chassis": "V1", "plus to chassis": "V1", "resistor in": "V1",
                    "resistor": "O1"}}  # fmt: skip
    return {"whole": row}


def beside(one_ohm: float, other_ohm: float) -> float:
    """Return the resistance of two side by side [ohm]."""
    return one_ohm * other_ohm / (one_ohm + other_ohm)


def share(volts: float, here_ohm: float, there_ohm: float) -> float:
    """Return the part of a voltage that lies over one of two resistances in series [V]."""
    return volts * here_ohm / (here_ohm + there_ohm)


def read_modules(layout: Data, modules: Data, rng: random.Random) -> None:
    """Add what was tested of every module on the shelf: good ones scatter by 2 % (common practice, no source)."""
    kind = next(iter(layout["module types"].values()))
    capacity = float(kind["capacity"].removesuffix(" Ah")) * rng.uniform(0.97, 1.03)
    milliohm = float(kind["resistance"].removesuffix(" mΩ")) * rng.uniform(0.97, 1.03)
    grams = float(kind["mass"].partition(" g")[0]) if "mass" in kind else 0.0
    near = lambda middle: middle * (1 + max(-0.04, min(0.04, rng.gauss(0, 0.015))))  # noqa: E731
    modules["columns"] = [*modules["columns"], "capacity Ah", "resistance mΩ", *(["mass g"] if grams else [])]
    modules["taken"] = {**modules["taken"], "with": {**modules["taken"]["with"], "capacity": "Z1", "resistance": "L9",
                                                     **({"mass": "G9"} if grams else {})}}  # fmt: skip
    for name in (name for members in positions(layout).values() for name, _ in members):
        more = [
            round(near(capacity), 2),
            round(near(milliohm), 3),
            *([round(grams + rng.uniform(-6, 6))] * bool(grams)),
        ]
        modules[name] = [*modules[name], *more]


def draw_vents(layout: Data, rng: random.Random) -> None:
    """Draw vent lines over all modules: one to the outlet, or two, one into the other or each out by itself."""
    names = [name for members in positions(layout).values() for name, _ in members]
    half = rng.randrange(1, len(names))
    layout["vents"] = rng.choice([
        {"V9": {"over": names, "to": "outlet"}},
        {"V8": {"over": names[:half], "to": "V9"}, "V9": {"over": names[half:], "to": "outlet"}},
        {"V8": {"over": names[:half], "to": "left wall"}, "V9": {"over": names[half:], "to": "right wall"}},
    ])  # fmt: skip


def vents_found(layout: Data, rng: random.Random) -> Data:
    """Return the rows of the vent lines: as drawn or written out, and air that came out where it must."""
    rows: Data = {}
    for name, line in layout["vents"].items():
        told = {"is": "as drawn"} if rng.random() < 0.5 else {"over": line["over"], "to": line["to"]}
        end = layout["vents"][line["to"]]["to"] if line["to"] in layout["vents"] else line["to"]
        rows[name] = {**told, **({"blown at": line["over"][-1], "felt at": end} if rng.random() < 0.8 else {})}
    return rows
