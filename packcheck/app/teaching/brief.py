"""The brief of a lesson as one page to print: what is asked, the drawing, the words for causes and measurements."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.lessons.costs import ABOVE_60_V, BUDGET, COSTS, LIVE
from packcheck.lessons.measurements import MEASUREMENTS
from packcheck.model.pack.model import Pack
from packcheck.render.drawing.document import MARGIN
from packcheck.render.drawing.look import Look
from packcheck.render.drawing.marks import Note
from packcheck.render.drawing.plan import Plan
from packcheck.render.html.closed_page import page_of_sections
from packcheck.render.html.drawing import NARROW, WIDE, figures
from packcheck.render.html.element import Markup, element
from packcheck.render.page import plural
from packcheck.simulate.asked.question import KINDS
from packcheck.simulate.faults.fault import FAMILIES
from packcheck.simulate.faults.library import FAULTS

CAUTIONS = (
    "A battery is always live: below 60 V it still burns, above 60 V DC it can kill. This is an exercise on paper.",
    "It checks records and permits nothing. The maker's instructions and the law where you work prevail.",
)
ASKED = (
    "Each case is the record of one build of this pack. Some have nothing wrong; some have one fault, few have two. "
    "Every record has corrected slips, counts made twice and lent tools: that is usual and means nothing.",
    "For each case fill in its answer sheet: what is wrong, where, the number that shows it, what it is easily taken "
    "for and is not, what it weighs, whether the pack may go on, the measurement to take next, and how sure you are.",
    "Twenty points a case: four each for finding, locating, explaining, weighing and the next measurement. An answer "
    "that would energize what must never be gets eight at most. A list longer than the faults is worth its share. Sure "
    "and right gains up to two points, sure and wrong loses two.",
    "The tool's own answer is looked at only after yours is in. A fault that you find and its rules miss is reported.",
)

ASKING = (
    f"While at work on a case you may ask the trainer to have something measured. Up to {BUDGET} points can be spent on"
    " a case; they are taken off its marks. You get what an instrument shows or what eyes see, never what it means."
)
MORE = f"{ABOVE_60_V.points} more where {ABOVE_60_V.why}; {LIVE.points} more where {LIVE.why}."


def render_brief(pack: Pack, cases: Sequence[str], *, version: str) -> str:
    """Return the brief of a lesson on a layout."""
    return page_of_sections(f"Brief: {pack.name}", [*sections_of(pack, cases), _asking()], version=version)


def sections_of(pack: Pack, cases: Sequence[str]) -> list[Markup]:
    """Return the sections of a brief: what is asked, the drawing, the words, the cautions."""
    wide, narrow = (list(figures(Plan(pack, Look(), room - 2 * MARGIN), (), _nowhere)) for room in (WIDE, NARROW))
    return [
        element("section", element("h2", "What is asked", id="asked"), [element("p", text) for text in ASKED],
                element("p", "Cases: ", ", ".join(cases))),
        element("section", element("h2", "The pack as drawn", id="drawing"),
                element("p", f"{pack.name}, {len(pack.positions)} modules. {pack.title}"),
                element("div", wide, class_="drawing wide"), element("div", narrow, class_="drawing narrow")),
        element("section", element("h2", "Causes", id="causes"), [_family(name) for name in FAMILIES]),
        element("section", element("h2", "Measurements", id="measurements"),
                element("ul", [element("li", element("b", name), f": {what}") for name, what in MEASUREMENTS.items()])),
        element("section", element("h2", "Always", id="always"), element("ul", [element("li", c) for c in CAUTIONS])),
    ]  # fmt: skip


def _asking() -> Markup:
    """Return what a trainee may ask while at work on a case, and what it costs."""
    rows = [
        element("li", element("b", word), f": {KINDS[word].says}. {plural(cost.points, 'point')}: {cost.why}.")
        for word, cost in COSTS.items()
    ]
    return element("section", element("h2", "One more measurement", id="asking"), element("p", ASKING),
                   element("ul", rows), element("p", MORE))  # fmt: skip


def _nowhere(_part: str, _notes: Sequence[Note]) -> str:
    """Return where a mark of the drawing leads; a brief has none."""
    return ""


def _family(name: str) -> Markup:
    those = [fault for fault in FAULTS if fault.family == name]
    rows = [element("li", element("b", fault.name), f": {fault.title}") for fault in those]
    return element("details", element("summary", f"{name[0].upper()}{name[1:]}"), element("ul", rows), open=True)
