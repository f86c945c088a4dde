"""A whole drawing of a pack as one SVG document: faces, current path, connectors, findings, legend."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.diagram import draw_connectors, draw_path
from packcheck.render.drawing.document import CAUTION, MARGIN, Heading, document, draw_foot, draw_heading
from packcheck.render.drawing.legend import draw_legend
from packcheck.render.drawing.marks import (
    ADVICE,
    KINDS,
    Kind,
    Link,
    Note,
    badge,
    badge_width,
    draw_marks,
    notes_by_part,
)
from packcheck.render.drawing.paper import Box, text, wrapped
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.strips import Job, draw_strip, strip_title, without_room
from packcheck.render.page import plural


class Piece(NamedTuple):
    """A part of a drawing that is not cut: its shapes, and between which heights [px] they lie."""

    title: str
    shapes: list[str]
    top: float
    bottom: float


def draw_sheet(plan: Plan, heading: Heading, notes: Sequence[Note] = ()) -> str:
    """Return the drawing of a pack as a self-contained SVG document that ends with a line end.

    Notes
    -----
    It is deterministic, and its size grows with the number of parts: each is drawn once, a label is looked for in the
    few cells about its part.
    """
    width, marked = plan.widest + 2 * MARGIN, set[str]()
    body, y = draw_heading(heading, width)
    for piece in draw_pieces(plan, notes, y, marked):
        body += piece.shapes
        y = piece.bottom
    shapes, y = _list(notes, marked, y + 16, width)
    foot, y = draw_foot(CAUTION, width, y)
    return document(heading, width, y, [*body, *shapes, *foot])


def draw_pieces(
    plan: Plan,
    notes: Sequence[Note],
    top: float,
    marked: set[str],
    link: Link | None = None,
    kinds: Sequence[Kind] = KINDS,
) -> Iterator[Piece]:
    """Yield legend, strips and current path of a drawing, one beneath the other.

    Parameters
    ----------
    plan, notes : what is drawn, and what is marked on it.
    top : where the first piece begins [px].
    marked : gathers the parts that have a mark.
    link : where a mark leads to, for a page that has the findings beside the drawing.
    kinds : the kinds of marks that the notes have, for the legend.
    """
    width = plan.widest + 2 * MARGIN
    job = Job(plan, notes_by_part(notes), link=link)
    shapes, y = draw_legend(plan.look, top, width - MARGIN, kinds=kinds if notes else ())
    yield Piece("legend", shapes, top, y)
    for strip, share in zip(plan.strips, plan.shares, strict=True):
        shapes, end = draw_strip(job, strip, share, y + 14, marked)
        yield Piece(strip_title(strip), shapes, y, end)
        y = end
    shapes, end = _rest(job, y + 10, width, marked)
    yield Piece("current path and sense connectors", shapes, y, end)


def _rest(job: Job, top: float, width: float, marked: set[str]) -> tuple[list[str], float]:
    """Return the current path and the connectors."""
    plan, by_part = job.plan, job.by_part
    pack, right = plan.pack, width - MARGIN
    canvas = Canvas(Box(4, top, width - 8, 1e9))
    y = _titled(canvas, "Current path, as planned, from main − to main +; not to scale", top, plan.widest)
    y = draw_path(pack, plan.look, canvas, y + 10, right)
    own = {name: notes for name, notes in by_part.items() if name in pack.devices or name not in marked}
    leads = {name: notes for name, notes in by_part.items() if name in pack.conductors and name in canvas.anchors}
    for heavy in (True, False):
        draw_marks(canvas, {**own, **leads}, marked, heavy=heavy, link=job.link)
    if any(tap.connector for tap in pack.taps.values()):
        y = _titled(canvas, "Sense connectors, pins in their order; not to scale", y + 6, plan.widest)
        y = draw_connectors(pack, plan.look, canvas, y + 4, right)
    shapes = canvas.shapes
    for line in without_room(canvas, plan.widest):
        y += 14
        shapes.append(text((MARGIN, y), line, "s"))
    return shapes, y


def _titled(canvas: Canvas, words: str, y: float, width: float) -> float:
    for line in wrapped(words, width / 1.07):
        y += 17
        canvas.write((MARGIN, y), line, "m", bold=True)
    return y


def _list(notes: Sequence[Note], marked: set[str], top: float, width: float) -> tuple[list[str], float]:
    """Return the findings in words, each behind the mark that it has on the drawing."""
    if not notes:
        return [], top
    shapes, y = [text((MARGIN, top + 14), "What was found, worst first", "m", bold=True)], top + 36
    for note in notes:
        wide = badge_width(note.label)
        shapes.append(badge(Box(MARGIN, y - 11.5, wide, 15), note.label, note.kind, f"note {note.number}", note.title))
        left = MARGIN + 54
        heavy = note.kind.is_heavy
        here = note.kind is ADVICE or any(place in marked for place in note.places)
        lines = wrapped(f"{note.kind.words}: {note.title}" + ("" if here else "; not marked on the drawing"),
                        (width - MARGIN - left) / 1.07)  # fmt: skip
        for line in lines:
            shapes.append(text((left, y), line, "m", bold=heavy))
            y += 17
        said = [*note.words, *([f"and {plural(note.more, 'place')} more"] if note.more and heavy else [])]
        for line in (piece for words in said for piece in wrapped(words, width - MARGIN - left)):
            shapes.append(text((left, y), line, "m"))
            y += 17
        y += 5
    return shapes, y
