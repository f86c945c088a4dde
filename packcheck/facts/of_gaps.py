"""Facts about gaps between neighbouring bare conductors: distance, voltage, what could lie between them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from packcheck.facts.drawn import Drawn
from packcheck.files.name_lists import list_places
from packcheck.geometry.bodies import ALL_FACES, Body, bars_of, posts_of
from packcheck.geometry.reach import near_pairs
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import Insulation
from packcheck.physics.creepage import clearance_mm, creepage_mm
from packcheck.rules.catalogue import Row, Value

REACH_MM = 30.0
"""Gaps wider than this are no neighbours [mm]: wider than any creepage distance of the table and any nut."""
LEAST_V = 0.05
"""Conductors nearer in voltage than this are one conductor [V]."""


class Gap(NamedTuple):
    """Two neighbouring bare conductors on one face, the distance [mm] and the highest voltage [V] between them.

    ``pairs`` names every pair of the face that is alike; ``shape_known``: both fill the boxes that were measured.
    ``nodes`` are those of the pair that the gap is named after.
    """

    name: str
    face: str
    gap_mm: float
    voltage_v: float
    pairs: tuple[str, ...]
    shape_known: bool = True
    nodes: tuple[str, str] = ("", "")


@lru_cache(maxsize=4)
def find_gaps(drawn: Drawn) -> list[Gap]:
    """Return the gaps between neighbouring bare conductors of the layout: alike ones as one, touching ones each apart.

    The voltage is that of the modules between, each at its highest.  Across an open switch it may be that of the rest
    of the string, when the mains are joined outside: the larger of the two counts.
    """
    kinds: dict[tuple[str, float, float, bool, str], list[tuple[str, float, float, tuple[str, str]]]] = {}
    bodies = bare_bodies(drawn.pack)
    for one, other, gap in near_pairs(bodies, REACH_MM):
        a, b = bodies[one], bodies[other]
        if a.face != b.face and ALL_FACES not in (a.face, b.face):
            continue
        volts = _highest_between(drawn, a.node, b.node)
        if volts is None or volts < LEAST_V:
            continue
        name = f"{a.name} to {b.name}"
        face = b.face if a.face == ALL_FACES else a.face
        key = (face, round(gap, 2), round(volts, 2), a.straight and b.straight, "" if gap else name)
        kinds.setdefault(key, []).append((name, gap, volts, (a.node, b.node)))
    return [
        Gap(pairs[0][0], key[0], *pairs[0][1:3], tuple(pair[0] for pair in pairs), key[3], pairs[0][3])
        for key, pairs in kinds.items()
    ]


def bare_bodies(pack: Pack) -> list[Body]:
    """Return the bare bars whose size is drawn, and the posts that something else lands on."""
    bars = [bar for bar in bars_of(pack) if bar.drawn and not pack.conductors[bar.name].insulated]
    landed = {landing.node for conductor in pack.conductors.values() for landing in conductor.lands}
    landed -= {place for bar in bars for place in bar.places}
    return [*bars, *(post for post in posts_of(pack) if post.node in landed)]


def _highest_between(drawn: Drawn, a: str, b: str) -> float | None:
    volts = drawn.solution.voltage_v(a, b)
    if volts is None:
        return None
    closed = abs(volts)
    if drawn.switches_open.joined(a, b) or drawn.highest_v is None:
        return closed
    return max(closed, abs(abs(drawn.highest_v) - closed))


def loose_parts(pack: Pack) -> dict[str, tuple[float, str]]:
    """Return for each face the largest conducting part of its joints, bars and lugs apart, with its size."""
    largest: dict[str, tuple[float, str]] = {}
    for joint_type, face in {(landing.joint_type, pack.face_of(landing.node)) for _, landing in pack.joints.values()}:
        kind = pack.joint_types.get(joint_type)
        for name in kind.stack if kind and face else ():
            part = pack.parts.get(name)
            if part and part.largest_mm and part.conducts and not name.startswith("lug"):
                largest[face] = max(largest.get(face, (0.0, "")), (part.largest_mm, name))
    return largest


def gap_rows(pack: Pack, gaps: list[Gap]) -> Iterator[Row]:
    """Yield one row per kind of gap."""
    loose = loose_parts(pack)
    for gap in gaps:
        hardware_mm, hardware = loose.get(gap.face, (None, ""))
        pairs = list_places(gap.pairs)
        values: dict[str, Value] = {
            **{"gap": gap.name, "face": gap.face, "gap_mm": gap.gap_mm, "voltage_v": gap.voltage_v},
            **_asked(pack.insulation, gap),
            **{"hardware_mm": hardware_mm, "hardware": hardware},
            **{"touching": gap.gap_mm == 0, "shape_known": gap.shape_known, "pairs": pairs},
        }
        where = f"gap {gap.name}" if len(gap.pairs) == 1 else f"{len(gap.pairs)} gaps: {pairs},"
        name = f"{gap.name}, {gap.gap_mm:.3g} mm at {gap.voltage_v:.4g} V"
        yield Row(name, values, {}, frozenset(gap.pairs), f"{where} on face {gap.face}", gap.face)


def _asked(asked: Insulation, gap: Gap) -> dict[str, Value]:
    degree, group, impulse = asked.pollution_degree, asked.material_group, asked.impulse_kv
    return {
        "creepage_known": degree is not None and bool(group),
        "creepage_mm": max(gap.gap_mm, asked.creepage_mm or 0.0),
        "creepage_needed_mm": creepage_mm(gap.voltage_v, degree, group) if degree and group else None,
        "clearance_needed_mm": clearance_mm(impulse, degree, asked.altitude_m or 2000.0)
        if impulse and degree
        else None,
        "clearance_asked": impulse is not None,
    }
