"""The report as plain text: the verdict first, then what to act on, then what was checked, then the cautions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from packcheck.findings import Finding, Gate, Outcome, Severity, Verdict
from packcheck.places import list_places
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.report import Paragraph, Report
from packcheck.to_do import ToDo

MOST_FOUND = 6
"""How many differing findings of one rule are written out before the rest is counted."""

MOST_PLACES = 12
"""How many names or ranges a list of places shows before the rest is counted."""

MOST_UNPROVEN = 8
"""How many unproven rules are explained in full; beyond them the to-do list says more than reasons do."""

HOLD_AT: dict[Gate, str] = {
    Gate.FIT_BARS: "fit no bars",
    Gate.PLUG_IN: "leave the disconnect out",
    Gate.CLOSE_CONTACTORS: "leave the contactors open",
    Gate.RELEASE: "the pack stays in the workshop",
}
_SEVERITY = {
    Severity.NEVER_ENERGIZE: "forbids energizing",
    Severity.FIX_BEFORE_RELEASE: "to be put right before release",
    Severity.ADVISE: "advice",
}


@dataclass(frozen=True)
class Choice:
    """How much to print: ``brief`` one line per finding, ``everything`` no list cut short and every rule counted."""

    brief: bool = False
    everything: bool = False

    @property
    def most_places(self) -> int | None:
        """Return how many entries a list of places may have."""
        return None if self.everything else MOST_PLACES


def render_terminal(
    report: Report, *, width: int = USUAL_WIDTH, colour: bool = False, choice: Choice | None = None
) -> str:
    """Return the report as text for people.

    Parameters
    ----------
    report : the answer.
    width : columns of the terminal; less than 60 is taken as 60.
    colour : whether to colour the verdict; the words carry the meaning without it.
    choice : how much to print.
    """
    choice = choice or Choice()
    page = Page(width, colour=colour)
    _verdict(page, report)
    _findings(page, report, choice)
    _to_do(page, report, choice)
    _checked(page, report, choice)
    _surroundings(page, report, choice)
    page.heading("CAUTIONS")
    for caution in report.cautions:
        page.item(caution)
    return page.text()


def verdict_words(report: Report) -> str:
    """Return the verdict at the gate in one line."""
    judgement, gate = report.judgement, report.judgement.gate
    at = f"at gate '{gate.value}'"
    if report.about.kind == "layout":
        return {
            Verdict.DO_NOT_ENERGIZE: f"DO NOT BUILD this layout: a pack built so must never be energized ({at})",
            Verdict.HOLD: f"HOLD this layout {at}: settle what is below before a pack is built from it",
            Verdict.NO_RULE_BROKEN: f"NO RULE BROKEN in the layout {at}: this says nothing of a pack built from it",
        }[judgement.verdict]
    return {
        Verdict.DO_NOT_ENERGIZE: f"DO NOT ENERGIZE {at}: {HOLD_AT[gate]}",
        Verdict.HOLD: f"HOLD {at}: {HOLD_AT[gate]}",
        Verdict.NO_RULE_BROKEN: f"NO RULE BROKEN {at}: this is not permission to energize",
    }[judgement.verdict]


def _verdict(page: Page, report: Report) -> None:
    ink = {Verdict.DO_NOT_ENERGIZE: "stop", Verdict.HOLD: "hold"}.get(report.judgement.verdict, "strong")
    page.banner(verdict_words(report), ink)
    about = report.about
    pack = f"pack {about.pack_id}, " if about.pack_id else ""
    record = f"record of {pack}" if about.kind == "record" else ""
    title = f" ({about.title})" if about.title else ""
    page.say(f"{about.file}: {record}layout {about.layout} revision {about.revision}{title}")
    page.say(_counts(report))
    page.say("This reads what was written down; it tests nothing. The cautions at the end belong to every answer.")


def _counts(report: Report) -> str:
    if not report.rules_judged:
        return "No rule applied to anything: nothing was checked."
    counts = ", ".join(
        f"{report.count(outcome)} {outcome.value}"
        for outcome in (Outcome.BROKEN, Outcome.UNDECIDED, Outcome.UNPROVEN, Outcome.MET)
    )
    advice = sum(1 for p in report.paragraphs if p.severity is Severity.ADVISE and not p.waived)
    tail = f" Advice, without weight in the verdict: {plural(advice, 'rule')}." if advice else ""
    return f"{plural(report.rules_judged, 'rule')} applied: {counts}.{tail}"


def _findings(page: Page, report: Report, choice: Choice) -> None:
    shown = [paragraph for paragraph in report.paragraphs if not paragraph.waived]
    if not shown:
        return
    page.heading("FINDINGS, worst first")
    unproven = sum(1 for paragraph in shown if paragraph.outcome is Outcome.UNPROVEN)
    short = unproven > MOST_UNPROVEN and not choice.everything
    if short and not choice.brief:
        page.say(f"{unproven} rules are unproven: for those, --all prints what is needed and why.")
    for number, paragraph in enumerate(shown, 1):
        if choice.brief:
            places = list_places(paragraph.places, choice.most_places)
            outcome = paragraph.outcome.value.upper()
            page.item(f"{outcome}  {paragraph.title}: {places} [{paragraph.rule}]", f"{number}.", 0)
        else:
            _paragraph(page, paragraph, number, choice, short and paragraph.outcome is Outcome.UNPROVEN)


def _paragraph(page: Page, paragraph: Paragraph, number: int, choice: Choice, short: bool) -> None:
    page.gap()
    page.item(f"{paragraph.outcome.value.upper()}  {paragraph.title}", f"{number}.", 0)
    page.field("Place", _place(paragraph, choice))
    page.field("Found", _found(paragraph, choice))
    if not short:
        page.field("Needed", _differing([finding.needed for finding in paragraph.findings], choice))
        page.field("Why", _differing([finding.why for finding in paragraph.findings], choice))
        page.field("Do", _do(paragraph, choice))
    page.field("Follows", list(_consequences(paragraph, choice)))
    page.field("Rule", f"{paragraph.rule}: {_SEVERITY[paragraph.severity]}, by gate '{paragraph.gate.value}'")
    page.field("Written", _written(paragraph))


def _place(paragraph: Paragraph, choice: Choice) -> str:
    if len(paragraph.findings) == 1:
        return paragraph.findings[0].place or paragraph.findings[0].subject
    places = list_places(paragraph.places, choice.most_places)
    return f"{plural(len(paragraph.findings), paragraph.noun)}: {places}"


def _found(paragraph: Paragraph, choice: Choice) -> list[str]:
    findings = paragraph.findings
    if len(findings) == 1:
        return [findings[0].found]
    if paragraph.outcome is Outcome.UNPROVEN and all(finding.data for finding in findings):
        asked = dict.fromkeys(datum.what for finding in findings for datum in finding.data)
        return [f"not recorded: {'; '.join(asked)}"]
    if len({finding.found for finding in findings}) == 1:
        return [findings[0].found]
    most = len(findings) if choice.everything else MOST_FOUND
    lines = [_named(finding) for finding in findings[:most]]
    rest = len(findings) - most
    return [*lines, f"and {rest} more (--all lists them)"] if rest > 0 else lines


def _named(finding: Finding) -> str:
    return finding.found if finding.subject in finding.found else f"{finding.subject}: {finding.found}"


def _differing(texts: list[str], choice: Choice) -> list[str]:
    unique = list(dict.fromkeys(texts))
    most = len(unique) if choice.everything else MOST_FOUND
    rest = len(unique) - most
    return [*unique[:most], f"and {rest} more (--all lists them)"] if rest > 0 else unique


def _do(paragraph: Paragraph, choice: Choice) -> list[str]:
    if len(paragraph.findings) > 1 and paragraph.outcome is not Outcome.BROKEN:
        again = "Read it again, with something better," if paragraph.outcome is Outcome.UNDECIDED else "Record it"
        return [f"{again} where the to-do list says."]
    return _differing([finding.do for finding in paragraph.findings], choice)


def _consequences(paragraph: Paragraph, choice: Choice) -> Iterator[str]:
    """Yield what is broken in consequence, then in one line what cannot be told while the cause stands."""
    grouped: dict[tuple[str, bool], list[Finding]] = {}
    for finding in paragraph.consequences:
        grouped.setdefault((finding.rule, finding.outcome is Outcome.BROKEN), []).append(finding)
    untold = []
    for (rule, broken), findings in grouped.items():
        if not broken:
            untold.append(f"{rule} ({len(findings)})")
        elif len(findings) == 1:
            yield f"{_named(findings[0])} ({rule})"
        else:
            places = list_places((finding.subject for finding in findings), choice.most_places)
            yield f"broken at {len(findings)} places: {places} ({rule})"
    if untold:
        yield f"cannot be told yet, with the number of places: {', '.join(untold)}"


def _written(paragraph: Paragraph) -> str:
    source = paragraph.findings[0].source
    return f"{source[0]} line {source[1]}" if source and len(paragraph.findings) == 1 else ""


def _to_do(page: Page, report: Report, choice: Choice) -> None:
    if not report.to_do:
        return
    things = sum(errand.count for errand in report.to_do)
    page.heading(f"TO DO, in working order: {plural(things, 'thing')} to record")
    trip = ("", "")
    for errand in report.to_do:
        face = f", face {errand.face}" if errand.face else ""
        now = (errand.gate.value, f"{errand.instrument or 'eyes'}{face}")
        if now[0] != trip[0]:
            page.say(f"By gate '{now[0]}'", 2)
        if now != trip:
            page.say(now[1], 4)
        trip = now
        page.item(_errand(errand, choice), "[ ]", 6)


def _errand(errand: ToDo, choice: Choice) -> str:
    again = "read again, with something better: " if errand.again else ""
    count = len(errand.places)
    of = f" of {plural(count, errand.noun)}" if count > 1 else ""
    return f"{again}{'; '.join(errand.what)}{of}: {list_places(errand.places, choice.most_places)}"


def _checked(page: Page, report: Report, choice: Choice) -> None:
    tallies = report.judgement.tallies
    page.heading("CHECKED")
    judged = sum(tally.judged for tally in tallies)
    idle = len(tallies) - report.rules_judged
    page.say(f"{plural(report.rules_judged, 'rule')} applied and made {plural(judged, 'check')};"
             f" {plural(idle, 'rule')} had nothing to apply to.", 2)
    asks = [f"'{gate.value}' {plural(count, 'rule')}" for gate, count in report.judgement.later if count]
    if report.judgement.later:
        page.say(f"Later gates ask more: {', '.join(asks)}." if asks else "Later gates ask nothing more.", 2)
    if choice.everything:
        _tally_table(page, report)


def _tally_table(page: Page, report: Report) -> None:
    widest = max((len(tally.rule) for tally in report.judgement.tallies), default=0)
    page.verbatim(f"{'rule':<{widest}}  met  broken  undecided  unproven  not applicable", 2)
    for t in report.judgement.tallies:
        counts = f"{t.met:4}  {t.broken:6}  {t.undecided:9}  {t.unproven:8}  {t.not_applicable:14}"
        page.verbatim(f"{t.rule:<{widest}} {counts}", 2)


def _surroundings(page: Page, report: Report, choice: Choice) -> None:
    _waived(page, report, choice)
    if report.limits:
        page.heading("LIMITS that are common practice only and that no shop has adopted")
        for limit in report.limits:
            page.item(f"{limit.name} = {limit.value} ({', '.join(limit.rules)})")
    if report.stated:
        page.heading("STATED in a word, not recorded one by one")
        for stated in report.stated:
            page.item(f"{stated.what}: {len(stated.names)} ({list_places(stated.names, choice.most_places)})")
    page.heading("FILES")
    for source in report.sources:
        page.item(f"{source.role} {source.file}, SHA-256 {source.sha256}")
    page.item(f"packcheck {report.version}")


def _waived(page: Page, report: Report, choice: Choice) -> None:
    if not report.waivers:
        return
    page.heading("WAIVED: rules this shop has chosen not to be held to")
    for waiver in report.waivers:
        page.item(f"{waiver.rule}: {waiver.why} ({waiver.by}, {waiver.on})")
        for paragraph in report.paragraphs:
            if paragraph.waived and paragraph.rule == waiver.rule:
                places = list_places(paragraph.places, choice.most_places)
                page.say(f"so this does not count: {paragraph.outcome.value} at {places}", 6)
