"""The report as plain text: the verdict first, then what to act on, then what was checked, then the cautions."""

from __future__ import annotations

from packcheck.files.name_lists import list_places
from packcheck.judging.report import Report
from packcheck.judging.to_do import ToDo
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.paragraph import Choice, write_paragraph
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict

MOST_UNPROVEN = 8
"""How many unproven rules are explained one by one; beyond them the to-do list says more than reasons do."""

HOLD_AT: dict[Gate, str] = {
    Gate.FIT_BARS: "fit no bars",
    Gate.PLUG_IN: "leave the disconnect out",
    Gate.CLOSE_CONTACTORS: "leave the contactors open",
    Gate.RELEASE: "the pack stays in the workshop",
}


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
    none = f"NO RULE BROKEN{_apart(report)}"
    if report.about.kind == "layout":
        return {
            Verdict.DO_NOT_ENERGIZE: f"DO NOT BUILD this layout: a pack built so must never be energized ({at})",
            Verdict.HOLD: f"HOLD this layout {at}: settle what is below before a pack is built from it",
            Verdict.NO_RULE_BROKEN: f"{none} in the layout {at}: this says nothing of a pack built from it",
        }[judgement.verdict]
    return {
        Verdict.DO_NOT_ENERGIZE: f"DO NOT ENERGIZE {at}: {HOLD_AT[gate]}",
        Verdict.HOLD: f"HOLD {at}: {HOLD_AT[gate]}",
        Verdict.NO_RULE_BROKEN: f"{none} {at}: this is not permission to energize",
    }[judgement.verdict]


def _apart(report: Report) -> str:
    """Return which findings a verdict of no rule broken leaves apart, so that the words stay true."""
    advised = any(p.severity is Severity.ADVISE and p.outcome is Outcome.BROKEN for p in report.paragraphs)
    waived = any(p.waived and p.severity is not Severity.ADVISE for p in report.paragraphs)
    apart = [words for words, is_there in (("advice", advised), ("what is waived", waived)) if is_there]
    return f", {' and '.join(apart)} apart," if apart else ""


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
    unproven = [paragraph for paragraph in shown if paragraph.outcome is Outcome.UNPROVEN]
    folded = unproven if len(unproven) > MOST_UNPROVEN and not choice.everything else []
    for number, paragraph in enumerate((p for p in shown if p not in folded), 1):
        if choice.brief:
            places = list_places(paragraph.places, choice.most_places)
            outcome = paragraph.outcome.value.upper()
            page.item(f"{outcome}  {paragraph.title}: {places} [{paragraph.rule}]", f"{number}.", 0)
        else:
            write_paragraph(page, paragraph, number, choice)
    if folded:
        grave = sum(1 for paragraph in folded if paragraph.severity is Severity.NEVER_ENERGIZE)
        page.item(
            f"UNPROVEN  {plural(len(folded), 'rule')} cannot be told yet: nobody recorded what they need. {grave} of "
            "them forbid energizing. The list below says what to record; --all prints every rule with its reason.",
            f"{len(shown) - len(folded) + 1}.", 0,
        )  # fmt: skip


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
    on = f", for {plural(count, errand.noun)}" if count > 1 else ""
    return f"{again}{'; '.join(errand.what)}{on}: {list_places(errand.places, choice.most_places)}"


def _checked(page: Page, report: Report, choice: Choice) -> None:
    tallies = report.judgement.tallies
    page.heading("CHECKED")
    judged = sum(tally.judged for tally in tallies)
    idle = len(tallies) - report.rules_judged
    page.say(
        f"{plural(report.rules_judged, 'rule')} applied and made {plural(judged, 'check')};"
        f" {plural(idle, 'rule')} had nothing to apply to.",
        2,
    )
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
            page.item(f"{stated.what}: {len(stated.names)} ({list_places(stated.names, choice.most_places)})")
    if report.again:
        page.heading("READ AGAIN: the later reading was judged, the first one stands beside it")
        for again in report.again:
            by = f" by {again.by}" if again.by else ""
            page.item(f"{again.what}: {again.first}, then {again.later} on {again.at}{by}: {again.why}")
    if report.unjudged:
        page.heading("WRITTEN DOWN, judged by no rule: read it yourself")
        for told in report.unjudged:
            is_text = any(" " in name for name in told.names)
            for words in told.names if is_text else (list_places(told.names, choice.most_places),):
                page.item(f"{told.what}: {words}")
    if report.untold:
        page.heading("NOT RECORDED, and asked for by no finding")
        for words in report.untold:
            page.item(words)
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
