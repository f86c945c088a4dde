"""The next stage of the work as text: what stops it, what to record at it, and what comes after."""

from __future__ import annotations

from packcheck.judging.report import Report
from packcheck.judging.to_do import ToDo
from packcheck.render.first_screen import Sorted
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.to_do import errand_words, next_stage
from packcheck.render.words import headline, number_of, spoken
from packcheck.rules.findings import GATES, Severity

CAUTION = (
    "This reads what was written down; it tests nothing. A battery is always live. It is not permission to energize."
)


def render_next(report: Report, *, width: int = USUAL_WIDTH, colour: bool = False) -> str:
    """Return the next stage of a build, for the bench: first what is wrong already, then what to record.

    Parameters
    ----------
    report : the answer at the last gate one works towards.
    width : columns of the terminal.
    colour : whether to colour what stops the work; the words carry the meaning without it.
    """
    page = Page(width, colour=colour)
    stage = next_stage(report.to_do)
    _stops(page, report)
    if not stage:
        pack, gate = number_of(report.about.pack_id), report.judgement.gate.value
        page.say(f"Pack {pack}: nothing is left to record up to gate '{gate}'.")
    else:
        _stage(page, report, stage)
    page.gap()
    page.say(CAUTION)
    return page.text()


def _stops(page: Page, report: Report) -> None:
    """Write what is wrong already and has to be put right before the work goes on."""
    wrong = Sorted.of(report).wrong
    for paragraph in wrong:
        never = paragraph.severity is Severity.NEVER_ENERGIZE
        page.banner(f"{'STOP' if never else 'PUT RIGHT'}: {headline(paragraph)}", "stop" if never else "hold")
        page.field("Do", paragraph.findings[0].do, 0)
    if wrong:
        page.gap()


def _stage(page: Page, report: Report, stage: tuple[ToDo, ...]) -> None:
    first = stage[0]
    title = spoken(first.stage) or "what is missing"
    page.banner(f"NEXT, pack {number_of(report.about.pack_id)}: {title}", "strong")
    page.say(f"To be recorded by gate '{first.gate.value}'.")
    before: tuple[str, ...] = ()
    for errand in stage:
        page.item(errand_words(errand, before), "[ ]", 2)
        before = errand.places
    later = [errand for errand in report.to_do if errand not in stage and not errand.advice]
    stages = dict.fromkeys((GATES.index(errand.gate), errand.stage) for errand in later)
    if later:
        things = sum(errand.count for errand in later)
        page.gap()
        page.say(f"After this: {plural(len(stages), 'stage')} with {plural(things, 'entry')}.")
