"""The drawing of a layout, or of a build as judged: what stands over it, what is marked, what is in hand."""

from __future__ import annotations

from collections.abc import Mapping

from packcheck.files.name_lists import list_places
from packcheck.judging.report import Report
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage
from packcheck.model.record.model import Record
from packcheck.render.drawing.document import MARGIN, WIDTH, Heading
from packcheck.render.drawing.look import Look, as_recorded
from packcheck.render.drawing.notes import notes_of
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.sheet import draw_sheet
from packcheck.render.page import plural
from packcheck.render.terminal import verdict_words


def draw_report(
    pack: Pack,
    record: Record | None,
    report: Report,
    table_of: Mapping[str, str],
    stage: Stage | None = None,
    *,
    asked: bool = False,
    width: float = WIDTH,
) -> str:
    """Return a layout, or a record as it was judged, as one SVG document.

    Parameters
    ----------
    pack, record : what is drawn; without a record, the layout as planned.
    report : the judgement of it, whose findings are marked.
    table_of : the fact table that each rule judges by.
    stage : the step whose parts are highlighted.
    asked : whether somebody chose that step; else it is the first that is not recorded as done.
    width : width of the sheet [px]; on a narrow one the faces are cut into more strips.
    """
    lit = frozenset(stage.items) if stage else frozenset()
    look = as_recorded(pack, record, lit) if record else Look(lit=lit)
    notes = notes_of(pack, report, table_of.__getitem__, look.strays)
    plan = Plan(pack, look, width - 2 * MARGIN)
    return draw_sheet(plan, _heading(pack, record, report, stage, asked), notes)


def _heading(pack: Pack, record: Record | None, report: Report, stage: Stage | None, asked: bool) -> Heading:
    serial = record.serial if record else ""
    of = f"{pack.name} revision {pack.revision}" + (f": {pack.title}" if pack.title else "")
    lines = [f"as recorded, layout {of}" if record else of, verdict_words(report)]
    if stage:
        why = "the first that is not recorded as done: " if record and not asked else ""
        lines.append(f"highlighted: step {stage.number}, {why}{list_places(stage.items, 12)}")
    title = f"Pack {serial or 'without a serial number'}" if record else f"Layout {pack.name}"
    counted = [plural(len(pack.positions), "module"), plural(len(pack.conductors), "conductor")]
    return Heading(f"{pack.name} {serial}".strip(), f"{title}, {' and '.join(counted)}", tuple(lines))
