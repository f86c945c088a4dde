"""Facts about where a layout puts things: modules in each other's room, what does not reach, the clamp."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import dist, floor, inf
from typing import NamedTuple

from packcheck.model.pack.model import Conductor, Pack
from packcheck.model.pack.order import places_under
from packcheck.model.pack.types import ModuleType, Point
from packcheck.physics.bolted_joints import thread_diameter_mm
from packcheck.rules.catalogue import Row, Value

LEAST_MM = 0.01
"""Two modules share room from this depth on [mm]: below it is rounding of the drawing."""


class _Box(NamedTuple):
    """The room of one module: its corners [mm]."""

    name: str
    low: Point
    high: Point


def placed_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per position that shares room with one before it, and one for all that do not.

    A layout whose positions all lie in one point states no places.
    """
    if len({position.at_mm for position in pack.positions.values()}) < min(2, len(pack.positions)):
        return
    boxes = [box for name in pack.positions if (box := _box(pack, name))]
    apart = 0
    for box, other in _with_first_overlap(boxes):
        if other is None:
            apart += 1
            continue
        depth = [min(box.high[i], other.high[i]) - max(box.low[i], other.low[i]) for i in range(3)]
        values: dict[str, Value] = {
            **{"position": box.name, "apart": False, "other": other.name},
            **{"shared_mm": round(min(depth), 6), "axis": "xyz"[depth.index(min(depth))]},
            "steps": f"{_steps(other.low, box.low)} for modules of {_size(box)} and {_size(other)}",
        }
        place, origin = f"position {box.name}", pack.origins.get(pack.positions[box.name].group)
        yield Row(box.name, values, {}, frozenset((box.name,)), place, "", origin)
    if apart:
        words = f"{apart} positions"
        yield Row(words, {"position": words, "apart": True}, {}, frozenset(), words)


def _box(pack: Pack, name: str) -> _Box | None:
    size, at = pack.module_type_at(name).size_mm, pack.positions[name].at_mm
    return _Box(name, at, _add(at, size)) if size else None


def _add(a: Point, b: Point) -> Point:
    return a[0] + b[0], a[1] + b[1], a[2] + b[2]


def _steps(a: Point, b: Point) -> str:
    return " × ".join(f"{abs(q - p):g}" for p, q in zip(a, b, strict=True)) + " mm"


def _size(box: _Box) -> str:
    return _steps(box.low, box.high)


def _with_first_overlap(boxes: Sequence[_Box]) -> Iterator[tuple[_Box, _Box | None]]:
    """Yield each box with the first before it that it overlaps; looked for in a grid as wide as the largest box."""
    if not boxes:
        return
    side = [max(box.high[i] - box.low[i] for box in boxes) for i in range(3)]
    cells: dict[tuple[int, int, int], list[_Box]] = {}
    where = [[floor(box.low[i] / side[i]) for i in range(3)] for box in boxes]
    steps = list(product(*((0, -1, 1) if len(set(axis)) > 1 else (0,) for axis in zip(*where, strict=True))))
    for box, at in zip(boxes, where, strict=True):
        near = (cells.get((at[0] + x, at[1] + y, at[2] + z), ()) for x, y, z in steps)
        yield box, next((other for cell in near for other in cell if _overlap(box, other)), None)
        cells.setdefault((at[0], at[1], at[2]), []).append(box)


def _overlap(a: _Box, b: _Box) -> bool:
    return all(min(a.high[i], b.high[i]) - max(a.low[i], b.low[i]) > LEAST_MM for i in range(3))


def post_outside(kind: ModuleType) -> dict[str, Value]:
    """Return the post furthest outside a module's size, and how far [mm]; nothing where no size is drawn."""
    size = kind.size_mm
    if size is None:
        return {"size_known": False}
    by = {post.name: [round(max(-at, at - side, 0.0), 6) for at, side in zip(post.at_mm, size, strict=True)]
          for post in kind.posts.values()}  # fmt: skip
    outside = {name: max(sides) for name, sides in by.items()}
    share = {name: max(mm / side for mm, side in zip(sides, size, strict=True)) for name, sides in by.items()}
    worst = max(outside, key=lambda name: (share[name], outside[name]))
    at = ", ".join(f"{x:g}" for x in kind.posts[worst].at_mm)
    words = f"post {worst} at [{at}] mm of a module of {_steps((0, 0, 0), size)}"
    return {"size_known": True, "post_outside_mm": max(outside.values()), "post_outside_share": share[worst],
            "post_outside": words}  # fmt: skip


def span_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per conductor too short for two drawn places that it joins, and one for all long enough."""
    enough: tuple[float, float, str] | None = None
    number = 0
    for conductor in pack.conductors.values():
        length = max(conductor.size_mm) if conductor.size_mm else conductor.length_mm
        needed = _needed_mm(pack, conductor, stiff=conductor.size_mm is not None) if length is not None else None
        if length is None or needed is None:
            continue
        if length >= needed:
            number += 1
            enough = min(enough or (inf, 0.0, ""), (length - needed, length, conductor.name))
            continue
        lands = " to ".join(landing.node for landing in conductor.lands)
        values: dict[str, Value] = {
            **{"conductor": conductor.name, "kind": conductor.kind, "lands": lands},
            **{"length_mm": length, "needed_mm": round(needed, 6)},
        }
        origin = pack.origins.get(conductor.name) or pack.origins.get(conductor.series)
        place = f"{conductor.kind} {conductor.name}, drawn {lands}"
        yield Row(conductor.name, values, {}, frozenset((conductor.name,)), place, "", origin)
    if enough:
        spare, length, name = enough
        words = f"{number} conductors, {name} the tightest"
        least: dict[str, Value] = {"conductor": words, "length_mm": length, "needed_mm": round(length - spare, 6)}
        yield Row(words, least, {}, frozenset(), words)


def _needed_mm(pack: Pack, conductor: Conductor, stiff: bool) -> float | None:
    """Return the least length [mm]: straight between the landings, and for a bar half a thread beyond each hole."""
    ends = [
        [p for place in places_under(pack, landing.node) if (p := pack.point_of(place))] for landing in conductor.lands
    ]
    known = [points for points in ends if points]
    if len(known) < 2:
        return None
    if not stiff:
        return min(dist(a, b) for a in known[0] for b in known[-1])
    if any(len(points) != 1 for points in known):
        return None
    points = [only for (only,) in known]
    threads = [pack.joint_types[x.joint_type].thread for x in conductor.lands if x.joint_type in pack.joint_types]
    beyond = min((thread_diameter_mm(thread) or 0.0 for thread in threads), default=0.0)
    return max(max(p[i] for p in points) - min(p[i] for p in points) for i in range(3)) + beyond


def clamped_stack(pack: Pack) -> dict[str, Value]:
    """Return the length [mm] of the modules along the axis that comes nearest to the clamp's length."""
    boxes = [box for name in pack.positions if (box := _box(pack, name))]
    length = pack.clamp.length_mm.low if pack.clamp else None
    if not boxes or length is None or length <= 0 or len(boxes) < len(pack.positions):
        return {"stack_known": False}
    extents = [max(b.high[i] for b in boxes) - min(b.low[i] for b in boxes) for i in range(3)]
    nearest = min(extents, key=lambda extent: max(extent / length, length / extent))
    return {"stack_known": True, "stack_mm": round(nearest, 6)}
