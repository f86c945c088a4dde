"""Who built a pack, with what, and from which shelf: drawn anew for every build, so that nothing can be told by it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from packcheck.model.pack.model import Pack
from packcheck.simulate.drawn import joint_kind, middle
from packcheck.simulate.meters import Figure, Meter, meter

INITIALS = ("AV", "BR", "CN", "EL", "GS", "HB", "IM", "JW", "KD", "MK", "NF", "PA", "RS", "TO", "UZ", "WE")
WRENCHES = ((1, 5), (2, 10), (4, 20), (5, 25), (8, 40), (10, 50), (20, 100), (40, 200))
"""Ranges of click wrenches [N·m]."""
TOOLS = ("socket-8", "socket-10", "socket-13", "extension-insulated", "torque-bit", "mirror", "tray-magnetic",
         "lamp-head", "brush-brass", "rule-plastic", "hook-nylon", "lift-strap")  # fmt: skip


@dataclass(frozen=True)
class Team:
    """The people and instruments of one build; meters show numbers in V, N·m, µΩ, mm, Ah, mΩ and g."""

    fitter: str
    second: str
    reader: str
    volts: Meter
    micro_ohms: Meter
    length: Meter
    amp_hours: Meter
    milli_ohms: Meter
    grams: Meter
    wrench_digits: int
    papers: dict[str, dict[str, Any]]
    tools: dict[str, int]

    @property
    def people(self) -> dict[str, str]:
        """Return the people by their initials, with what they did."""
        return {self.fitter: "fitter", self.second: "second person", self.reader: "readings and review"}


def team_of(pack: Pack, begun: datetime, random: Random) -> Team:
    """Return who builds a pack that is begun at a time, and with what."""
    fitter, second, reader = random.sample(INITIALS, 3)
    span = wrench_range(pack)
    papers: dict[str, dict[str, Any]] = {
        "V1": _papers("multimeter", "0.03 % + 2 mV", "DM", begun, random) | {"input": "10 MΩ"},
        "W1": _wrench(span, begun, random),
        "W2": _wrench(span, begun, random),
        "R1": _papers("micro-ohmmeter", "0.5 % + 0.5 µΩ", "MO", begun, random),
    }
    if pack.clamp:
        papers["L1"] = _papers("length gauge", "0.1 mm", "LG", begun, random)
    return Team(
        fitter=fitter, second=second, reader=reader,
        volts=meter(random, 3e-4, 2e-3, 3, 50.0),
        micro_ohms=meter(random, 5e-3, 0.5, 1),
        length=meter(random, 0.0, 0.1, 1),
        amp_hours=meter(random, 5e-3, 0.01, 2),
        milli_ohms=meter(random, 1e-2, 0.002, 3),
        grams=meter(random, 0.0, 1.0, 0),
        wrench_digits=1,
        papers=papers,
        tools={name: random.choice((1, 1, 2, 2, 4)) for name in sorted(random.sample(TOOLS, 4))},
    )  # fmt: skip


def with_papers(team: Team, wanted: frozenset[str], begun: datetime, random: Random) -> dict[str, dict[str, Any]]:
    """Return the papers of all instruments that the wanted readings take, whether something is wrong or not."""
    more: dict[str, dict[str, Any]] = {}
    if "capacity" in wanted:
        more["C1"] = _papers("cycler", "0.5 % + 0.01 Ah", "CY", begun, random)
    if "resistance" in wanted:
        more["H1"] = _papers("load tester", "1 % + 0.002 mΩ", "LT", begun, random)
    if "mass" in wanted:
        more["S1"] = _papers("scale", "1 g", "SC", begun, random)
    if "isolation" in wanted:
        more["D1"] = _papers("resistor decade", "0.1 %", "RD", begun, random)
    if "tap leads" in wanted:
        more["M1"] = _papers("ohmmeter", "0.2 % + 0.02 Ω", "OM", begun, random)
    return team.papers | more


def wrench_range(pack: Pack) -> tuple[int, int]:
    """Return the smallest range of a wrench [N·m] in which the torques of a layout lie; the last where none fits."""
    torques = [t for name in pack.joints if (t := middle(joint_kind(pack, name).torque_n_m))]
    torques += [t for t in [middle(pack.clamp.torque_n_m) if pack.clamp else None] if t]
    low, high = min(torques, default=4.0), max(torques, default=4.0)
    return next((span for span in WRENCHES if span[0] <= 0.85 * low and span[1] >= 1.25 * high), WRENCHES[-1])


def _wrench(span: tuple[int, int], begun: datetime, random: Random) -> dict[str, Any]:
    accuracy = "6 %" if span[1] <= 10 else "4 %"  # ISO 6789, by the largest value of the scale
    papers = _papers("click wrench", accuracy, "TW", begun, random)
    return papers | {"range": f"{span[0]} N·m to {span[1]} N·m", "cycles": random.randrange(400, 4200)}


def _papers(kind: str, accuracy: str, mark: str, begun: datetime, random: Random) -> dict[str, Any]:
    due = begun + timedelta(days=random.randrange(45, 300))
    return {"kind": kind, "accuracy": accuracy, "serial": f"{mark}-{random.randrange(2, 40):02d}",
            "due": Figure(f"{due:%Y-%m-%d}")}  # fmt: skip
