"""A whole drawing of a pack as one SVG document: faces, current path, connectors, findings, legend."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import floor, log10
from xml.sax.saxutils import escape

from packcheck.files.replacing import DRAWING_MARK
from packcheck.model.pack.order import Covers
from packcheck.render.drawing.bodies import (
    draw_bars,
    draw_flow,
    draw_modules,
    draw_posts,
    draw_rests,
    name_bars,
    name_modules,
)
from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.details import draw_covers, draw_probes, draw_tails, draw_taps, draw_vents
from packcheck.render.drawing.diagram import draw_connectors, draw_path
from packcheck.render.drawing.faces import WIDEST, Strip
from packcheck.render.drawing.ink import HATCHES, STYLE
from packcheck.render.drawing.legend import draw_legend
from packcheck.render.drawing.marks import ADVICE, FIX, STOP, Note, badge, badge_width, draw_marks, notes_by_part
from packcheck.render.drawing.paper import Box, rect, strokes, text, wrapped
from packcheck.render.drawing.plan import Plan, Share
from packcheck.render.page import plural, printable

MARGIN, GUTTER = 60.0, 62.0
WIDTH = WIDEST + 2 * MARGIN
"""The usual width of a sheet [px]."""
CAUTION = "A drawing tests nothing and permits nothing: a battery is always live, also under a cover."
_UNSAID = re.compile("-{2,}")


@dataclass(frozen=True)
class Heading:
    """What stands over a drawing: the pack it is of (also in the file's first comment), a title, lines beneath it."""

    subject: str
    title: str
    lines: tuple[str, ...] = ()


def draw_sheet(plan: Plan, heading: Heading, notes: Sequence[Note] = ()) -> str:
    """Return the drawing of a pack as a self-contained SVG document that ends with a line end.

    Notes
    -----
    It is deterministic, and its size grows with the number of parts: each is drawn once, a label is looked for in the
    few cells about its part.
    """
    width = plan.widest + 2 * MARGIN
    by_part, marked = notes_by_part(notes), set[str]()
    body: list[str] = []
    y = 34.0
    for size, line in (("l", heading.title), *(("m", line) for line in heading.lines)):
        for piece in wrapped(line, width - 2 * MARGIN, size):
            body.append(text((MARGIN, y), piece, size))
            y += 22
    shapes, y = draw_legend(
        MARGIN, y, width - MARGIN, is_record=plan.look.is_record, marks=bool(notes), lit=bool(plan.look.lit)
    )
    body += shapes
    over = Covers(plan.pack)
    for strip, share in zip(plan.strips, plan.shares, strict=True):
        shapes, y = draw_strip(plan, strip, share, y + 14, over, by_part, marked)
        body += shapes
    shapes, y = _rest(plan, y + 10, width, by_part, marked)
    body += shapes
    shapes, y = _list(notes, marked, y + 16, width)
    body += shapes
    for line in wrapped(CAUTION, plan.widest, "s"):
        y += 15
        body.append(text((MARGIN, y), line, "s", ink="faint"))
    return document(heading, width, y + 18, body)


def document(heading: Heading, width: float, height: float, body: Sequence[str]) -> str:
    """Return shapes as an SVG document with its title, its style and the mark that tells who wrote it."""
    subject = escape(_UNSAID.sub("-", printable(heading.subject)).strip("-"))
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}"'
        f' height="{height:.0f}" role="img" aria-labelledby="title about"><!-- {DRAWING_MARK}{subject} -->',
        f'<title id="title">{escape(printable(heading.title))}</title>',
        f'<desc id="about">{escape(printable("; ".join(heading.lines)))}</desc>',
        f"<style>{STYLE}</style><defs>{HATCHES}</defs>",
        rect(Box(0, 0, width, height), "sheet"),
        *body,
        "</svg>\n",
    ])  # fmt: skip


def draw_strip(
    plan: Plan, strip: Strip, share: Share, top: float, over: Covers, by_part: dict[str, list[Note]], marked: set[str]
) -> tuple[list[str], float]:
    """Return one strip with everything on it, and where it ends.

    It is painted twice: first with room to spare above and below, then with as much as its labels took.
    """
    spare = plan.widest - strip.span[0] * strip.scale
    left = MARGIN + (max(0.0, spare / 2) if strip.pieces == 1 else 0.0)
    titles = wrapped(strip_title(strip), plan.widest / 1.07)
    begin, above, below = top + 5 + 17 * len(titles), GUTTER, GUTTER
    for last in (False, True):
        strip = replace(strip, corner=(left, begin + above))
        area = strip.area
        bounds = Box(4, begin, plan.widest + 2 * MARGIN - 8, area.height + above + below)
        canvas = Canvas(bounds)
        _paint(plan, strip, share, canvas, over, by_part, marked if last else set(marked))
        if not last:
            above, below = (
                area.y - min(canvas.room.top, area.y) + 2,
                max(canvas.room.bottom, area.bottom) - area.bottom + 2,
            )
    y = area.bottom + below + 14
    shapes = [text((MARGIN, top + 17 * i - 3), line, "m", bold=True) for i, line in enumerate(titles, 1)]
    shapes += [*canvas.shapes, *_scale_bar(strip, y)]
    beside = 340.0 if plan.widest > 700 else 0.0
    y += 0.0 if beside or not canvas.homeless else 18.0
    for line in _without_room(canvas, plan.widest - beside):
        shapes.append(text((MARGIN + beside, y), line, "s"))
        y += 14
    return shapes, y + 10


def _paint(
    plan: Plan, strip: Strip, share: Share, canvas: Canvas, over: Covers, by_part: dict[str, list[Note]],
    marked: set[str],
) -> None:  # fmt: skip
    """Draw what a strip has: bodies, then names, then what was found and what hangs on, each clear of the rest."""
    draw_modules(plan, strip, canvas)
    draw_bars(plan, strip, share.laid, canvas)
    draw_rests(plan, strip, share.rests, canvas)
    draw_posts(plan, strip, canvas)
    draw_flow(plan, strip, share.laid, canvas)
    draw_vents(plan, strip, canvas)
    draw_covers(plan, strip, canvas, over)
    draw_marks(canvas, by_part, marked, heavy=True)
    name_modules(strip, canvas)
    name_bars(share.laid, plan.look, canvas)
    draw_tails(plan, share.tails, canvas)
    draw_taps(plan, share.taps, canvas)
    draw_probes(plan, share.probes, canvas)
    draw_marks(canvas, {name: notes for name, notes in by_part.items() if name not in marked}, marked, heavy=True)
    draw_marks(canvas, by_part, marked, heavy=False)


def strip_title(strip: Strip) -> str:
    """Return what a strip shows, in words."""
    words = [f"Face {strip.face}, seen from the {strip.seen}", strip.layer]
    if strip.pieces > 1:
        words.append(f"strip {strip.piece} of {strip.pieces}: {strip.modules[0]} to {strip.modules[-1]}")
    return ", ".join(filter(None, words))


def _without_room(canvas: Canvas, width: float) -> list[str]:
    if not canvas.homeless:
        return []
    return wrapped(f"without room on the drawing: {'; '.join(canvas.homeless)}", width, "s")


def _scale_bar(strip: Strip, y: float) -> Iterator[str]:
    """Yield a bar of a round length [mm] with both its ends marked."""
    length = round_mm(180 / strip.scale)
    end = MARGIN + length * strip.scale
    half = (MARGIN + end) / 2
    yield '<g class="scale"><title>scale bar</title>'
    yield rect(Box(MARGIN, y - 5, half - MARGIN, 5), "dot") + rect(Box(half, y - 5, end - half, 5), "ring")
    yield strokes([((MARGIN, y - 9), (MARGIN, y)), ((end, y - 9), (end, y))], "line")
    yield text((end + 8, y), f"{length:g} mm", "s") + "</g>"


def round_mm(most: float) -> float:
    """Return the largest of 1, 2, 5, 10 … that is no more than a length [mm].

    Examples
    --------
    >>> round_mm(73.4), round_mm(180), round_mm(600)
    (50, 100, 500)
    """
    power = floor(log10(most))
    unit = 10**power if power >= 0 else 10.0**power
    return max(step * unit for step in (1, 2, 5) if step * unit <= most * (1 + 1e-9))


def _rest(
    plan: Plan, top: float, width: float, by_part: dict[str, list[Note]], marked: set[str]
) -> tuple[list[str], float]:
    """Return the current path and the connectors."""
    pack, right = plan.pack, width - MARGIN
    canvas = Canvas(Box(4, top, width - 8, 1e9))
    y = _titled(canvas, "Current path, as planned, from main − to main +; not to scale", top, plan.widest)
    y = draw_path(pack, plan.look, canvas, MARGIN, y + 10, right)
    own = {name: notes for name, notes in by_part.items() if name in pack.devices or name not in marked}
    leads = {name: notes for name, notes in by_part.items() if name in pack.conductors and name in canvas.anchors}
    for heavy in (True, False):
        draw_marks(canvas, {**own, **leads}, marked, heavy=heavy)
    if any(tap.connector for tap in pack.taps.values()):
        y = _titled(canvas, "Sense connectors, pins in their order; not to scale", y + 6, plan.widest)
        y = draw_connectors(pack, canvas, MARGIN, y + 4, right)
    shapes = canvas.shapes
    for line in _without_room(canvas, plan.widest):
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
        heavy = note.kind in (STOP, FIX)
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
