"""The first screen: the verdict, what to do now, how many findings there are, and the worst of them, in 24 lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from packcheck.files.frozen import dataclass
from packcheck.judging.report import Paragraph, Report
from packcheck.render.page import Page, plural
from packcheck.render.to_do import first_errand
from packcheck.render.words import headline_under, number_of
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict

LINES = 24
"""Lines of the smallest terminal: what is said first fits into them."""
MOST_OF_A_HEADLINE = 3
"""Lines one headline may take on the first screen; below it stands whole."""

HOLD_AT: dict[Gate, str] = {
    Gate.FIT_BARS: "fit no bars",
    Gate.PLUG_IN: "leave the disconnect out",
    Gate.CLOSE_CONTACTORS: "leave the contactors open",
    Gate.RELEASE: "the pack stays in the workshop",
}


@dataclass(frozen=True)
class Sorted:
    """The paragraphs of a report by who has to act on them: what weighs, advice, and advice about the drawing.

    Of a layout everything is about the drawing, and stands under the first two.
    """

    weighty: tuple[Paragraph, ...]
    advice: tuple[Paragraph, ...]
    of_drawing: tuple[Paragraph, ...]

    @classmethod
    def of(cls, report: Report) -> Sorted:
        """Return the paragraphs of a report, the waived ones left out."""
        shown = [paragraph for paragraph in report.paragraphs if not paragraph.waived]
        advice = [paragraph for paragraph in shown if not paragraph.weighs]
        elsewhere = [p for p in advice if p.drawn and report.about.kind == "record"]
        return cls(
            tuple(p for p in shown if p not in advice), tuple(p for p in advice if p not in elsewhere), tuple(elsewhere)
        )

    @property
    def wrong(self) -> list[Paragraph]:
        """Return what weighs and is broken."""
        return [paragraph for paragraph in self.weighty if paragraph.outcome is Outcome.BROKEN]


def verdict_words(report: Report) -> str:
    """Return the verdict at the gate in one line."""
    judgement, gate = report.judgement, report.judgement.gate
    at = f"at gate '{gate.value}'"
    none = f"NO RULE BROKEN{_apart(report)}"
    if report.about.kind == "layout":
        return {
            Verdict.DO_NOT_ENERGIZE: f"DO NOT BUILD this layout {at}: never to be energized",
            Verdict.HOLD: f"HOLD this layout {at}: settle first what stands below",
            Verdict.NO_RULE_BROKEN: f"{none} in the layout {at}",
        }[judgement.verdict]
    return {
        Verdict.DO_NOT_ENERGIZE: f"DO NOT ENERGIZE {at}: {HOLD_AT[gate]}",
        Verdict.HOLD: f"HOLD {at}: {HOLD_AT[gate]}",
        Verdict.NO_RULE_BROKEN: f"{none} {at}: this is not permission to energize",
    }[judgement.verdict]


def write_first_screen(page: Page, report: Report, sorted_: Sorted, *, whole: bool) -> None:
    """Write what fits on the first screen; ``whole``: every headline, however many."""
    ink = {Verdict.DO_NOT_ENERGIZE: "stop", Verdict.HOLD: "hold"}.get(report.judgement.verdict, "strong")
    page.banner(verdict_words(report), ink)
    page.say(about_words(report))
    page.gap()
    page.field("Do now", do_now_words(report, sorted_), 0)
    page.field("Found", counts_words(report, sorted_), 0)
    _headlines(page, sorted_, whole=whole)


def heading_of(paragraph: Paragraph) -> str:
    """Return under which heading a paragraph stands: what it means to whoever reads it."""
    if paragraph.outcome is Outcome.UNPROVEN:
        return "NOT RECORDED"
    if paragraph.outcome is Outcome.UNDECIDED:
        return "READING TOO COARSE TO DECIDE"
    return "FORBIDS ENERGIZING" if paragraph.gravest is Severity.NEVER_ENERGIZE else "TO BE PUT RIGHT"


def about_words(report: Report) -> str:
    """Return what was judged, in a line."""
    about = report.about
    title = f" ({about.title})" if about.title else ""
    layout = f"layout {about.layout} revision {about.revision}{title}"
    return (
        f"Pack {number_of(about.pack_id)}, {layout}: {about.file}"
        if about.kind == "record"
        else f"{about.file}: {layout}"
    )


def do_now_words(report: Report, sorted_: Sorted) -> str:
    """Return the one thing to do first."""
    wrong = sorted_.wrong
    if not report.rules_judged:
        return "No rule applied to anything: nothing was checked. Find out why before anything else."
    if wrong and wrong[0].drawn and report.about.kind == "record":
        return "Take the drawing to the engineer: it has a fault itself."
    if wrong:
        return f"1: {wrong[0].findings[0].do}"
    if report.judgement.verdict is Verdict.NO_RULE_BROKEN:
        nothing = "tests nothing" if report.about.kind == "record" else "says nothing of a pack built from it"
        return f"Nothing holds this gate by these rules. This reads what was written down; it {nothing}."
    return first_errand(report) or "Settle what stands below."


def counts_words(report: Report, sorted_: Sorted) -> str:
    """Return how much was found, of which weight."""
    wrong = sorted_.wrong
    never = sum(1 for p in wrong if p.gravest is Severity.NEVER_ENERGIZE)
    coarse = sum(1 for p in sorted_.weighty if p.outcome is Outcome.UNDECIDED)
    things = sum(errand.count for errand in report.to_do if not errand.advice and not errand.again)
    words = [_faults(never, len(wrong) - never)]
    words += [f"{plural(coarse, 'reading')} too coarse to decide"] * bool(coarse)
    words += [f"{plural(things, 'thing')} not recorded"] * bool(things)
    words += [f"{len(sorted_.advice)} of advice, which weighs nothing"] * bool(sorted_.advice)
    words += [f"{plural(len(sorted_.of_drawing), 'remark')} on the drawing"] * bool(sorted_.of_drawing)
    return f"{'; '.join(words)}."


def _apart(report: Report) -> str:
    """Return which findings a verdict of no rule broken leaves apart, so that the words stay true."""
    waived = any(p.waived and p.severity is not Severity.ADVISE for p in report.paragraphs)
    return ", what is waived apart," if waived else ""


def _faults(never: int, lesser: int) -> str:
    if never + lesser == 1:
        return "1 fault, which forbids energizing" if never else "1 fault, to be put right"
    forbid = "forbids" if never == 1 else "forbid"
    parts = [f"{never} {forbid} energizing"] * bool(never) + [f"{lesser} to be put right"] * bool(lesser)
    return f"{never + lesser} faults: {', '.join(parts)}" if parts else "no fault"


def _headlines(page: Page, sorted_: Sorted, *, whole: bool) -> None:
    """Write the headlines, worst first, as many as the first screen takes."""
    rows = list(enumerate(sorted_.weighty, 1))
    for heading, group in groupby(rows, key=lambda row: heading_of(row[1])):
        told = list(group)
        if not whole and page.height + 4 > LINES:
            break
        page.heading(heading)
        for number, paragraph in told:
            left = LINES - 1 - page.height
            if not whole and left < 2:
                break
            most = None if whole else min(MOST_OF_A_HEADLINE, left)
            rule = f" [{paragraph.rule}]" if whole else ""
            page.item(headline_under(paragraph) + rule, f"{number}.", 0, most=most)
            rows = [row for row in rows if row[0] > number]
    if rows:
        page.say(f"and {_rest(rows)} below")


def _rest(rows: Sequence[tuple[int, Paragraph]]) -> str:
    return plural(len(rows), "more finding") if len(rows) > 1 else "1 more finding"
