"""Bare metal as boxes and spheres in pack axes, and which pairs of it lie within reach of each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import floor, hypot, inf
from typing import NamedTuple

from packcheck.facts.of_gaps import bar_body, post_half_mm
from packcheck.pack.model import Conductor, Pack, Point
from packcheck.pack.order import devices_of

PIN_PITCH_MM = 2.5
"""Distance between neighbouring pins of a sense connector [mm]; common practice, no source."""
ALL_FACES = "any"


@dataclass(frozen=True)
class Body:
    """Bare metal: a box (``half`` its half extents [mm]) and, for a free lead end, how far it may swing [mm].

    ``kind`` is post, bar, lead end or pin.  ``node`` is the network node it belongs to, ``part`` the position,
    conductor or connector that people know it by.  ``places`` are the posts it lies on.
    """

    name: str
    kind: str
    node: str
    part: str
    face: str
    centre: Point
    half: Point
    swing_mm: float = 0.0
    places: tuple[str, ...] = ()


class Pair(NamedTuple):
    """Two bodies by number, and the shortest distance between them [mm]."""

    a: int
    b: int
    gap_mm: float


class Reach(NamedTuple):
    """Something that can bridge: its words and its length [mm]."""

    words: str
    length_mm: float


@dataclass(frozen=True)
class Geometry:
    """All bodies a pack can ever show, the pairs within the longest reach, and what can bridge."""

    bodies: tuple[Body, ...]
    pairs: tuple[Pair, ...]
    reaches: tuple[Reach, ...]
    row_axis: int


def build_geometry(pack: Pack, tools_mm: Sequence[float], tools_only: bool = False) -> Geometry:
    """Return the geometry of a pack for tools of these lengths [mm].

    Notes
    -----
    A tool counts with its full length: a dropped one leaves no room for a grip.  Distances run from surface to surface.
    Devices and connectors have no place in a layout: the end of a lead at a device may lie anywhere within the lead's
    length of its fixed end, and the pins of a connector are within reach of each other only.
    """
    bodies = tuple(_bodies(pack))
    reaches = _reaches(pack, tools_mm, tools_only)
    longest = max((reach.length_mm for reach in reaches), default=0.0)
    return Geometry(bodies, tuple(near_pairs(bodies, longest)), reaches, _row_axis(pack))


def _reaches(pack: Pack, tools_mm: Sequence[float], tools_only: bool) -> tuple[Reach, ...]:
    tools = [Reach(f"a tool of {length:g} mm", length) for length in sorted(set(tools_mm))]
    return (*tools, *(() if tools_only else loose_parts(pack)))


def loose_parts(pack: Pack) -> tuple[Reach, ...]:
    """Return the smallest and the largest loose conducting part whose size the layout knows; bars count too.

    The rods of the clamp are left out: they are in before the first bar is in hand.
    """
    rod = pack.clamp.rod_part if pack.clamp else ""
    sizes = {p.name: p.largest_mm for p in pack.parts.values() if p.largest_mm and p.conducts and p.name != rod}
    for kind in pack.bar_types.values():
        if kind.size_mm:
            sizes[kind.name] = hypot(*kind.size_mm)
    if not sizes:
        return ()
    ordered = sorted(sizes, key=lambda name: (sizes[name], name))
    ends = dict.fromkeys((ordered[0], ordered[-1]))
    word = {ordered[0]: "smallest", ordered[-1]: "largest"}
    return tuple(Reach(f"the {word[name]} loose part, {name} of {sizes[name]:.3g} mm", sizes[name]) for name in ends)


def _bodies(pack: Pack) -> Iterator[Body]:
    half = post_half_mm(pack)
    for position in pack.positions.values():
        for post in pack.module_type_at(position.name).posts.values():
            place = f"{position.name}.{post.name}"
            point = pack.point_of(place)
            assert point is not None
            yield Body(place, "post", place, position.name, post.face, point, (half, half, half), 0.0, (place,))
    boxes: dict[str, Body] = {}
    for conductor in pack.conductors.values():
        if conductor.kind != "lead":
            box = _bar(pack, conductor, half)
            if box:
                boxes[conductor.name] = box
                yield box
    yield from _lead_ends(pack, boxes)
    yield from _pins(pack, boxes)


def _bar(pack: Pack, conductor: Conductor, half: float) -> Body | None:
    """Return the box of a bar or link over the places it lands on; None for one that lands on no place."""
    places = tuple(landing.node for landing in conductor.lands if pack.point_of(landing.node))
    points = [point for place in places if (point := pack.point_of(place))]
    if not points:
        return None
    face = pack.face_of(places[0]) if len({pack.face_of(place) for place in places}) == 1 else ALL_FACES
    if conductor.size_mm and len(points) == len(conductor.lands):
        box = bar_body(pack, conductor, points)
        return Body(conductor.name, "bar", conductor.name, conductor.name, face, box.centre, box.half, 0.0, places)
    low = [min(point[axis] for point in points) - half for axis in range(3)]
    high = [max(point[axis] for point in points) + half for axis in range(3)]
    centre, extent = _box(low, high)
    return Body(conductor.name, "bar", conductor.name, conductor.name, face, centre, extent, 0.0, places)


def _box(low: Sequence[float], high: Sequence[float]) -> tuple[Point, Point]:
    centre = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
    half = [(b - a) / 2 for a, b in zip(low, high, strict=True)]
    return (centre[0], centre[1], centre[2]), (half[0], half[1], half[2])


def _lead_ends(pack: Pack, boxes: dict[str, Body]) -> Iterator[Body]:
    """Yield the ends of leads that have no place of their own, each as a sphere about where the lead is fixed.

    A lead between two places swings from either of them while it is being fitted.
    """
    anchors = _anchors(pack, boxes)
    for conductor in pack.conductors.values():
        fixed = [landing.node for landing in conductor.lands if _fixed_at(pack, boxes, landing.node)]
        loose = [landing.node for landing in conductor.lands if landing.node not in fixed]
        if conductor.kind == "bar" and conductor.name in boxes and not loose:
            continue
        length = conductor.length_mm if conductor.length_mm is not None else inf
        for end in loose:
            point, swing = anchors.get(end, (None, inf))
            if point is not None:
                yield _end(conductor, f"end of {conductor.name} at {end}", point, swing)
        if not loose and conductor.name not in boxes:
            for start in fixed:
                point = _fixed_at(pack, boxes, start)
                assert point is not None
                yield _end(conductor, f"free end of {conductor.name}, fixed at {start}", point, length)


def _end(conductor: Conductor, name: str, point: Point, swing: float) -> Body:
    return Body(name, "lead end", conductor.name, conductor.name, ALL_FACES, point, (0.0, 0.0, 0.0), swing)


def _fixed_at(pack: Pack, boxes: dict[str, Body], node: str) -> Point | None:
    return pack.point_of(node) or (boxes[node].centre if node in boxes else None)


def _anchors(pack: Pack, boxes: dict[str, Body]) -> dict[str, tuple[Point, float]]:
    """Return for each device end the fixed point its lead hangs from, and the length of lead from there [mm]."""
    found: dict[str, tuple[Point, float]] = {}
    waiting = [c for c in pack.conductors.values() if devices_of(pack, c)]
    for _ in range(len(waiting) + 1):
        for conductor in waiting:
            length = conductor.length_mm if conductor.length_mm is not None else inf
            if conductor.name in boxes:
                length = 0.0 if conductor.length_mm is None else length
            starts = [(point, 0.0) for landing in conductor.lands if (point := _fixed_at(pack, boxes, landing.node))]
            starts += [found[landing.node] for landing in conductor.lands if landing.node in found]
            for landing in conductor.lands:
                if starts and not _fixed_at(pack, boxes, landing.node):
                    point, before = min(starts, key=lambda start: start[1])
                    known = found.get(landing.node)
                    if known is None or before + length < known[1]:
                        found[landing.node] = (point, before + length)
        grown = dict(found)
        for device in pack.devices.values():
            for end, other in (device.ends, device.ends[::-1]):
                if end in found and other not in found:
                    grown[other] = found[end]
        if len(grown) == len(found):
            return grown
        found = grown
    return found


def _pins(pack: Pack, boxes: dict[str, Body]) -> Iterator[Body]:
    """Yield the pins of the sense connectors, a pitch apart, in the order of their numbers."""
    by_connector: dict[str, list[tuple[int, str, str]]] = {}
    for tap in pack.taps.values():
        if tap.connector:
            by_connector.setdefault(tap.connector, []).append((tap.pin, tap.name, tap.node))
    for connector, pins in by_connector.items():
        points = [point for _, _, node in pins if (point := _fixed_at(pack, boxes, node))]
        middle = [sum(p[axis] for p in points) / len(points) if points else 0.0 for axis in range(3)]
        for number, tap, node in sorted(pins):
            at = (middle[0] + (number - 1) * PIN_PITCH_MM, middle[1], middle[2])
            yield Body(
                f"pin {connector}.{number} ({tap})",
                "pin",
                node,
                connector,
                f"connector {connector}",
                at,
                (0.5, 0.5, 0.5),
            )


def _row_axis(pack: Pack) -> int:
    at = [position.at_mm for position in pack.positions.values()]
    if not at:
        return 0
    return max(range(3), key=lambda axis: len({point[axis] for point in at}))


def gap_mm(a: Body, b: Body) -> float:
    """Return the shortest distance between two bodies [mm], less what lead ends may swing; 0 where they can touch."""
    apart = hypot(*(max(0.0, abs(a.centre[i] - b.centre[i]) - a.half[i] - b.half[i]) for i in range(3)))
    return max(0.0, apart - a.swing_mm - b.swing_mm)


def near_pairs(bodies: Sequence[Body], reach_mm: float) -> Iterator[Pair]:
    """Yield the pairs of bodies no further apart than the reach [mm], each once; a grid finds them.

    Lead ends swing and are few: they are held against every body.  Pins are paired within their own connector.
    """
    fixed = [i for i, body in enumerate(bodies) if body.kind in ("post", "bar")]
    ends = [i for i, body in enumerate(bodies) if body.kind == "lead end"]
    pins = [i for i, body in enumerate(bodies) if body.kind == "pin"]
    yield from _in_grid(bodies, fixed, reach_mm)
    for index, a in enumerate(ends):
        for b in (*fixed, *ends[:index]):
            if bodies[a].part != bodies[b].part and gap_mm(bodies[a], bodies[b]) <= reach_mm:
                yield Pair(a, b, gap_mm(bodies[a], bodies[b]))
    by_part: dict[str, list[int]] = {}
    for pin in pins:
        by_part.setdefault(bodies[pin].part, []).append(pin)
    for members in by_part.values():
        yield from _in_grid(bodies, members, reach_mm)


def _in_grid(bodies: Sequence[Body], chosen: Iterable[int], reach_mm: float) -> Iterator[Pair]:
    members = list(chosen)
    if not members:
        return
    side = [reach_mm + 2 * max(bodies[i].half[axis] for i in members) + 1e-6 for axis in range(3)]
    cells: dict[tuple[int, int, int], list[int]] = {}
    for i in members:
        x, y, z = (floor(bodies[i].centre[axis] / side[axis]) for axis in range(3))
        for near in ((x + dx, y + dy, z + dz) for dx in (-1, 0, 1) for dy in (-1, 0, 1) for dz in (-1, 0, 1)):
            for j in cells.get(near, ()):
                gap = gap_mm(bodies[i], bodies[j])
                if gap <= reach_mm:
                    yield Pair(j, i, gap)
        cells.setdefault((x, y, z), []).append(i)


def way_of(a: Body, b: Body, row_axis: int) -> str:
    """Return how a bridge between two bodies lies: along a face, across it, between faces, from a lead end, at pins."""
    if "lead end" in (a.kind, b.kind):
        return "lead end"
    if a.kind == "pin" or b.kind == "pin":
        return f"at {a.face}"
    if a.face != b.face:
        return f"between faces {a.face} and {b.face}"
    apart = [max(0.0, abs(a.centre[i] - b.centre[i]) - a.half[i] - b.half[i]) for i in range(3)]
    along = apart[row_axis] >= max(apart[axis] for axis in range(3) if axis != row_axis)
    return f"{'along' if along else 'across'} face {a.face}"


def bars_within_reach(tool_mm: float, pitch_mm: float) -> int:
    """Return m = floor((L / pitch + 1) / 2), how many bars further along a face a tool of length L [mm] reaches.

    Bar j to bar j+m shorts 2m modules; their nearest ends are 2m - 1 pitches [mm] apart (derived, post centres).

    >>> [bars_within_reach(tool, 20.0) for tool in (100.0, 150.0, 250.0)]
    [3, 4, 6]
    """
    return floor((tool_mm / pitch_mm + 1) / 2)
