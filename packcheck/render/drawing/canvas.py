"""One sheet in the making: its shapes, the room left on it, and where each part came to lie."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from packcheck.render.drawing.paper import SIZES, Box, Spot, in_box, part, rect, strokes, text, text_box, words_px
from packcheck.render.drawing.room import Room


class Canvas:
    """Shapes in the order of painting; ``anchors`` are where each part lies; ``homeless`` are labels without room."""

    def __init__(self, bounds: Box) -> None:
        self.room = Room(bounds)
        self.shapes: list[str] = []
        self.anchors: dict[str, list[Box]] = {}
        self.homeless: list[str] = []

    def anchor(self, name: str, box: Box) -> None:
        """Remember where a part lies."""
        self.anchors.setdefault(name, []).append(box)

    def add(self, kind: str, name: str, title: str, shapes: Iterable[str]) -> None:
        """Draw a part."""
        self.shapes.append(part(kind, name, title, shapes))

    def write(self, spot: Spot, words: str, size: str = "s", *, anchor: str = "start", bold: bool = False) -> None:
        """Write a text whose place is given, and keep its room."""
        self.room.take(text_box(spot, words, size, anchor, bold=bold), words=True)
        self.shapes.append(text(spot, words, size, anchor=anchor, bold=bold))

    def label(
        self, anchor: Box, words: str, size: str = "s", *, spots: Iterable[Box] = (), bold: bool = False
    ) -> Box | None:
        """Write a name at the first free of some boxes, turned where the box stands upright, else near its part.

        A label that finds no room goes to ``homeless``.
        """
        width, height = words_px(words, size, bold=bold) + 3, SIZES[size] + 1
        box = self.room.first(spots)
        if box is None:
            found = self.room.near(anchor, width, height)
            if found is None:
                self.homeless.append(words)
                return None
            box, line = found
            if _length(line) > 5:
                self.room.take_line(*line)
                self.shapes.append(strokes([line], "thin"))
        upright = box.height > box.width and width > height
        self.room.take(box, words=True)
        if not _within(box, anchor):
            self.shapes.append(rect(box, "pad"))
        self.shapes.append(in_box(box, words, size, bold=bold, turn=-90 if upright else 0))
        return box

    def flag(
        self,
        anchor: Box,
        width: float,
        height: float,
        inside: Iterable[Box],
        draw: Callable[[Box], str],
        ink: str,
        *,
        below: bool = False,
    ) -> Box | None:
        """Draw something with a text at the first free of some boxes, else near its part with a line to it."""
        box = self.room.first(inside)
        if box is None:
            found = self.room.near(anchor, width, height, below=below)
            if found is None:
                return None
            box, line = found
            self.room.take_line(*line)
            self.shapes.append(strokes([line], ink))
        self.room.take(box, words=True)
        self.shapes.append(draw(box))
        return box


def centred(box: Box, width: float, height: float) -> Box:
    """Return a box of a size in the middle of another."""
    x, y = box.middle
    return Box(x - width / 2, y - height / 2, width, height)


def corners(box: Box, width: float, height: float, gap: float = 2.0) -> list[Box]:
    """Return the boxes of a size in the corners of another, then in the middle of its edges."""
    left, right = box.x + gap, box.right - width - gap
    top, bottom = box.y + gap, box.bottom - height - gap
    middle = box.x + (box.width - width) / 2
    if right < left or bottom < top:
        return []
    return [Box(x, y, width, height) for y in (bottom, top) for x in (middle, right, left)]


def _within(box: Box, other: Box) -> bool:
    return box.x >= other.x and box.y >= other.y and box.right <= other.right and box.bottom <= other.bottom


def _length(line: tuple[Spot, Spot]) -> float:
    (ax, ay), (bx, by) = line
    return abs(ax - bx) + abs(ay - by)
