"""Paper and pen: boxes, the width of words, and the few SVG shapes every drawing is made of.

Lengths are pixels, right and down.  Every text carries the length it was measured to (``textLength``), so that it takes
the same room in any type face that a screen or a printer puts in place of ours.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from packcheck.render.escaping import escape, quoted
from packcheck.render.page import printable, unbroken

Spot = tuple[float, float]
SIZES = {"xs": 8.5, "s": 10.0, "m": 13.0, "l": 19.0, "xl": 40.0}
"""Heights of type [px]."""
_WIDTHS = (
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, *(556,) * 10, 278, 278, 584, 584,
    584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611,
    722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
)  # fmt: skip
"""Widths of the printable ASCII characters of the usual sans serif type, in thousandths of its height; from memory."""
_OTHERS = {"−": 584, "·": 278, "→": 1000, "…": 1000, "µ": 576, "Ω": 768, "±": 549, "≈": 549, "²": 333, "°": 400}
_BOLD = 1.07


@dataclass(frozen=True)
class Box:
    """A rectangle on paper [px]."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Return where it ends to the right [px]."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Return where it ends below [px]."""
        return self.y + self.height

    @property
    def middle(self) -> Spot:
        """Return its middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    def grown(self, by: float) -> Box:
        """Return the same box, larger on every side."""
        return Box(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def overlaps(self, other: Box) -> bool:
        """Return whether the two have more than an edge in common."""
        return (
            self.x < other.right - 1e-6
            and other.x < self.right - 1e-6
            and self.y < other.bottom - 1e-6
            and other.y < self.bottom - 1e-6
        )


def around(spot: Spot, radius: float) -> Box:
    """Return the square about a spot."""
    return Box(spot[0] - radius, spot[1] - radius, 2 * radius, 2 * radius)


def hull(boxes: Iterable[Box]) -> Box:
    """Return the smallest box around all of some boxes, of which there is one at least."""
    several = list(boxes)
    x, y = min(b.x for b in several), min(b.y for b in several)
    return Box(x, y, max(b.right for b in several) - x, max(b.bottom for b in several) - y)


@lru_cache(maxsize=4096)
def words_px(words: str, size: str = "s", *, bold: bool = False) -> float:
    """Return how wide a text is [px].

    Examples
    --------
    Three figures of 556 thousandths at 10 px.

    >>> round(words_px("417"), 2)
    16.68
    """
    total = sum(_character(character) for character in printable(words))
    return total / 1000 * SIZES[size] * (_BOLD if bold or size in ("l", "xl") else 1.0)


def _character(character: str) -> int:
    code = ord(character)
    if 32 <= code < 127:
        return _WIDTHS[code - 32]
    if character in _OTHERS:
        return _OTHERS[character]
    if unicodedata.combining(character):
        return 0
    return 1000 if unicodedata.east_asian_width(character) in "WF" or code > 0xFFFF else 640


def wrapped(words: str, width: float, size: str = "m") -> list[str]:
    """Return a text in lines no wider than a width [px]; a word that is wider is broken."""
    lines, line = [], ""
    for word in unbroken(printable(words)).split(" "):
        tried = f"{line} {word}" if line else word
        if words_px(tried, size) <= width:
            line = tried
            continue
        if line:
            lines.append(line)
        while words_px(word, size) > width and len(word) > 1:
            cut = max(1, int(len(word) * width / words_px(word, size)))
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return [piece.replace("\u00a0", " ") for piece in (*lines, line)]


def shortened(words: str, width: float, size: str = "s") -> str:
    """Return a text that is no wider than a width [px], its end cut off where it must be."""
    if words_px(words, size) <= width:
        return words
    kept = words
    while kept and words_px(kept + "…", size) > width:
        kept = kept[:-1]
    return kept + "…"


def text(
    spot: Spot, words: str, size: str = "s", *, anchor: str = "start", ink: str = "", bold: bool = False, turn: int = 0
) -> str:
    """Return a text whose base line begins (or has its middle, or ends) at a spot; ``turn`` in degrees."""
    x, y = spot
    kinds = " ".join(filter(None, (size, ink, "bold" if bold else "")))
    place = "" if anchor == "start" else f' text-anchor="{anchor}"'
    turned = f' transform="rotate({turn} {x:.1f} {y:.1f})"' if turn else ""
    length = words_px(words, size, bold=bold)
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" class="{kinds}"{place}{turned} textLength="{length:.1f}"'
        f' lengthAdjust="spacingAndGlyphs">{escape(printable(words))}</text>'
    )


def text_box(spot: Spot, words: str, size: str, anchor: str = "start", *, bold: bool = False) -> Box:
    """Return the room a text takes."""
    x, y = spot
    width, height = words_px(words, size, bold=bold), SIZES[size]
    before = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return Box(x - before, y - 0.76 * height, width, height)


def in_box(box: Box, words: str, size: str = "s", *, ink: str = "", bold: bool = False, turn: int = 0) -> str:
    """Return a text in the middle of a box."""
    x, y = box.middle
    drop = 0.26 * SIZES[size] + 0.1 * SIZES[size]
    spot = (x + drop, y) if turn else (x, y + drop)
    return text(spot, words, size, anchor="middle", ink=ink, bold=bold, turn=turn)


def rect(box: Box, ink: str, round_px: float = 0.0) -> str:
    """Return a rectangle."""
    rounding = f' rx="{round_px:g}"' if round_px else ""
    return (
        f'<rect x="{box.x:.1f}" y="{box.y:.1f}" width="{max(box.width, 1.0):.1f}"'
        f' height="{max(box.height, 1.0):.1f}"{rounding} class="{ink}"/>'
    )


def circle(spot: Spot, radius: float, ink: str) -> str:
    """Return a circle."""
    return f'<circle cx="{spot[0]:.1f}" cy="{spot[1]:.1f}" r="{radius:.1f}" class="{ink}"/>'


def path(spots: Iterable[Spot], ink: str, *, closed: bool = False) -> str:
    """Return straight lines from spot to spot."""
    way = "L".join(f"{x:.1f} {y:.1f}" for x, y in spots)
    return f'<path d="M{way}{"Z" if closed else ""}" class="{ink}"/>'


def strokes(lines: Iterable[tuple[Spot, Spot]], ink: str) -> str:
    """Return several lines that do not hang together."""
    ways = "".join(f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" for a, b in lines)
    return f'<path d="{ways}" class="{ink}"/>'


def part(kind: str, name: str, title: str, shapes: Iterable[str]) -> str:
    """Return the shapes of one part as a group that a screen reader can name."""
    return (
        f"<g class={quoted(kind)} data-part={quoted(printable(name))}>"
        f"<title>{escape(printable(title))}</title>{''.join(shapes)}</g>"
    )
