"""The report as plain text: the verdict first, then what to act on, then what was checked, then the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from packcheck.judging.report import Paragraph, Report
from packcheck.render.diagnosis_text import write_paragraph_of
from packcheck.render.first_screen import Sorted, heading_of, verdict_words, write_first_screen
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.paragraph import Choice, write_paragraph
from packcheck.render.to_do import write_to_do
from packcheck.render.words import headline, places_in_words
from packcheck.rules.findings import Outcome, Severity

__all__ = ["render_terminal", "verdict_words"]

MOST_UNPROVEN = 8
"""How many rules for which nothing is recorded are explained one by one; beyond them the to-do list says more."""
_OUTCOME = {Outcome.BROKEN: "not met", Outcome.UNDECIDED: "reading too coarse", Outcome.UNPROVEN: "not recorded"}
SHORT_CAUTION = (
    "This reads what was written down; it tests nothing and permits nothing. A battery is always live. Above 60 V DC:"
    " in twos, gloves for the pack's highest voltage. Smell, heat, hiss, swelling: stop. Without --brief: all of it."
)


def render_terminal(
    report: Report, *, width: int = USUAL_WIDTH, colour: bool = False, choice: Choice | None = None
) -> str:
    """Return the report as text for people.

    Parameters
    ----------
    report : the answer.
    width : columns of the terminal; less than 40 is taken as 40.
    colour : whether to colour the verdict; the words carry the meaning without it.
    choice : how much to print.
    """
    choice = choice or Choice()
    page = Page(width, colour=colour)
    sorted_ = Sorted.of(report)
    write_first_screen(page, report, sorted_, whole=choice.brief)
    if not choice.brief:
        _in_detail(page, sorted_.weighty, report, choice)
    if report.diagnosis and not choice.brief:
        write_paragraph_of(page, report.diagnosis, report.about.file)
    _to_do(page, report, choice)
    _advice(page, report, sorted_, choice)
    if choice.brief:
        _waived(page, report)
        page.heading("CAUTIONS")
        page.say(SHORT_CAUTION)
        return page.text()
    _checked(page, report, choice)
    _surroundings(page, report)
    page.heading("CAUTIONS")
    for caution in report.cautions:
        page.item(caution)
    return page.text()


def _in_detail(page: Page, weighty: Sequence[Paragraph], report: Report, choice: Choice) -> None:
    if not weighty:
        return
    unproven = [paragraph for paragraph in weighty if paragraph.outcome is Outcome.UNPROVEN]
    folded = unproven if len(unproven) > MOST_UNPROVEN and not choice.everything else []
    page.heading("IN DETAIL, worst first")
    numbered = [row for row in enumerate(weighty, 1) if row[1] not in folded]
    for heading, group in groupby(numbered, key=lambda row: heading_of(row[1])):
        page.heading(heading)
        for number, paragraph in group:
            if paragraph.drawn and report.about.kind == "record":
                page.gap()
                page.item(f"{headline(paragraph)}. {_to_the_engineer(report)}", f"{number}.", 0)
            else:
                write_paragraph(page, paragraph, f"{number}.", choice)
    if folded:
        page.heading("NOT RECORDED")
        grave = sum(1 for paragraph in folded if paragraph.severity is Severity.NEVER_ENERGIZE)
        page.say(
            f"{plural(len(folded), 'rule')} cannot be told yet: nobody recorded what they need. {grave} of them can "
            "forbid energizing. The list below says what to record; --all prints every rule with its reason."
        )


def _to_the_engineer(report: Report) -> str:
    layout = next((source.file for source in report.sources if source.role == "layout"), report.about.layout)
    return f"This is about the drawing: `packcheck check {layout}` tells the engineer what to do."


def _to_do(page: Page, report: Report, choice: Choice) -> None:
    errands = [errand for errand in report.to_do if not errand.advice]
    if not errands:
        return
    things = sum(errand.count for errand in errands)
    page.heading(f"TO DO, in the order of the work: {plural(things, 'entry')} in {plural(len(errands), 'line')}")
    write_to_do(page, errands, everything=choice.everything)


def _advice(page: Page, report: Report, sorted_: Sorted, choice: Choice) -> None:
    """Write what weighs nothing in the verdict: advice, and in one line how much of it is about the drawing."""
    if sorted_.advice:
        page.heading("ADVICE, without weight in the verdict")
        for paragraph in sorted_.advice:
            if choice.brief:
                page.item(headline(paragraph))
            else:
                write_paragraph(page, paragraph, "-", choice)
    if sorted_.of_drawing:
        page.heading("THE DRAWING")
        count = plural(len(sorted_.of_drawing), "remark")
        page.say(f"{count} for the engineer, of no weight in the verdict. {_to_the_engineer(report)}")


def _checked(page: Page, report: Report, choice: Choice) -> None:
    tallies = report.judgement.tallies
    page.heading("CHECKED")
    judged = sum(tally.judged for tally in tallies)
    idle = len(tallies) - report.rules_judged
    page.say(
        f"{plural(report.rules_judged, 'rule')} applied and made {plural(judged, 'check')}, of which"
        f" {report.count(Outcome.MET)} are met; {plural(idle, 'rule')} had nothing to apply to.",
        2,
    )
    asks = [f"'{gate.value}' {plural(count, 'rule')}" for gate, count in report.judgement.later if count]
    if report.judgement.later:
        page.say(f"Later gates ask more: {', '.join(asks)}." if asks else "Later gates ask nothing more.", 2)
    if choice.everything:
        _tally_table(page, report)


def _tally_table(page: Page, report: Report) -> None:
    """Write how every rule came out, in columns that the page holds."""
    page.say("How often each rule is met, is not, has too coarse a reading, has none, does not apply:", 2)
    for t in report.judgement.tallies:
        counts = f"{t.met:4} {t.broken:4} {t.undecided:4} {t.unproven:4} {t.not_applicable:4}"
        page.item(t.rule, counts)


def _surroundings(page: Page, report: Report) -> None:
    _waived(page, report)
    if report.adopted:
        page.heading("ADOPTED: numbers this shop has put in the place of a default")
        for one in report.adopted:
            page.item(f"{one.name}: {one.value} in place of {one.default}: {one.why} ({one.by}, {one.on})")
    if report.limits:
        page.heading("LIMITS that are common practice only and that no shop has adopted")
        for limit in report.limits:
            page.item(f"{limit.name} = {limit.value} ({', '.join(limit.rules)})")
    if report.stated:
        page.heading("STATED in a word, not recorded one by one")
        for stated in report.stated:
            page.item(f"{stated.what}: {len(stated.names)} ({places_in_words(stated.names)})")
    if report.again:
        page.heading("READ AGAIN: the later reading was judged, the first one stands beside it")
        for again in report.again:
            by = f" by {again.by}" if again.by else ""
            page.item(f"{again.what}: {again.first}, then {again.later} on {again.at}{by}: {again.why}")
    if report.unjudged:
        page.heading("WRITTEN DOWN, judged by no rule: read it yourself")
        for told in report.unjudged:
            is_text = any(" " in name for name in told.names)
            for words in told.names if is_text else (places_in_words(told.names),):
                page.item(f"{told.what}: {words}")
    if report.untold:
        page.heading("NOT RECORDED, and asked for by no finding")
        for words in report.untold:
            page.item(words)
    page.heading("FILES")
    for source in report.sources:
        page.item(f"{source.role} {source.file}, SHA-256 {source.sha256}")
    page.item(f"packcheck {report.version}")


def _waived(page: Page, report: Report) -> None:
    if not report.waivers:
        return
    page.heading("WAIVED: rules this shop has chosen not to be held to")
    for waiver in report.waivers:
        page.item(f"{waiver.rule}: {waiver.why} ({waiver.by}, {waiver.on})")
        for paragraph in report.paragraphs:
            if paragraph.waived and paragraph.rule == waiver.rule:
                outcome = _OUTCOME[paragraph.outcome]
                page.say(f"so this does not count: {outcome} at {places_in_words(paragraph.places)}", 6)
