"""Marks of what was found: a number for each paragraph of findings, told apart by shape and sign, not colour alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from packcheck.render.drawing.canvas import Canvas, corners
from packcheck.render.drawing.paper import Box, Spot, in_box, part, path, rect, words_px
from packcheck.render.escaping import quoted
from packcheck.render.page import printable

HEIGHT = 15.0


@dataclass(frozen=True)
class Kind:
    """A kind of mark: its inks, the sign behind its number, and what it says; kinds of one name have one shape."""

    name: str
    ink: str
    type_ink: str
    sign: str
    words: str

    @property
    def is_heavy(self) -> bool:
        """Return whether its marks are filled, and come first."""
        return self.name in ("stop", "fix")


STOP = Kind("stop", "mark-stop", "white", "!", "broken, never energize")
FIX = Kind("fix", "mark-fix", "white", "!", "broken")
COARSE = Kind("coarse", "mark-coarse", "open", "≈", "reading too coarse to decide")
OPEN = Kind("open", "mark-open", "open", "?", "not recorded")
ADVICE = Kind("advice", "mark-advice", "advice", "i", "advice")
KINDS: tuple[Kind, ...] = (STOP, FIX, COARSE, OPEN, ADVICE)
"""Every kind of mark, the heaviest first."""
_RANK = {kind.name: rank for rank, kind in enumerate(KINDS)}


@dataclass(frozen=True)
class Note:
    """A paragraph of findings as it stands beneath a drawing: its number, its kind, where it is marked, its words."""

    number: int
    kind: Kind
    places: tuple[str, ...]
    title: str
    words: tuple[str, ...]
    more: int = 0

    @property
    def label(self) -> str:
        """Return what the mark says: number and sign."""
        return f"{self.number}{self.kind.sign}"


Link = Callable[[str, Sequence[Note]], str]
"""Where the mark of a part leads to: its address in the page that the drawing stands in."""


def notes_by_part(notes: Iterable[Note]) -> dict[str, list[Note]]:
    """Return the notes that each part is marked with, the heaviest first."""
    found: dict[str, list[Note]] = {}
    for note in notes:
        for place in note.places:
            found.setdefault(place, []).append(note)
    for several in found.values():
        several.sort(key=lambda note: (_RANK[note.kind.name], note.number))
    return found


def draw_marks(
    canvas: Canvas, by_part: Mapping[str, Sequence[Note]], seen: set[str], *, heavy: bool, link: Link | None = None
) -> None:
    """Mark every part of a canvas that something was found at, close to where it lies; the heavy marks come first.

    ``seen`` gathers the parts that have been marked somewhere; ``link`` tells where each mark leads to.
    """
    for name, boxes in canvas.anchors.items():
        notes = by_part.get(name)
        if not notes or notes[0].kind.is_heavy != heavy:
            continue
        words = ", ".join(note.label for note in notes[:3]) + (f" +{len(notes) - 3}" if len(notes) > 3 else "")
        kind, box = notes[0].kind, canvas.anchors.get(f"{name} as found", boxes)[-1]
        width = words_px(words, bold=True) + 14
        title = f"{name}: " + "; ".join(f"{note.label} {note.title}" for note in notes)

        to = link(name, notes) if link else ""

        def draw(
            at: Box, words: str = words, kind: Kind = kind, name: str = name, title: str = title, to: str = to
        ) -> str:
            return linked(badge(at, words, kind, name, title), to, title)

        inside = corners(box, width, HEIGHT)
        found = canvas.flag(box, width, HEIGHT, inside, draw, "line" if heavy else "thin")
        if found is None and heavy:
            canvas.homeless.append(f"{words} at {name}")
        if found is not None:
            seen.add(name)


def badge(at: Box, words: str, kind: Kind, name: str, title: str) -> str:
    """Return a mark: broken is filled and eight- or six-cornered, the rest is empty; the words carry its sign."""
    shape = path(_outline(at, kind), kind.ink, closed=True) if kind.is_heavy else rect(at, kind.ink, _round(kind))
    return part("mark", name, title, [shape, in_box(at, words, "s", ink=kind.type_ink, bold=True)])


def linked(shapes: str, to: str, title: str) -> str:
    """Return shapes that lead to an address when they are chosen, as they are where there is none."""
    if not to:
        return shapes
    return f"<a href={quoted(to)} aria-label={quoted(printable(title))}>{shapes}</a>"


def badge_width(words: str) -> float:
    """Return how wide a mark is [px]."""
    return words_px(words, bold=True) + 14


def _round(kind: Kind) -> float:
    return {"open": 7.5, "coarse": 1.0}.get(kind.name, 3.0)


def _outline(at: Box, kind: Kind) -> list[Spot]:
    """Return an octagon for what must never be energized, a box with points to both sides for other breaks."""
    x, y, right, bottom = at.x, at.y, at.right, at.bottom
    cut = 4.5
    if kind.name == STOP.name:
        return [(x + cut, y), (right - cut, y), (right, y + cut), (right, bottom - cut), (right - cut, bottom),
                (x + cut, bottom), (x, bottom - cut), (x, y + cut)]  # fmt: skip
    middle = (y + bottom) / 2
    return [(x + cut, y), (right - cut, y), (right, middle), (right - cut, bottom), (x + cut, bottom), (x, middle)]
