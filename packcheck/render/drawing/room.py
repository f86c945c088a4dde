"""Room on paper: what is taken, and the first free place for a label near the part it belongs to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil, floor, hypot

from packcheck.render.drawing.paper import Box, Spot

_CELL = 40.0
_STEP = 3.0
_TOUCH = 1e-6
"""Boxes that share no more than this [px] do not overlap."""
_RINGS = (3.0, 9.0, 17.0, 27.0, 40.0, 56.0, 76.0, 100.0)


_Edges = tuple[float, float, float, float]
"""Left, top, and the right and bottom edges drawn in by what two boxes may share [px]."""


class Room:
    """What lies on a sheet, in a grid: words and posts, which no line may cross, and what no label may lie on.

    ``top`` and ``bottom`` tell how far up and down anything lies.
    Each thing is looked for only in the cells it touches, so that a sheet costs as much as what is on it.
    """

    def __init__(self, bounds: Box) -> None:
        self.bounds = bounds
        self.top, self.bottom = bounds.bottom, bounds.y
        self._taken: dict[tuple[int, int], list[_Edges]] = {}
        self._words: dict[tuple[int, int], list[Box]] = {}

    def take(self, box: Box, *, words: bool = False) -> Box:
        """Mark a box as taken and return it."""
        self.top, self.bottom = min(self.top, box.y), max(self.bottom, box.bottom)
        edges = (box.x, box.y, box.right - _TOUCH, box.bottom - _TOUCH)
        for cell in _cells(box):
            self._taken.setdefault(cell, []).append(edges)
            if words:
                self._words.setdefault(cell, []).append(box)
        return box

    def take_line(self, start: Spot, end: Spot) -> None:
        """Mark a line as taken."""
        for spot in _along(start, end):
            self.take(Box(spot[0] - 1, spot[1] - 1, 2, 2))

    def is_free(self, box: Box) -> bool:
        """Return whether nothing lies in a box that is wholly on the sheet."""
        bounds, x, y, right, bottom = self.bounds, box.x, box.y, box.right, box.bottom
        if x < bounds.x or y < bounds.y or right > bounds.right or bottom > bounds.bottom:
            return False
        right, bottom = right - _TOUCH, bottom - _TOUCH
        for cell in _cells(box):
            for left, top, end, foot in self._taken.get(cell, ()):  # as Box.overlaps, many thousand times a sheet
                if x < end and left < right and y < foot and top < bottom:
                    return False
        return True

    def crosses_words(self, start: Spot, end: Spot, leaving: Box) -> bool:
        """Return whether a line would run over a text, once it has left the box it begins at."""
        near = leaving.grown(1.5)
        return any(
            dot.overlaps(other)
            for x, y in _along(start, end)
            for dot in [Box(x - 1, y - 1, 2, 2)]
            if not dot.overlaps(near)
            for other in self._words.get((floor(x / _CELL), floor(y / _CELL)), ())
        )

    def first(self, boxes: Iterable[Box]) -> Box | None:
        """Return the first box that is free."""
        return next((box for box in boxes if self.is_free(box)), None)

    def near(
        self, anchor: Box, width: float, height: float, *, below: bool = False
    ) -> tuple[Box, tuple[Spot, Spot]] | None:
        """Return a free box of a size near an anchor, and the line that leads from the anchor to it."""
        for box in _about(anchor, width, height, below):
            if self.is_free(box):
                line = leader(anchor, box)
                if not self.crosses_words(*line, anchor):
                    return box, line
        return None


def leader(anchor: Box, label: Box) -> tuple[Spot, Spot]:
    """Return the shortest line from an anchor to a label that do not overlap."""
    (ax, bx), (ay, by) = (
        _nearest(anchor.x, anchor.right, label.x, label.right),
        _nearest(anchor.y, anchor.bottom, label.y, label.bottom),
    )
    return (ax, ay), (bx, by)


def _nearest(low: float, high: float, other_low: float, other_high: float) -> tuple[float, float]:
    """Return the ends of the shortest way from one span to another: the middle of what they share, else their ends."""
    start, end = max(low, other_low), min(high, other_high)
    if start <= end:
        return (start + end) / 2, (start + end) / 2
    return (high, other_low) if high < other_low else (low, other_high)


def _about(anchor: Box, width: float, height: float, below_first: bool) -> Iterator[Box]:
    """Yield boxes of a size about an anchor, the near ones first: above, below, then to the sides and askew."""
    x, y = anchor.middle
    for ring in _RINGS:
        above, below = anchor.y - ring - height, anchor.bottom + ring
        left, right = anchor.x - ring - width, anchor.right + ring
        tops = (below, above) if below_first else (above, below)
        for top in tops:
            yield Box(x - width / 2, top, width, height)
            yield Box(anchor.x, top, width, height)
            yield Box(anchor.right - width, top, width, height)
        for middle in (y, y + height / 2 + 3, y - height / 2 - 3, y + 1.5 * height, y - 1.5 * height):
            yield Box(right, middle - height / 2, width, height)
            yield Box(left, middle - height / 2, width, height)
        for top in tops:
            for side in (right, left):
                yield Box(side, top, width, height)


def _along(start: Spot, end: Spot) -> Iterator[Spot]:
    steps = max(1, ceil(hypot(end[0] - start[0], end[1] - start[1]) / _STEP))
    for i in range(steps + 1):
        yield start[0] + (end[0] - start[0]) * i / steps, start[1] + (end[1] - start[1]) * i / steps


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(floor(box.x / _CELL), floor(box.right / _CELL) + 1):
        for row in range(floor(box.y / _CELL), floor(box.bottom / _CELL) + 1):
            yield column, row
