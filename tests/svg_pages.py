"""Reading a drawing back from its SVG text alone: boxes of texts, bars, posts; shares no code with the program."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"
METALS = ("metal", "metal-bare", "metal-under", "metal-unknown")
OUTSIDE = re.compile(r"href|url\((?!#hatch\)|#open\))|<script|<image|@import|http(?!://www\.w3\.org/2000/svg)")
"""What a drawing that leans on nothing outside has not."""
HEIGHTS = {"xs": 8.5, "s": 10.0, "m": 13.0, "l": 19.0, "xl": 40.0}


@dataclass(frozen=True)
class Area:
    """A rectangle on a page [px] and what it is."""

    what: str
    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Area, by: float = 0.5) -> bool:
        """Return whether the two share more than a hair."""
        return (
            min(self.right, other.right) - max(self.left, other.left) > by
            and min(self.bottom, other.bottom) - max(self.top, other.top) > by
        )

    def holds(self, other: Area) -> bool:
        """Return whether the other one lies wholly inside."""
        return (
            self.left <= other.left + 0.2
            and self.right >= other.right - 0.2
            and self.top <= other.top + 0.2
            and self.bottom >= other.bottom - 0.2
        )

    @property
    def middle(self) -> tuple[float, float]:
        """Return its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


class Page:
    """One SVG document, read."""

    def __init__(self, document: str) -> None:
        self.root = ElementTree.fromstring(document)
        self.text = document

    def words(self) -> list[str]:
        """Return every text."""
        return [element.text or "" for element in self.root.iter(f"{SVG}text")]

    def parts(self, kind: str) -> list[Element]:
        """Return the groups of a kind."""
        return [g for g in self.root.iter(f"{SVG}g") if kind in (g.get("class") or "").split()]

    def names(self, kind: str) -> list[str]:
        """Return the names of the parts of a kind."""
        return [group.get("data-part", "") for group in self.parts(kind)]

    def named(self, kind: str, name: str) -> Element:
        """Return the one part of this kind and name."""
        (found,) = [group for group in self.parts(kind) if group.get("data-part") == name]
        return found

    def texts(self) -> list[Area]:
        """Return the room that every text takes: x-height and capitals, not the empty room beneath the line."""
        return [text_area(element) for element in self.root.iter(f"{SVG}text")]

    def rects(self, *inks: str) -> list[Area]:
        """Return the rectangles of these inks."""
        return [rect_area(r) for r in self.root.iter(f"{SVG}rect") if set((r.get("class") or "").split()) & set(inks)]

    def discs(self) -> list[Area]:
        """Return the posts."""
        return [disc_area(c) for g in self.parts("post") for c in g.iter(f"{SVG}circle")]


def text_area(element: Element) -> Area:
    """Return the room of one text, from its anchor, size and length."""
    x, y, length = (float(element.get(key, "nan")) for key in ("x", "y", "textLength"))
    (height,) = [HEIGHTS[kind] for kind in (element.get("class") or "").split() if kind in HEIGHTS]
    before = {"start": 0.0, "middle": length / 2, "end": length}[element.get("text-anchor", "start")]
    up = 0.72 * height
    what = element.text or ""
    if element.get("transform"):
        assert re.fullmatch(rf"rotate\(-90 {element.get('x')} {element.get('y')}\)", element.get("transform", ""))
        return Area(what, x - up, y - length + before, x, y + before)
    return Area(what, x - before, y - up, x - before + length, y)


def rect_area(element: Element) -> Area:
    """Return the room of one rectangle."""
    x, y, width, height = (float(element.get(key, "nan")) for key in ("x", "y", "width", "height"))
    return Area(element.get("class") or "", x, y, x + width, y + height)


def disc_area(element: Element) -> Area:
    """Return the square about one circle."""
    x, y, radius = (float(element.get(key, "nan")) for key in ("cx", "cy", "r"))
    return Area("disc", x - radius, y - radius, x + radius, y + radius)


def clashes(areas: list[Area], others: list[Area] | None = None) -> Iterator[tuple[Area, Area]]:
    """Yield the pairs of areas that overlap: of one list, or of one with another; looked for cell by cell."""
    cells: dict[tuple[int, int], tuple[list[Area], list[Area]]] = {}
    for index, several in enumerate((areas, others or [])):
        for area in several:
            for column in range(int(area.left // 60), int(area.right // 60) + 1):
                for row in range(int(area.top // 60), int(area.bottom // 60) + 1):
                    cells.setdefault((column, row), ([], []))[index].append(area)
    for mine, theirs in cells.values():
        pairs = ((a, b) for a in mine for b in theirs) if others is not None else combinations(mine, 2)
        yield from ((a, b) for a, b in pairs if a.overlaps(b))


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour ``#rrggbb`` (WCAG 2.2, definition of relative luminance)."""
    digits = colour.lstrip("#")
    digits = "".join(2 * d for d in digits) if len(digits) == 3 else digits
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, definition of contrast ratio)."""
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def scale_of(page: Page) -> float:
    """Return the scale of the first strip [px per mm], from its scale bar and the number beside it."""
    bar = page.parts("scale")[0]
    boxes = [rect_area(r) for r in bar.iter(f"{SVG}rect")]
    (words,) = [t.text or "" for t in bar.iter(f"{SVG}text")]
    return (max(b.right for b in boxes) - min(b.left for b in boxes)) / float(words.removesuffix(" mm"))
