"""A face of the pack as one sees it standing before it: from pack axes [mm] to paper, right and down."""

from __future__ import annotations

from dataclasses import dataclass

from packcheck.geometry.bodies import Body
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import Point

VIEWS: dict[str, tuple[Point, Point]] = {
    "front": ((1, 0, 0), (0, 0, -1)),
    "back": ((-1, 0, 0), (0, 0, -1)),
    "top": ((1, 0, 0), (0, -1, 0)),
    "bottom": ((1, 0, 0), (0, 1, 0)),
    "left": ((0, -1, 0), (0, 0, -1)),
    "right": ((0, 1, 0), (0, 0, -1)),
}
"""For each side one may stand at: which way along the pack axes the paper's right and the paper's down point."""

WIDEST_PX, NARROWEST_PX, TALLEST_PX = 1180.0, 420.0, 760.0


@dataclass(frozen=True)
class Box:
    """A rectangle on paper [px]."""

    x: float
    y: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        """Return the middle."""
        return self.x + self.width / 2, self.y + self.height / 2


class View:
    """One face on paper; ``left`` and ``top`` [px] say where it begins."""

    def __init__(self, pack: Pack, face: str, left: float, top: float) -> None:
        self.pack, self.face = pack, face
        seen = pack.faces.get(face, "")
        self.right_axis, self.down_axis = VIEWS.get(seen, VIEWS["top"])
        self.modules = {name: self._flat(*_module_box(pack, name)) for name in _positions_on(pack, face)}
        flats = list(self.modules.values()) or [(0.0, 0.0, 1.0, 1.0)]
        self._low = (min(f[0] for f in flats), min(f[1] for f in flats))
        span = (max(f[2] for f in flats) - self._low[0], max(f[3] for f in flats) - self._low[1])
        self.scale = min(WIDEST_PX / max(span[0], 1e-9), TALLEST_PX / max(span[1], 1e-9), 6.0)
        self.width, self.height = max(span[0] * self.scale, NARROWEST_PX), span[1] * self.scale
        self._left = left + (self.width - span[0] * self.scale) / 2
        self._top = top

    def module(self, name: str) -> Box:
        """Return the rectangle of a module."""
        return self._box(self.modules[name])

    def body(self, body: Body) -> Box:
        """Return the rectangle of a body."""
        low = (body.centre[0] - body.half[0], body.centre[1] - body.half[1], body.centre[2] - body.half[2])
        high = (body.centre[0] + body.half[0], body.centre[1] + body.half[1], body.centre[2] + body.half[2])
        return self._box(self._flat(low, high))

    def _flat(self, low: Point, high: Point) -> tuple[float, float, float, float]:
        xs = [_dot(self.right_axis, low), _dot(self.right_axis, high)]
        ys = [_dot(self.down_axis, low), _dot(self.down_axis, high)]
        return min(xs), min(ys), max(xs), max(ys)

    def _box(self, flat: tuple[float, float, float, float]) -> Box:
        x, y = self._left + (flat[0] - self._low[0]) * self.scale, self._top + (flat[1] - self._low[1]) * self.scale
        return Box(x, y, (flat[2] - flat[0]) * self.scale, (flat[3] - flat[1]) * self.scale)


def _dot(axis: Point, point: Point) -> float:
    return sum(a * b for a, b in zip(axis, point, strict=True))


def _positions_on(pack: Pack, face: str) -> list[str]:
    return [
        name for name in pack.positions if any(post.face == face for post in pack.module_type_at(name).posts.values())
    ]


def _module_box(pack: Pack, name: str) -> tuple[Point, Point]:
    """Return the corners of a module: its size, or a box about its posts where none is stated."""
    at, kind = pack.positions[name].at_mm, pack.module_type_at(name)
    if kind.size_mm:
        return at, (at[0] + kind.size_mm[0], at[1] + kind.size_mm[1], at[2] + kind.size_mm[2])
    points = [post.at_mm for post in kind.posts.values()]
    low = [at[axis] + min(p[axis] for p in points) - 8 for axis in range(3)]
    high = [at[axis] + max(p[axis] for p in points) + 8 for axis in range(3)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
