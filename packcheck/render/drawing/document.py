"""The frame of every drawing: the SVG document with its title and style, what stands over the drawing, the foot."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.files.whole_file import DRAWING_MARK
from packcheck.render.drawing.faces import WIDEST
from packcheck.render.drawing.ink import HATCHES, STYLE
from packcheck.render.drawing.paper import Box, rect, text, wrapped
from packcheck.render.escaping import escape
from packcheck.render.page import printable

MARGIN = 60.0
WIDTH = WIDEST + 2 * MARGIN
"""The usual width of a sheet [px]."""
CAUTION = "A drawing tests nothing and permits nothing: a battery is always live, also under a cover."
_UNSAID = re.compile("-{2,}")
_BADGE = 62.0


@dataclass(frozen=True)
class Heading:
    """What stands over a drawing: the pack it is of (also in the file's first comment), a title, lines beneath it.

    ``badge`` is a word in a box at the right, the voltage class of a step, drawn twice as heavy where ``heavy``.
    """

    subject: str
    title: str
    lines: tuple[str, ...] = ()
    badge: str = ""
    heavy: bool = False


def document(heading: Heading, width: float, height: float, body: Sequence[str], paper_mm: str = "") -> str:
    """Return shapes as an SVG document with its title, its style and the mark that tells who wrote it.

    ``paper_mm`` is the size [mm] of the sheet it is printed on, as ``148 210``; without one it is as large as it is.
    """
    size = [f"{side}mm" for side in paper_mm.split()] or [f"{width:.0f}", f"{height:.0f}"]
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{size[0]}"'
        f' height="{size[1]}" role="img" aria-labelledby="title about"><!-- {DRAWING_MARK}{subject_of(heading)} -->',
        f'<title id="title">{escape(printable(heading.title))}</title>',
        f'<desc id="about">{escape(printable("; ".join(heading.lines)))}</desc>',
        f"<style>{STYLE}</style><defs>{HATCHES}</defs>",
        rect(Box(0, 0, width, height), "sheet"),
        *body,
        "</svg>\n",
    ])  # fmt: skip


def subject_of(heading: Heading) -> str:
    """Return the pack that a drawing is of, as its first comment names it."""
    return escape(_UNSAID.sub("-", printable(heading.subject)).strip("-"))


def draw_heading(heading: Heading, width: float, margin: float = MARGIN) -> tuple[list[str], float]:
    """Return title, lines and badge over a sheet of a width [px], and where they end."""
    shapes, y = [], 34.0
    room = width - 2 * margin - (_BADGE + 24 if heading.badge else 0)
    for size, line in (("l", heading.title), *(("m", line) for line in heading.lines)):
        for piece in wrapped(line, room, size):
            shapes.append(text((margin, y), piece, size))
            y += 22
    if heading.badge:
        shapes += _badge(heading, Box(width - margin - _BADGE, 26, _BADGE, _BADGE))
        y = max(y, 26 + _BADGE + 22)
    return shapes, y


def _badge(heading: Heading, box: Box) -> list[str]:
    size = "xl" if len(heading.badge) == 1 else "m"
    x, y = box.middle
    shapes = [text((x, box.y - 9), "class", "s", anchor="middle"), rect(box, "tag", 4)]
    if heading.heavy:
        shapes.append(rect(box.grown(5), "line", 8))
    return [*shapes, text((x, y + (14 if size == "xl" else 5)), heading.badge, size, anchor="middle")]


def draw_foot(words: str, width: float, y: float, margin: float = MARGIN) -> tuple[list[str], float]:
    """Return the last lines of a sheet, and where they end [px]."""
    shapes = []
    for line in wrapped(words, width - 2 * margin, "s"):
        y += 15
        shapes.append(text((margin, y), line, "s", ink="faint"))
    return shapes, y + 18
