"""Layouts that ask for tests of every kind, and what a careful technician finds in them: reckoned here, by itself."""

from __future__ import annotations

import math
import random
from typing import Any

from oracle.drawing import positions

Data = dict[str, Any]
INSTRUMENTS: Data = {
    "M1": {"kind": "ohmmeter", "accuracy": "0.5 % + 1 mΩ", "due": "2027-02-01"},
    "Q1": {"kind": "micro-ohmmeter", "accuracy": "0.5 % + 1 µΩ", "due": "2027-02-01"},
    "C1": {"kind": "caliper", "accuracy": "0.05 mm", "due": "2027-02-01"},
    "G1": {"kind": "scales", "accuracy": "1 g", "due": "2027-02-01"},
    "H1": {"kind": "thermometer", "accuracy": "0.3 K", "due": "2027-02-01"},
    "D1": {"kind": "hydrometer", "accuracy": "0.002 g/cm³", "due": "2027-02-01"},
    "S1": {"kind": "conductance tester", "accuracy": "2 %", "due": "2027-02-01"},
    "Y1": {"kind": "hygrometer", "accuracy": "3 %", "due": "2027-02-01"},
    "A1": {"kind": "clamp meter", "accuracy": "1 % + 10 mA", "due": "2027-02-01"},
    "U1": {"kind": "multimeter", "accuracy": "0.5 % + 20 mV", "due": "2027-02-01"},
    "L2": {"kind": "load tester", "accuracy": "1 % + 10 µΩ", "due": "2027-02-01"},
}
"""Instruments that the tests are taken with."""
B_K, R25_OHM = 3435.0, 10_000.0
PRECHARGE_OHM, CAPACITY_F = 47.0, 0.001
PICTURES = [f"{i:064x}" for i in range(3)]


def ask_for_tests(layout: Data) -> Data:
    """Return a layout of one string or more with probes, vents, a precharge resistor, and tests of every kind."""
    names = [name for members in positions(layout).values() for name, _ in members]
    first, last, middle = names[0], names[-1], names[len(names) // 2]
    taps = list(layout["taps"])
    kind = next(iter(layout["module types"].values()))
    kind["mass"] = "1040 g ± 10 g"
    joints = [f"{name}/{lead['lands'][0].partition('.')[0]}" for name, lead in list(layout["leads"].items())[:1]
              if lead["lands"][0].partition(".")[0] in names]  # fmt: skip
    layout["devices"]["F1"]["resistance"] = "1 mΩ"
    layout["devices"]["R9"] = {"kind": "precharge resistor", "across": "K1", "resistance": f"{PRECHARGE_OHM:g} Ω"}
    layout["harness"] = {"fuse": "2 A"}
    layout["probes"] = {"N1..N3": {"on": [first, middle, last], "kind": f"NTC 10 kΩ, B {B_K:g} K"}}
    layout["vents"] = {"V9": {"over": names, "to": "outlet"}}
    acid = kind["chemistry"] == "lead-acid"
    some = [first, middle, last]
    layout["tests"] = {
        "sense wires": {"kind": "sense wire", "of": taps},
        "links": {"kind": "sense link", "of": taps[:3]},
        "probes at rest": {"kind": "probe at rest", "of": "N1..N3"},
        "probes by hand": {"kind": "probe warmed by hand", "of": "N1..N3"},
        "probe times": {"kind": "probe response", "of": "N1..N3"},
        "vent line": {"kind": "vent line", "of": "V9"},
        "vent end": {"kind": "vent outlet", "of": "V9"},
        "cases": {"kind": "module case", "of": some},
        "sides": {"kind": "module side", "of": some},
        "thickness": {"kind": "module thickness", "of": some, "limit": "at most 20.5 mm"},
        "warmth": {"kind": "module warmth", "of": some},
        "rest times": {"kind": "module rest time", "of": some},
        "masses": {"kind": "module mass", "of": some},
        "lots": {"kind": "module lot", "of": some},
        "load steps": {"kind": "load step", "of": some},
        "corners": {"kind": "clamp corners", "at": ["front left", "front right", "rear left", "rear right"]},
        "spacers": {"kind": "spacers", "at": ["stack"], "limit": str(len(names) - 1)},
        "air": {"kind": "air path", "at": ["duct", "fan"]},
        "runs": {"kind": "run of a wire", "at": ["harness", "fan lead"]},
        "seals": {"kind": "enclosure seal", "at": ["lid", "drain"]},
        "labels": {"kind": "label", "at": ["lid"]},
        "bonds": {"kind": "bond", "at": ["tray", "lid"]},
        "earth": {"kind": "earth bonds", "at": ["frame"]},
        "loop out": {"kind": "interlock, plug out", "at": ["loop"]},
        "loop in": {"kind": "interlock, plug in", "at": ["lid switch", "plug"]},
        "latch": {"kind": "disconnect latch", "of": [n for n, d in layout["devices"].items()
                                                      if d["kind"] == "service disconnect"] or ["F1"]},
        "fuse": {"kind": "fuse body", "of": "F1"},
        "suppressors": {"kind": "coil suppressor", "of": ["K1", "K2"]},
        "coils": {"kind": "coil", "of": ["K1", "K2"], "limit": "25 Ω ± 2.5 Ω"},
        "resistor": {"kind": "resistor", "of": "R9"},
        "precharging": {"kind": "precharge", "of": "R9", "at": ["50 ms", "200 ms"], "capacitance": "1 mF"},
        "letting down": {"kind": "discharge", "at": ["5 s", "30 s"]},
        "sensor": {"kind": "current sensor", "of": "K1", "limit": "20 A ± 2 A"},
        **({"acid": {"kind": "acid density", "of": some, "limit": "1.205 g/cm³ to 1.225 g/cm³"},
            "conductances": {"kind": "conductance", "of": some, "reference": "1000 S"}} if acid else {}),
        "addresses": {"kind": "address", "of": some},
        "kit": {"kind": "neutraliser", "at": ["bench"]},
        "clean": {"kind": "cleaning", "at": ["tray"]},
        "damp": {"kind": "humidity", "at": ["room"]},
        "pictures": {"kind": "photo", "at": ["face A", "face B"]},
        "gap under the tray": {"at": ["front"], "limit": "10 mm ± 0.5 mm", "with": "caliper", "basis": "drawing 12"},
        "drain": {"at": ["left"], "words": ["clear", "blocked"], "before": "close contactors", "basis": "drawing 12"},
        "hum": {"at": ["fan"], "limit": "at most 1 A", "before": "release", "not older than": "30 d"},
        **({"re-checks": {"kind": "re-check method", "of": joints}} if joints else {}),
    }  # fmt: skip
    return layout


def _under(value: str, by: str, condition: str, told_by: str) -> Data:
    """Return the cells of a value and of the condition it was read under, each with its instrument."""
    return {"value": value, "under": condition, "with": {"value": by, "under": told_by}}


def found_in_tests(layout: Data, rng: random.Random | None = None) -> Data:
    """Return the table of what was found: inside every limit, with the noise of the instruments."""
    rng = rng or random.Random(1)
    near = lambda middle, half: middle + rng.uniform(-half, half)  # noqa: E731
    room = round(near(23.0, 1.5), 1)
    rows: Data = {"taken": {"at": "2026-10-06 16:00", "by": "MK"}}
    names = [name for members in positions(layout).values() for name, _ in members]
    kind = next(iter(layout["module types"].values()))
    drawn_mohm = float(str(kind["resistance"]).removesuffix(" mΩ"))
    volts = round(near(len(names) * 7.9, 1.0), 2)

    def put(test: str, point: str, **cells: Any) -> None:
        rows[f"{test}/{point}"] = cells

    for test, asked in layout["tests"].items():
        of = asked.get("of", [""])
        parts = ["N1", "N2", "N3"] if of == "N1..N3" else [of] if isinstance(of, str) else of
        for point in (f"{part} {where}".strip() for part in parts for where in asked.get("at", [""])):
            part, where = point.partition(" ")[0], point.rpartition(" ")[0]
            number = lambda value, digits, unit, tool: {"value": f"{round(value, digits):g} {unit}", "with": tool}  # noqa: E731
            match asked.get("kind", test):
                case "sense wire":
                    put(test, point, **number(near(0.3, 0.05), 3, "Ω", "M1"))
                case "sense link":
                    put(test, point, value="2 A")
                case "probe at rest":
                    kelvin = room + near(0.0, 0.5) + 273.15
                    ohm = R25_OHM * math.exp(B_K * (1 / kelvin - 1 / 298.15))
                    put(test, point, **_under(f"{ohm / 1000:.3f} kΩ", "M1", f"{room} °C", "H1"))
                case "probe warmed by hand" | "address":
                    put(test, point, found=part)
                case "probe response":
                    put(test, point, value=f"{round(near(20, 8))} s")
                case "module thickness":
                    put(test, point, **number(near(19.8, 0.2), 2, "mm", "C1"))
                case "module warmth":
                    put(test, point, **number(near(0.4, 0.3), 1, "K", "H1"))
                case "module rest time":
                    put(test, point, value=f"{round(near(14, 3), 1)} h")
                case "module mass":
                    put(test, point, **number(near(1040, 5), 0, "g", "G1"))
                case "module lot":
                    put(test, point, found="39-24")
                case "load step":
                    mohm = f"{drawn_mohm * near(1.05, 0.05):.3f} mΩ"
                    put(test, point, **_under(mohm, "L2", f"{round(near(23, 1.2), 1)} °C", "H1"))
                case "clamp corners":
                    put(test, point, **number(near(480.0, 0.12), 2, "mm", "C1"))
                case "spacers":
                    put(test, point, value=asked["limit"])
                case "bond":
                    put(test, point, value=f"{near(20, 8):.1f} mΩ", under="1 A", **{"with": "Q1"})
                case "earth bonds":
                    put(test, point, value="1")
                case "fuse body":
                    put(test, point, **number(near(0.95, 0.05), 3, "mΩ", "Q1"))
                case "coil":
                    put(test, point, **number(near(25, 0.8), 2, "Ω", "M1"))
                case "resistor":
                    put(test, point, **number(near(47, 0.8), 2, "Ω", "M1"))
                case "precharge":
                    seconds = float(point.split()[1]) / 1000
                    constant = PRECHARGE_OHM * CAPACITY_F * near(1.0, 0.1)
                    reached = volts * (1 - math.exp(-seconds / constant))
                    put(test, point, **_under(f"{reached:.2f} V", "U1", f"{volts} V", "U1"))
                case "discharge":
                    put(test, point, **number(near(12, 6), 1, "V", "U1"))
                case "current sensor":
                    put(test, point, **number(near(20, 0.5), 2, "A", "A1"))
                case "acid density":
                    density = near(1.215, 0.001) - 0.0007 * (room - 25)
                    put(test, point, **_under(f"{density:.3f} g/cm³", "D1", f"{room} °C", "H1"))
                case "conductance":
                    put(test, point, **number(near(960, 30), 0, "S", "S1"))
                case "neutraliser":
                    acid = kind["chemistry"] == "lead-acid"
                    put(test, point, found="bicarbonate" if acid else "boric acid")
                case "humidity":
                    put(test, point, **number(near(42, 6), 0, "%", "Y1"))
                case "photo":
                    put(test, point, found=PICTURES[0] if where == "face" and point.endswith("A") else PICTURES[1])
                case "gap under the tray":
                    put(test, point, **number(near(10, 0.3), 2, "mm", "C1"))
                case "hum":
                    put(test, point, **number(near(0.6, 0.1), 2, "A", "A1"))
                case other:
                    put(test, point, found=WORDS[other])
    return rows


WORDS = {
    "vent line": "free", "vent outlet": "outside", "module case": "sound", "module side": "vent up", "air path": "free",
    "run of a wire": "free", "enclosure seal": "sound", "label": "in place", "interlock, plug out": "open",
    "interlock, plug in": "closed", "disconnect latch": "latched", "coil suppressor": "right way", "cleaning": "clean",
    "re-check method": "at set-point", "drain": "clear",
}  # fmt: skip
"""What must be found in tests that are told in words."""
