"""The report as plain text: the verdict first, then what to act on, then what was checked, then the cautions."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from packcheck.judging.report import Paragraph, Report
from packcheck.render.first_screen import Sorted, heading_of, verdict_words, write_first_screen
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.paragraph import Choice, write_paragraph
from packcheck.render.surroundings import Block, checked_words, surroundings, to_the_engineer, waived
from packcheck.render.to_do import errands_of, how_many, write_to_do
from packcheck.render.words import headline
from packcheck.rules.findings import Outcome, Severity

__all__ = ["render_terminal", "verdict_words"]

MOST_UNPROVEN = 8
"""How many rules for which nothing is recorded are explained one by one; beyond them the to-do list says more."""
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
    if (report.diagnosis or report.unsought) and not choice.brief:
        from packcheck.render.diagnosis_text import write_paragraph_of

        write_paragraph_of(page, report.diagnosis or report.unsought, report.about.file)
    _to_do(page, report, choice)
    _advice(page, report, sorted_, choice)
    if choice.brief:
        for block in waived(report):
            _write(page, block)
        page.heading("CAUTIONS")
        page.say(SHORT_CAUTION)
        return page.text()
    _checked(page, report, choice)
    for block in surroundings(report):
        _write(page, block)
    return page.text()


def _write(page: Page, block: Block) -> None:
    page.heading(block.heading)
    for item, further in block.items:
        page.item(item)
        for words in further:
            page.say(words, 6)


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
                page.item(f"{headline(paragraph)}. {to_the_engineer(report)}", f"{number}.", 0)
            else:
                write_paragraph(page, paragraph, f"{number}.", choice)
    if folded:
        page.heading("NOT RECORDED")
        grave = sum(1 for paragraph in folded if paragraph.severity is Severity.NEVER_ENERGIZE)
        page.say(
            f"{plural(len(folded), 'rule')} cannot be told yet: nobody recorded what they need. {grave} of them can "
            "forbid energizing. The list below says what to record; --all prints every rule with its reason."
        )


def _to_do(page: Page, report: Report, choice: Choice) -> None:
    if errands := errands_of(report):
        page.heading(f"TO DO, {how_many(errands)}")
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
        page.say(f"{count} for the engineer, of no weight in the verdict. {to_the_engineer(report)}")


def _checked(page: Page, report: Report, choice: Choice) -> None:
    page.heading("CHECKED")
    for words in checked_words(report):
        page.say(words, 2)
    if choice.everything:
        _tally_table(page, report)


def _tally_table(page: Page, report: Report) -> None:
    """Write how every rule came out, in columns that the page holds."""
    page.say("How often each rule is met, is not, has too coarse a reading, has none, does not apply:", 2)
    for t in report.judgement.tallies:
        counts = f"{t.met:4} {t.broken:4} {t.undecided:4} {t.unproven:4} {t.not_applicable:4}"
        page.item(t.rule, counts)
