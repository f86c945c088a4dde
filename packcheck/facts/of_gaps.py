"""Facts about gaps between neighbouring bare conductors: distance, voltage, what could lie between them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from math import floor, hypot
from typing import NamedTuple

from packcheck.facts.drawn import Drawn
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Conductor, Insulation, Pack, Point
from packcheck.physics.creepage import clearance_mm, creepage_mm
from packcheck.rules.catalogue import Row, Value

POST_MM = 10.0
"""Width taken for a bare post whose nut and washer have no size in the layout [mm]; common practice, no source."""
REACH_MM = 30.0
"""Gaps wider than this are no neighbours [mm]: wider than any creepage distance of the table and any nut."""
CELL_MM = 3 * REACH_MM
"""Width of the cells in which neighbours are looked for [mm]."""
LEAST_V = 0.05
"""Conductors nearer in voltage than this are one conductor [V]."""


class Body(NamedTuple):
    """A bare conductor as a box: its centre and half its extent along x, y, z [mm], its face and network node.

    ``straight``: it fills its box; a bar whose landings are not in line does not.
    """

    name: str
    node: str
    face: str
    centre: Point
    half: Point
    straight: bool = True


class Gap(NamedTuple):
    """Two neighbouring bare conductors on one face, the distance [mm] and the highest voltage [V] between them.

    ``pairs`` names every pair of the face that is alike; ``shape_known``: both fill the boxes that were measured.
    """

    name: str
    face: str
    gap_mm: float
    voltage_v: float
    pairs: tuple[str, ...]
    shape_known: bool = True


def bare_bodies(pack: Pack) -> Iterator[Body]:
    """Yield bars with their size, and the bare ends of leads, as boxes along the pack axes."""
    barred: set[str] = set()
    for conductor in pack.conductors.values():
        places = [landing.node for landing in conductor.lands]
        points = [point for node in places if (point := pack.point_of(node))]
        if len(points) == len(places) and conductor.kind != "lead" and conductor.size_mm:
            barred.update(places)
            yield bar_body(pack, conductor, points)
    half = post_half_mm(pack)
    for conductor in pack.conductors.values():
        for landing in conductor.lands:
            point = pack.point_of(landing.node)
            if point and landing.node not in barred:
                barred.add(landing.node)
                yield Body(landing.node, landing.node, pack.face_of(landing.node), point, (half, half, half))


def post_half_mm(pack: Pack) -> float:
    """Return half the width [mm] of a bare post: that of the largest washer or nut the layout describes."""
    sizes = [
        part.across_mm
        for name, part in pack.parts.items()
        if part.across_mm and part.conducts and name.startswith(("washer", "nut"))
    ]
    return (max(sizes) if sizes else POST_MM) / 2


def bar_body(pack: Pack, conductor: Conductor, points: list[Point]) -> Body:
    """Return the box of a bar that has a size and lands on places at these points."""
    low = [min(p[axis] for p in points) for axis in range(3)]
    high = [max(p[axis] for p in points) for axis in range(3)]
    assert conductor.size_mm is not None
    length, width, thickness = conductor.size_mm
    along = max(range(3), key=lambda axis: high[axis] - low[axis])
    face = pack.face_of(conductor.lands[0].node)
    across = _across(pack, conductor, along)
    size = [thickness, thickness, thickness]
    size[along], size[across] = max(length, high[along] - low[along]), width
    half = [max(size[axis], high[axis] - low[axis]) / 2 for axis in range(3)]
    centre = [(low[axis] + high[axis]) / 2 for axis in range(3)]
    straight = all(high[axis] - low[axis] <= size[axis] for axis in range(3))
    body = Body(conductor.name, conductor.name, face, (centre[0], centre[1], centre[2]), (half[0], half[1], half[2]))
    return body._replace(straight=straight)


def _across(pack: Pack, conductor: Conductor, along: int) -> int:
    """Return the axis a bar's width lies along: the one in its face; across the module where posts share a plane."""
    position = conductor.lands[0].node.rpartition(".")[0]
    posts = [post.at_mm for post in pack.module_type_at(position).posts.values()]
    apart = max(range(3), key=lambda axis: abs(posts[0][axis] - posts[1][axis]))
    same_face = len({post.face for post in pack.module_type_at(position).posts.values()}) == 1
    rest = [axis for axis in range(3) if axis != along]
    if same_face:
        return apart if apart != along else rest[0]
    return next(axis for axis in rest if axis != apart)


def distance_mm(a: Body, b: Body) -> float:
    """Return the shortest distance between two boxes [mm], to a millionth, as sizes are drawn; 0 where they touch."""
    apart = hypot(*(max(0.0, abs(a.centre[i] - b.centre[i]) - a.half[i] - b.half[i]) for i in range(3)))
    return round(apart, 6)


def neighbours(bodies: Iterable[Body]) -> Iterator[tuple[Body, Body]]:
    """Yield the pairs of bodies on one face that lie within reach of each other, each pair once."""
    cells: dict[tuple[str, int, int, int], list[Body]] = {}
    for body in bodies:
        seen: set[int] = set()
        for cell in _cells(body):
            for other in cells.get(cell, ()):
                if id(other) not in seen:
                    seen.add(id(other))
                    yield other, body
            cells.setdefault(cell, []).append(body)


def _cells(body: Body) -> Iterator[tuple[str, int, int, int]]:
    spans = [
        range(
            floor((body.centre[i] - body.half[i] - REACH_MM / 2) / CELL_MM),
            floor((body.centre[i] + body.half[i] + REACH_MM / 2) / CELL_MM) + 1,
        )
        for i in range(3)
    ]
    for x in spans[0]:
        for y in spans[1]:
            for z in spans[2]:
                yield body.face, x, y, z


@lru_cache(maxsize=4)
def find_gaps(drawn: Drawn) -> list[Gap]:
    """Return the gaps between neighbouring bare conductors of the layout: alike ones as one, touching ones each apart.

    The voltage is that of the modules between, each at its highest.  Across an open switch it may be that of the rest
    of the string, when the mains are joined outside: the larger of the two counts.
    """
    kinds: dict[tuple[str, float, float, bool, str], list[tuple[str, float, float]]] = {}
    for a, b in neighbours(bare_bodies(drawn.pack)):
        gap = distance_mm(a, b)
        volts = _highest_between(drawn, a.node, b.node) if gap <= REACH_MM else None
        if volts is None or volts < LEAST_V:
            continue
        name = f"{a.name} to {b.name}"
        key = (a.face, round(gap, 2), round(volts, 2), a.straight and b.straight, "" if gap else name)
        kinds.setdefault(key, []).append((name, gap, volts))
    return [
        Gap(pairs[0][0], key[0], *pairs[0][1:], tuple(name for name, _, _ in pairs), key[3])
        for key, pairs in kinds.items()
    ]


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
        values: dict[str, Value] = {
            **{"gap": gap.name, "face": gap.face, "gap_mm": gap.gap_mm, "voltage_v": gap.voltage_v},
            **_asked(pack.insulation, gap),
            **{"hardware_mm": hardware_mm, "hardware": hardware},
            **{"touching": gap.gap_mm == 0, "shape_known": gap.shape_known, "pairs": list_places(gap.pairs)},
        }
        where = f"gap {gap.name}" if len(gap.pairs) == 1 else f"{len(gap.pairs)} gaps: {list_places(gap.pairs)},"
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
