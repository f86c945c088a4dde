"""Bare metal of a pack as boxes, and the ends of leads as spheres, in pack axes [mm]."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from math import hypot, inf

from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Conductor, Pack
from packcheck.model.pack.order import devices_of, places_under
from packcheck.model.pack.types import Point

POST_MM = 10.0
"""Width taken for a bare post whose nut and washer have no size in the layout [mm]; common practice, no source."""
PIN_PITCH_MM = 2.5
"""Distance between neighbouring pins of a sense connector [mm]; common practice, no source."""
ALL_FACES = "any"
_NOTHING: Point = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Body:
    """Bare metal: a box (``half`` its half extents [mm]) and, for a free lead end, how far it may swing [mm].

    ``kind`` is post, bar, lead end or pin.  ``node`` is the network node it belongs to, ``part`` the position,
    conductor or connector that people know it by.  ``places`` are the posts it lies on, or,
    for a pin, the posts its eyelet lies on.  ``drawn``: the layout gives the size of a bar and the place of each of its
    landings; ``straight``: it fills its box, as a bar whose landings are not in line does not.
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
    drawn: bool = True
    straight: bool = True

    def distance_mm(self, other: Body) -> float:
        """Return the shortest distance to another body [mm], swinging apart, to a millionth, as sizes are drawn."""
        (x, y, z), (dx, dy, dz) = self.centre, self.half  # without a loop: it runs for every two that may be near
        (u, v, w), (du, dv, dw) = other.centre, other.half
        along, across, up = abs(x - u) - dx - du, abs(y - v) - dy - dv, abs(z - w) - dz - dw
        return round(hypot(max(0.0, along), max(0.0, across), max(0.0, up)), 6)


def bodies_of(pack: Pack) -> Iterator[Body]:
    """Yield every post, bar, lead end and connector pin that a pack can ever show; of an insulated bar its posts."""
    yield from posts_of(pack)
    boxes = {bar.name: bar for bar in bars_of(pack)}
    yield from (bar for bar in boxes.values() if not pack.conductors[bar.name].insulated)
    yield from _lead_ends(pack, boxes)
    yield from _pins(pack, boxes)


def posts_of(pack: Pack) -> Iterator[Body]:
    """Yield every post of every module."""
    half = post_half_mm(pack)
    for position in pack.positions.values():
        for post in pack.module_type_at(position.name).posts.values():
            place = f"{position.name}.{post.name}"
            point = pack.point_of(place)
            assert point is not None
            yield Body(place, "post", place, position.name, post.face, point, (half, half, half), 0.0, (place,))


def bars_of(pack: Pack) -> Iterator[Body]:
    """Yield the box of every bar and link that lands on a place."""
    half = post_half_mm(pack)
    for conductor in pack.conductors.values():
        if conductor.kind != "lead" and (box := _bar(pack, conductor, half)):
            yield box


def post_half_mm(pack: Pack) -> float:
    """Return half the width [mm] of a bare post: that of the largest washer or nut the layout describes."""
    sizes = [
        part.across_mm
        for name, part in pack.parts.items()
        if part.across_mm and part.conducts and name.startswith(("washer", "nut"))
    ]
    return (max(sizes) if sizes else POST_MM) / 2


def _bar(pack: Pack, conductor: Conductor, half: float) -> Body | None:
    """Return the box of a bar or link over the places it lands on; None for one that lands on no place."""
    at = {landing.node: point for landing in conductor.lands if (point := pack.point_of(landing.node))}
    if not at:
        return None
    places, low, high = tuple(at), *_corners(list(at.values()))
    face = pack.face_of(places[0]) if len({pack.face_of(place) for place in places}) == 1 else ALL_FACES
    drawn = conductor.size_mm is not None and len(at) == len(conductor.lands)
    if drawn and conductor.size_mm:
        extent, straight = _sized(pack, conductor, conductor.size_mm, low, high)
    else:
        extent, straight = _half(low, high, (2 * half,) * 3, sum), True
    name = conductor.name
    return Body(name, "bar", name, name, face, _middle(low, high), extent, 0.0, places, drawn, straight)


def _sized(
    pack: Pack, conductor: Conductor, size_mm: Point, low: Sequence[float], high: Sequence[float]
) -> tuple[Point, bool]:
    """Return half the extents [mm] of a bar of a size (length, width, thickness), and whether it fills that box.

    ``low`` and ``high`` are the corners of what it lands on.
    """
    length, width, thickness = size_mm
    along = max(range(3), key=lambda axis: high[axis] - low[axis])
    size = [thickness, thickness, thickness]
    size[along], size[_across(pack, conductor, along)] = max(length, high[along] - low[along]), width
    straight = all(high[axis] - low[axis] <= size[axis] for axis in range(3))
    return _half(low, high, size, max), straight


def _across(pack: Pack, conductor: Conductor, along: int) -> int:
    """Return the axis a bar's width lies along: the one in its face; across the module where posts share a plane."""
    position = pack.places[conductor.lands[0].node].position
    posts = [post.at_mm for post in pack.module_type_at(position).posts.values()]
    apart = max(range(3), key=lambda axis: abs(posts[0][axis] - posts[1][axis]))
    same_face = len({post.face for post in pack.module_type_at(position).posts.values()}) == 1
    rest = [axis for axis in range(3) if axis != along]
    if same_face:
        return apart if apart != along else rest[0]
    return next(axis for axis in rest if axis != apart)


def _corners(points: Sequence[Point]) -> tuple[list[float], list[float]]:
    along = list(zip(*points, strict=True))
    return [min(axis) for axis in along], [max(axis) for axis in along]


def _middle(low: Sequence[float], high: Sequence[float]) -> Point:
    return (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2


def _half(
    low: Sequence[float], high: Sequence[float], size: Sequence[float], of: Callable[[Iterable[float]], float]
) -> Point:
    """Return half the extent along each axis: of the points and the size, the larger or their sum."""
    x, y, z = (of((high[axis] - low[axis], size[axis])) / 2 for axis in range(3))
    return x, y, z


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
    return Body(name, "lead end", conductor.name, conductor.name, ALL_FACES, point, _NOTHING, swing)


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
        for number, name, node in sorted(pins):
            at = (middle[0] + (number - 1) * PIN_PITCH_MM, middle[1], middle[2])
            yield Body(
                f"pin {connector}.{number} ({name})",
                "pin",
                node,
                connector,
                f"connector {connector}",
                at,
                (0.5, 0.5, 0.5),
                places=tuple(places_under(pack, node)),
            )
