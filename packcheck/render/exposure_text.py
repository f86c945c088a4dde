"""The exposure through the work as text: a row per step, the worst bridge under it, the plan, the work as done."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.exposure.answer import Answer
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.protection import BY_CLASS
from packcheck.files.name_lists import list_places
from packcheck.judging.cautions import CAUTIONS
from packcheck.render.exposure_words import (
    FLOATING,
    INDICATIVE,
    NO_PERMISSION,
    asks_words,
    bare_words,
    bridge_words,
    merit_words,
    number,
    passing_words,
    step_number,
    work_words,
)
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.rules.findings import Finding

_TITLES = ("step", "bare", "largest section", "V rest / most", "I rest / most", "P rest / most", "class")
_WIDTHS = (6, 5, 16, 14, 16, 17, 6)


NO_WORK_TOLD = (
    "Not recorded: the record tells no work, so nobody can say what was worn, who was there, and what lay bare."
)


def render_exposure(answer: Answer, *, width: int = USUAL_WIDTH, colour: bool = False) -> str:
    """Return the exposure as text for people.

    Parameters
    ----------
    answer : what was worked out.
    width : columns of the terminal.
    colour : whether headings may be inked; the words carry the meaning without it.
    """
    page = Page(width, colour=colour)
    _head(page, answer)
    _table(page, answer)
    _plan(page, answer)
    _worked(page, answer)
    page.heading("WHICH FIGURES ARE INDICATIVE")
    for line in INDICATIVE:
        page.item(line)
    page.heading("CAUTIONS")
    for caution in CAUTIONS:
        page.item(caution)
    return page.text()


def _head(page: Page, answer: Answer) -> None:
    pack, asked = answer.pack, answer.asked
    page.banner(passing_words(answer), "hold" if answer.passing else "strong")
    page.heading(f"EXPOSURE through the work: {pack.name} revision {pack.revision}")
    page.say(NO_PERMISSION)
    way = "taken apart, backwards" if answer.is_teardown else "built up"
    modules = f"module voltages of record {answer.record.file}" if answer.record else "module voltages of the layout"
    page.say(f"{answer.shown_order}, {way}; {modules}.")
    reaches = "; ".join(reach.words for reach in answer.geometry.reaches)
    page.say(
        f"What can bridge: {reaches}; a free lead end within its length, with a tool added. A bridge adds"
        f" {number(asked.external_ohm, 'Ω')}."
    )
    page.say(_caps(answer))
    if asked.earthed:
        page.say(
            f"With {asked.earthed} joined to earth, as by a leak: every conductor of its section can be bridged to"
            " the frame."
        )
    if answer.left_out:
        page.say(f"The layout's order does not name {list_places(answer.left_out, 8)}.")


def _caps(answer: Answer) -> str:
    if not answer.asked.caps:
        return "Every cap is taken as off: all posts of an open face are bare."
    return (
        "Caps are taken as on every post whose joint has one, but at the joints in hand; --caps off shows all of them"
        " off. Ends of leads at devices and open sense connectors count as bare until every cover is on."
    )


def _table(page: Page, answer: Answer) -> None:
    page.heading("STEP BY STEP; I and P bound are those of the largest section bridged end to end")
    page.verbatim("  ".join(title.ljust(width) for title, width in zip(_TITLES, _WIDTHS, strict=True)), 2)
    for exposure in answer.exposures:
        _row(page, exposure)
    page.heading("WHAT THE CLASSES ASK FOR, AND WHAT FLOATING MEANS")
    for text in (*BY_CLASS, FLOATING):
        page.item(text)


def _row(page: Page, exposure: Exposure) -> None:
    largest, across = exposure.largest, exposure.across
    cells = [step_number(exposure.stage), str(len(exposure.bare))]
    if largest and across:
        cells += [
            plural(len(largest.modules), "module"),
            f"{largest.rest_v:.1f} / {largest.highest_v:.1f}",
            f"{number(across.current_rest_a, 'A')} / {number(across.current_a, 'A')}",
            f"{number(across.power_rest_w, 'W')} / {number(across.power_w, 'W')}",
            exposure.asks.voltage_class,
        ]
    page.gap()
    page.verbatim("  ".join(cell.ljust(width) for cell, width in zip(cells, _WIDTHS, strict=False)), 2)
    page.field(
        "work", work_words(exposure.stage) + (" (the order does not say when)" if exposure.stage.unnamed else ""), 4
    )
    page.field("bare", bare_words(exposure), 4)
    worst = exposure.worst_of_all
    page.field("worst", bridge_words(worst) if worst else _nothing(exposure), 4)
    others = [b for b in exposure.worst if b and worst and (b.a, b.b) != (worst.a, worst.b)]
    page.field("also", [bridge_words(bridge) for bridge in {(b.a, b.b, b.by): b for b in others}.values()], 4)
    if exposure.floating:
        page.field(
            "float",
            f"a bridge in reach joins two floating sections: up to {number(exposure.then_v, 'V')} across the next",
            4,
        )
    page.field("asks", asks_words(exposure), 4)


def _nothing(exposure: Exposure) -> str:
    if not exposure.bare:
        return "none within reach while caps and covers are on; the section behind them is as live as before"
    return "no two bare conductors of one section within reach of what is listed above"


def _plan(page: Page, answer: Answer) -> None:
    proposal = answer.proposal
    page.heading("PROPOSED ORDER")
    page.say(
        "Compared by the voltage class at the end of each stretch of work (to the next cover, then to the disconnect),"
        " then the fewest acts in class B, then the lowest voltages at the ends of the stretches, then the smallest sum"
        " of bare pairs times power.",
        2,
    )
    for stage in proposal.stages:
        page.item(work_words(stage, most=None), f"{stage.number}.", 4)
    page.say("`packcheck exposure FILE --format yaml` prints it to be pasted into the layout.", 4)
    page.field("merit", merit_words(proposal.merit), 2)
    page.field(
        "",
        "every order was looked at: none is better"
        if proposal.is_best
        else "put together by rule for a pack of this size; not every order was looked at",
        2,
    )
    if answer.own:
        page.field("own order", merit_words(answer.own), 2)
    bound = proposal.bound
    least = f"at least {plural(bound.acts, 'act')} in class B whatever the order: " if bound.acts else ""
    page.field("no order", f"{least}{bound.reason}", 2)
    _change(page, answer)


def _change(page: Page, answer: Answer) -> None:
    change = answer.change
    if change is None:
        page.field(
            "change",
            "none of the changes tried lowers the exposure"
            if answer.change_searched
            else "the single change that helps most was not looked for (pack too large, or a teardown)",
            2,
        )
        return
    page.field(
        "change",
        f"the single change that lowers the exposure most: {change.words}. Pairs in class B within reach,"
        f" over all steps: {change.before.class_b_pairs} become {change.after.class_b_pairs}; sum of pairs times"
        f" power: {number(change.before.power_w, 'W')} become {number(change.after.power_w, 'W')}",
        2,
    )


def _worked(page: Page, answer: Answer) -> None:
    if answer.record is None:
        return
    page.heading("THE WORK AS DONE")
    if not answer.worked:
        page.say(NO_WORK_TOLD, 2)
        return
    for row in answer.worked:
        e = row.exposure
        when = f"{row.step.at:%Y-%m-%d %H:%M}  " if row.step.at else ""
        page.item(
            f"{when}{work_words(e.stage)}: section {number(e.highest_v, 'V')} (class {e.asks.voltage_class}), bare"
            f" {plural(len(e.bare), 'conductor')}, up to {number(e.touch_v, 'V')} between two of them",
            f"{step_number(e.stage)}.",
            2,
        )
    if not answer.record.work:
        page.say(NO_WORK_TOLD, 2)
    elif not answer.findings:
        page.say("Nothing found against the work as told. This says nothing of what was not told.", 2)
    _findings(page, answer.findings)


def _findings(page: Page, findings: Sequence[Finding]) -> None:
    for number_, finding in enumerate(findings, 1):
        page.gap()
        page.item(f"{finding.outcome.value.upper()}  {finding.title}", f"{number_}.", 0)
        page.field("Place", finding.place)
        page.field("Rule", finding.rule)
        page.field("Found", finding.found)
        page.field("Needed", finding.needed)
        page.field("Why", finding.why)
        page.field("Do", finding.do)
        if finding.origin:
            page.field("Written", finding.origin.words())
