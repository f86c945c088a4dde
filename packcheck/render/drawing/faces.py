"""Faces of a pack as one stands before each: which modules are seen on it, and how it is laid out on paper to scale.

Modules that stand behind others (shelves under a face seen from above) are drawn as faces of their own.  A face that is
too wide for its names to be read is cut into strips between modules, all to one scale.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor

from packcheck.geometry.bodies import Body
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import Point
from packcheck.render.drawing.paper import Box, Spot, words_px

Flat = tuple[float, float, float, float]
"""Left, top, right and bottom of something on a face [mm], right and down as one sees it."""
VIEWS: dict[str, tuple[Point, Point]] = {
    "front": ((1, 0, 0), (0, 0, -1)),
    "back": ((-1, 0, 0), (0, 0, -1)),
    "top": ((1, 0, 0), (0, -1, 0)),
    "bottom": ((1, 0, 0), (0, 1, 0)),
    "left": ((0, -1, 0), (0, 0, -1)),
    "right": ((0, 1, 0), (0, 0, -1)),
}
"""For each side one may stand at: which way along the pack axes the paper's right and the paper's down point."""
WIDEST, TALLEST = 1130.0, 900.0
_OVERHANG = 90.0
"""Room left at the end of a strip for a bar that runs on to the next [px]."""
_LEAST_SIDE, _ON_EDGE, _MOST_SCALE, _LEAST_SCALE = 30.0, 40.0, 5.0, 0.02


@dataclass(frozen=True)
class Strip:
    """A piece of a face on paper.

    ``modules`` are those drawn on it; ``piece`` and ``pieces`` count the strips of the face; ``scale`` is in px per mm.
    ``low`` is the corner of the piece [mm] that comes to ``corner`` on paper.
    """

    face: str
    seen: str
    layer: str
    modules: tuple[str, ...]
    piece: int
    pieces: int
    scale: float
    low: Spot
    span: Spot
    corner: Spot = (0.0, 0.0)

    @property
    def area(self) -> Box:
        """Return the room that the modules take on paper."""
        return Box(self.corner[0], self.corner[1], self.span[0] * self.scale, self.span[1] * self.scale)

    def spot(self, point: Point) -> Spot:
        """Return where a point of the pack [mm] comes to lie."""
        right, down = VIEWS[self.seen]
        return (
            self.corner[0] + (_dot(right, point) - self.low[0]) * self.scale,
            self.corner[1] + (_dot(down, point) - self.low[1]) * self.scale,
        )

    def box(self, low: Point, high: Point) -> Box:
        """Return where a body between two corners [mm] comes to lie."""
        (x1, y1), (x2, y2) = self.spot(low), self.spot(high)
        return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))

    def body(self, body: Body) -> Box:
        """Return where a body comes to lie."""
        low = (body.centre[0] - body.half[0], body.centre[1] - body.half[1], body.centre[2] - body.half[2])
        high = (body.centre[0] + body.half[0], body.centre[1] + body.half[1], body.centre[2] + body.half[2])
        return self.box(low, high)


def strips_of(pack: Pack, bars: Sequence[Body], widest: float = WIDEST) -> list[Strip]:
    """Return every face of a pack, nearest layer first, cut into strips no wider than a width [px] where it can be."""
    strips: list[Strip] = []
    for face, said in pack.faces.items():
        seen = said if said in VIEWS else "top"
        flats = {name: flat_of(seen, *module_box(pack, name)) for name in modules_on(pack, face)}
        layers = _layers(pack, seen, flats)
        scale = min((_scale(layer, flats, widest) for layer in layers), default=1.0)
        for number, layer in enumerate(layers, 1):
            words = _layer_words(pack, layer, number, len(layers))
            strips += _cut(face, seen, words, {name: flats[name] for name in layer}, scale, bars, widest)
    return strips


def modules_on(pack: Pack, face: str) -> list[str]:
    """Return the positions with a post on a face."""
    shown = {kind.name for kind in pack.module_types.values() if any(p.face == face for p in kind.posts.values())}
    return [position.name for position in pack.positions.values() if position.module_type in shown]


def module_box(pack: Pack, name: str) -> tuple[Point, Point]:
    """Return the corners of a module [mm]: its size, or a box about its posts where none is stated."""
    at, kind = pack.positions[name].at_mm, pack.module_type_at(name)
    if kind.size_mm:
        return at, (at[0] + kind.size_mm[0], at[1] + kind.size_mm[1], at[2] + kind.size_mm[2])
    points = [post.at_mm for post in kind.posts.values()]
    low = [at[axis] + min(p[axis] for p in points) - 8 for axis in range(3)]
    high = [at[axis] + max(p[axis] for p in points) + 8 for axis in range(3)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def flat_of(seen: str, low: Point, high: Point) -> Flat:
    """Return what one sees of a body between two corners [mm], standing on a side."""
    right, down = VIEWS[seen]
    xs, ys = sorted((_dot(right, low), _dot(right, high))), sorted((_dot(down, low), _dot(down, high)))
    return xs[0], ys[0], xs[1], ys[1]


def _dot(axis: Point, point: Point) -> float:
    return axis[0] * point[0] + axis[1] * point[1] + axis[2] * point[2]


def _layers(pack: Pack, seen: str, flats: dict[str, Flat]) -> list[list[str]]:
    """Return the modules of a face in layers none of which hides another module of its own, the nearest first."""
    (a, b, c), (d, e, f) = VIEWS[seen]
    away: Point = (b * f - c * e, c * d - a * f, a * e - b * d)  # right x down points into the paper
    depth = {name: round(_dot(away, pack.positions[name].at_mm), 3) for name in flats}
    side = max((max(r - x, s - y) for x, y, r, s in flats.values()), default=1.0) or 1.0
    layers: list[tuple[list[str], dict[tuple[int, int], list[Flat]]]] = []
    for name in sorted(flats, key=lambda name: depth[name]):
        core = _core(flats[name])
        cells = {(floor(x / side), floor(y / side)) for x in (core[0], core[2]) for y in (core[1], core[3])}
        for names, taken in layers:  # noqa: B007
            if not any(_cross(core, other) for cell in cells for other in taken.get(cell, ())):
                break
        else:
            names, taken = [], {}
            layers.append((names, taken))
        names.append(name)
        for cell in cells:
            taken.setdefault(cell, []).append(core)
    order = {name: index for index, name in enumerate(flats)}
    return [sorted(names, key=order.__getitem__) for names, _ in layers]


def _core(flat: Flat) -> Flat:
    x, y, right, bottom = flat
    return x + (right - x) / 4, y + (bottom - y) / 4, right - (right - x) / 4, bottom - (bottom - y) / 4


def _cross(one: Flat, other: Flat) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _layer_words(pack: Pack, layer: Sequence[str], number: int, layers: int) -> str:
    if layers == 1:
        return ""
    trays = list(dict.fromkeys(pack.positions[name].tray for name in layer))
    named = f" ({trays[0]})" if len(trays) == 1 and trays[0] else ""
    return f"layer {number} of {layers}{named}, {'the nearest' if number == 1 else 'behind it'}"


def _scale(layer: Iterable[str], flats: dict[str, Flat], widest: float) -> float:
    """Return the scale [px per mm] at which a layer fills the width and its names can be read."""
    seen = [(name, flats[name]) for name in layer]
    width = max(f[2] for _, f in seen) - min(f[0] for _, f in seen)
    height = max(f[3] for _, f in seen) - min(f[1] for _, f in seen)
    fitting = min(widest / max(width, 1e-9), TALLEST / max(height, 1e-9), _MOST_SCALE)
    needed = 0.0
    for name, (x, y, right, bottom) in seen:
        short, long = sorted((right - x, bottom - y))
        needed = max(needed, _LEAST_SIDE / max(short, 1e-9), (words_px(name) + _ON_EDGE) / max(long, 1e-9))
    return max(fitting, min(needed, _MOST_SCALE), _LEAST_SCALE)


def _cut(
    face: str, seen: str, layer: str, flats: dict[str, Flat], scale: float, bars: Sequence[Body], widest: float
) -> list[Strip]:
    """Return one layer as strips, each cut where no module and as few bars as can be lie across."""
    names = sorted(flats, key=lambda name: (flats[name][0], flats[name][1]))
    left, top = flats[names[0]][0], min(f[1] for f in flats.values())
    bottom = max(f[3] for f in flats.values())
    cuts = _cuts([flats[name] for name in names], _crossings(seen, face, bars), widest / scale, _OVERHANG / scale)
    edges = [left, *cuts, max(f[2] for f in flats.values())]
    groups: list[list[str]] = [[] for _ in edges[1:]]
    index = 0
    for name in names:
        while index + 1 < len(groups) and flats[name][0] >= edges[index + 1] - 1e-6:
            index += 1
        groups[index].append(name)
    return [
        Strip(face, seen, layer, tuple(group), i + 1, len(groups), scale, (edges[i], top),
              (edges[i + 1] - edges[i], bottom - top))
        for i, group in enumerate(groups)
    ]  # fmt: skip


def _crossings(seen: str, face: str, bars: Sequence[Body]) -> list[tuple[float, float]]:
    found = []
    for bar in bars:
        if bar.face == face:
            low = (bar.centre[0] - bar.half[0], bar.centre[1] - bar.half[1], bar.centre[2] - bar.half[2])
            high = (bar.centre[0] + bar.half[0], bar.centre[1] + bar.half[1], bar.centre[2] + bar.half[2])
            flat = flat_of(seen, low, high)
            found.append((flat[0], flat[2]))
    return sorted(found)


def _cuts(flats: Sequence[Flat], bars: Sequence[tuple[float, float]], most: float, spare: float) -> list[float]:
    """Return where to cut [mm]: at left edges of modules, where few bars lie across, into about equal pieces.

    No piece is much longer than ``most`` [mm] less what is to ``spare`` [mm] at its end.
    """
    starts: list[float] = []
    reach = float("-inf")
    for flat in flats:
        if flat[0] >= reach - 1e-6 and starts[-1:] != [flat[0]]:
            starts.append(flat[0])
        reach = max(reach, flat[2])
    over = _covered(starts, bars)
    total = reach - starts[0]
    if total <= most + 1e-6:
        return []
    pieces = ceil(total / max(1e-9, most - spare))
    cuts: list[float] = []
    for piece in range(1, pieces):
        aim, slack = starts[0] + total * piece / pieces, total / pieces / 5
        least = max(aim - slack, (cuts[-1] if cuts else starts[0]) + 1e-6)
        near = starts[bisect_left(starts, least) : bisect_right(starts, aim + slack)]
        if near:
            cuts.append(min(near, key=lambda start: (over[start], abs(start - aim))))
    return cuts


def _covered(starts: Sequence[float], bars: Sequence[tuple[float, float]]) -> dict[float, int]:
    """Return how many bars lie across each possible cut."""
    begun = sorted(low for low, _ in bars)
    ended = sorted(high for _, high in bars)
    over: dict[float, int] = {}
    i = j = 0
    for start in starts:
        while i < len(begun) and begun[i] < start - 1e-6:
            i += 1
        while j < len(ended) and ended[j] <= start + 1e-6:
            j += 1
        over[start] = i - j
    return over
