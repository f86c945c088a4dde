"""The part of a pack that is in hand, to look at while the record is filled in: its strips, and the current path."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from packcheck.judging.report import Report
from packcheck.model.opening import Opened
from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.diagram import draw_path
from packcheck.render.drawing.document import MARGIN
from packcheck.render.drawing.ink import HATCHES, STYLE
from packcheck.render.drawing.look import as_recorded
from packcheck.render.drawing.marks import ADVICE, OPEN, draw_marks, notes_by_part
from packcheck.render.drawing.notes import notes_of
from packcheck.render.drawing.paper import Box, text
from packcheck.render.drawing.plan import Plan, Share
from packcheck.render.drawing.strips import Job, draw_strip
from packcheck.render.escaping import escape
from packcheck.render.page import printable

STYLE_SHEET = STYLE
"""The style of the drawing, which a page brings along itself."""


def draw_in_hand(
    opened: Opened, report: Report, table_of: Mapping[str, str], parts: Collection[str], width: float
) -> str:
    """Return the strips on which some parts are seen, as one SVG element without a style of its own.

    Parameters
    ----------
    opened, report : the record, and its judgement, of which only what is wrong is marked.
    table_of : the fact table that each rule judges by.
    parts : names of positions, places, conductors, taps or devices; the whole pack where none is seen on a strip.
    width : of the drawing [px].
    """
    pack = opened.pack
    assert opened.record is not None
    look = as_recorded(pack, opened.record)
    notes = [n for n in notes_of(pack, report, table_of.__getitem__, look.strays) if n.kind not in (OPEN, ADVICE)]
    plan = Plan(pack, look, width - 2 * MARGIN)
    job, marked = Job(plan, notes_by_part(notes)), set[str]()
    shapes: list[str] = []
    y = 0.0
    for number in _strips(plan, frozenset(parts)):
        drawn, y = draw_strip(job, plan.strips[number], plan.shares[number], y + 14, marked)
        shapes += drawn
    wide = plan.widest + 2 * MARGIN
    if any(part in pack.devices or pack.part_at(part) in pack.devices for part in parts):
        canvas = Canvas(Box(4, y, wide - 8, 1e9))
        canvas.write((MARGIN, y + 20), "Current path, not to scale", "m", bold=True)
        y = draw_path(pack, look, canvas, y + 30, wide - MARGIN)
        draw_marks(canvas, {n: found for n, found in job.by_part.items() if n in pack.devices}, marked, heavy=True)
        shapes += canvas.shapes
    if not shapes:
        shapes, y = [text((MARGIN, 30), "nothing of this is seen on a face", "m")], 50.0
    title = escape(printable(f"{pack.name}: what is in hand"))
    return "\n".join([
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {y + 10:.0f}" width="{wide:.0f}"'
        f' height="{y + 10:.0f}" role="img" aria-label="{title}"><defs>{HATCHES}</defs>', *shapes, "</svg>",
    ])  # fmt: skip


def _strips(plan: Plan, parts: frozenset[str]) -> list[int]:
    """Return the numbers of the strips on which the parts are seen: for each part the first, all where none is."""
    found: set[int] = set()
    left = set(parts)
    for number, (strip, share) in enumerate(zip(plan.strips, plan.shares, strict=True)):
        seen = left & _on(plan, strip.modules, strip.face, share)
        if seen:
            found.add(number)
            left -= seen
    devices = any(plan.pack.part_at(part) in plan.pack.devices for part in parts)
    return sorted(found) or ([] if devices else list(range(len(plan.strips))))


def _on(plan: Plan, modules: tuple[str, ...], face: str, share: Share) -> set[str]:
    posts = (f"{name}.{post}" for name in modules for post, p in plan.pack.module_type_at(name).posts.items()
             if p.face == face)  # fmt: skip
    laid = (*(one.name for one in share.laid), *(one.name for one in share.tails))
    return {*modules, *posts, *laid, *(name for name, _ in share.taps)}
