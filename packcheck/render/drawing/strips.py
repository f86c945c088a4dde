"""One strip of a face with everything on it: painted in the order in which things must stay clear of each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import floor, log10

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
from packcheck.render.drawing.document import MARGIN
from packcheck.render.drawing.faces import Strip
from packcheck.render.drawing.marks import Link, Note, draw_marks
from packcheck.render.drawing.paper import Box, rect, strokes, text, wrapped
from packcheck.render.drawing.plan import Plan, Share

GUTTER = 62.0
_BOLD = 1.07


@dataclass(frozen=True, eq=False)
class Job:
    """What is to be drawn: the plan, the notes by part, what else lies over the metal of a strip, where marks lead."""

    plan: Plan
    by_part: Mapping[str, list[Note]] = field(default_factory=dict)
    over_metal: Callable[[Strip, Canvas], None] | None = None
    link: Link | None = None

    @cached_property
    def covers(self) -> Covers:
        """Return which covers lie over which places."""
        return Covers(self.plan.pack)


def draw_strip(job: Job, strip: Strip, share: Share, top: float, marked: set[str]) -> tuple[list[str], float]:
    """Return one strip that begins at a height [px], and where it ends; ``marked`` gathers the parts with a mark.

    It is painted twice: first with room to spare above and below, then with as much as its labels took.
    """
    widest = job.plan.widest
    left = MARGIN + (max(0.0, (widest - strip.span[0] * strip.scale) / 2) if strip.pieces == 1 else 0.0)
    titles = wrapped(strip_title(strip), widest / _BOLD)
    begin, above, below = top + 5 + 17 * len(titles), GUTTER, GUTTER
    for last in (False, True):
        strip = replace(strip, corner=(left, begin + above))
        area = strip.area
        canvas = Canvas(Box(4, begin, widest + 2 * MARGIN - 8, area.height + above + below))
        _paint(job, strip, share, canvas, marked if last else set(marked))
        if not last:
            above = area.y - min(canvas.room.top, area.y) + 2
            below = max(canvas.room.bottom, area.bottom) - area.bottom + 2
    y = area.bottom + below + 14
    shapes = [text((MARGIN, top + 17 * i - 3), line, "m", bold=True) for i, line in enumerate(titles, 1)]
    shapes += [*canvas.shapes, *_scale_bar(strip, y)]
    beside = 340.0 if widest > 700 else 0.0
    y += 0.0 if beside or not canvas.homeless else 18.0
    for line in without_room(canvas, widest - beside):
        shapes.append(text((MARGIN + beside, y), line, "s"))
        y += 14
    return shapes, y + 10


def _paint(job: Job, strip: Strip, share: Share, canvas: Canvas, marked: set[str]) -> None:
    """Draw what a strip has: bodies, then names, then what was found and what hangs on, each clear of the rest."""
    plan, by_part = job.plan, job.by_part
    draw_modules(plan, strip, canvas)
    draw_bars(plan, strip, share.laid, canvas)
    draw_rests(plan, strip, share.rests, canvas)
    draw_posts(plan, strip, canvas)
    draw_flow(plan, strip, share.laid, canvas)
    draw_vents(plan, strip, canvas)
    draw_covers(plan, strip, canvas, job.covers)
    if job.over_metal:
        job.over_metal(strip, canvas)
    draw_marks(canvas, by_part, marked, heavy=True, link=job.link)
    name_modules(plan.look, strip, canvas)
    name_bars(share.laid, plan.look, canvas)
    draw_tails(plan, share.tails, canvas)
    draw_taps(plan, share.taps, canvas)
    draw_probes(plan, share.probes, canvas)
    draw_marks(
        canvas,
        {name: notes for name, notes in by_part.items() if name not in marked},
        marked,
        heavy=True,
        link=job.link,
    )
    draw_marks(canvas, by_part, marked, heavy=False, link=job.link)


def strip_title(strip: Strip) -> str:
    """Return what a strip shows, in words."""
    words = [f"Face {strip.face}, seen from the {strip.seen}", strip.layer]
    if strip.pieces > 1:
        words.append(f"strip {strip.piece} of {strip.pieces}: {strip.modules[0]} to {strip.modules[-1]}")
    return ", ".join(filter(None, words))


def without_room(canvas: Canvas, width: float) -> list[str]:
    """Return the labels that found no room, in lines no wider than a width [px]."""
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
