"""A release sheet as plain text: what was judged, what stands open beside the verdict, and where two people sign."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.judging.provenance import FROM_ELSEWHERE
from packcheck.judging.releasing import SIGNATORIES, Release
from packcheck.judging.report import Report, Source
from packcheck.judging.sealed_sheet import head_lines, seal_line, source_lines
from packcheck.render.first_screen import verdict_words
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.words import headline, number_of, places_in_words
from packcheck.rules.findings import Outcome

_READING = (
    "This is plain text; nothing but it is needed to read it. NO RULE BROKEN means: of the rules that are named or"
    " counted below, none was broken, left open or unproven by what stands in the record, up to the gate at which the"
    " pack leaves the workshop. It tells nothing of what no rule asks. Everything that was left out, let go or taken on"
    " common practice is listed. A SHA-256 is a check number of a file's bytes: any tool that works one out tells"
    " whether a file is still the same. That of the rules is worked out over those of the rule files, in the order of"
    " their names, written one behind the other; of each rule file it is that of its text."
)
_SIGNING = (
    "By signing, each says: I have read this sheet to its end; the record says what was done and read; what stands open"
    " above is known to me and may stay open. The seal covers all text above it, and not the lines below."
)


def render_release(release: Release, *, made: str, sources: Sequence[Source]) -> str:
    """Return the text of a sheet down to its seal, without it.

    Parameters
    ----------
    release : what it holds.
    made : when, as YYYY-MM-DD hh:mm.
    sources : the files with the names that the sheet gives them.
    """
    report = release.report
    page = Page(USUAL_WIDTH)
    for line in head_lines(number_of(report.about.pack_id), made, report.version):
        page.verbatim(line)
    title = f" ({report.about.title})" if report.about.title else ""
    page.say(f"layout {report.about.layout} revision {report.about.revision}{title}")
    page.heading("VERDICT")
    page.say(f"{verdict_words(report)}.", 2)
    judged = sum(tally.judged for tally in report.judgement.tallies)
    page.say(f"{plural(report.rules_judged, 'rule')} applied and made {plural(judged, 'check')}.", 2)
    page.heading("HOW TO READ THIS SHEET")
    page.say(_READING, 2)
    page.heading("FILES that went into the verdict")
    for line in source_lines(sources):
        page.verbatim(line)
    _open(page, release)
    _let_go(page, release)
    _around(page, release)
    page.heading("CAUTIONS")
    for caution in report.cautions:
        page.item(caution)
    return page.text() + "\n"


def render_signing(body: str, release: Release, signatories: Sequence[str]) -> str:
    """Return the seal of a sheet's text, and the lines to sign under it."""
    page = Page(USUAL_WIDTH)
    page.verbatim(seal_line(body))
    page.gap()
    page.say(_SIGNING)
    role_of = dict(release.people)
    for index in range(SIGNATORIES):
        who = signatories[index] if index < len(signatories) else ""
        named = f"{who}{f', {role_of[who]}' if role_of.get(who) else ''}" if who else "_" * 44
        page.gap()
        page.verbatim(f"{index + 1}.  Name       {named}")
        page.gap()
        page.verbatim(f"    Signature  {'_' * 44}")
        page.gap()
        page.verbatim(f"    Date       {'_' * 44}")
    return page.text()


def _open(page: Page, release: Release) -> None:
    """Write what the verdict does not cover."""
    report = release.report
    advice = [p for p in report.paragraphs if not p.waived]
    page.heading("ADVICE that stays open, without weight in the verdict")
    for paragraph in advice:
        page.item(f"{headline(paragraph)} [{paragraph.rule}]")
    _none(page, advice)
    page.heading("NOT RECORDED, whether or not a rule asks for it")
    for stated in release.unrecorded:
        page.item(f"{stated.what}, {len(stated.names)}: {places_in_words(stated.names)}")
    for words in report.untold:
        page.item(words)
    _none(page, (*release.unrecorded, *report.untold))
    page.heading("NOT STATED by the layout")
    for words in release.unstated:
        page.item(words)
    _none(page, release.unstated)


def _let_go(page: Page, release: Release) -> None:
    """Write what a shop has decided, and the limits nobody has."""
    report = release.report
    page.heading("WAIVED: rules this shop has chosen not to be held to")
    for waiver in report.waivers:
        page.item(f"{waiver.rule}: {waiver.why} ({waiver.by}, {waiver.on})")
        for paragraph in report.paragraphs:
            if paragraph.waived and paragraph.rule == waiver.rule:
                words = "not met" if paragraph.outcome is Outcome.BROKEN else "cannot be told"
                page.say(f"let go by it: {words}: {headline(paragraph)}", 6)
    _none(page, report.waivers)
    page.heading("ADOPTED: numbers this shop has put in the place of a default")
    for one in report.adopted:
        page.item(f"{one.name}: {one.value} in place of {one.default}: {one.why} ({one.by}, {one.on})")
    _none(page, report.adopted)
    page.heading("DEFAULT LIMITS: common practice only, and adopted by no shop")
    for limit in release.limits:
        page.item(f"{limit.value}: {limit.why} ({limit.name} of {', '.join(limit.rules)})")
    _none(page, release.limits)


def _around(page: Page, release: Release) -> None:
    report = release.report
    page.heading("STATED in a word, not recorded one by one")
    stated = [one for one in report.stated if one.what != FROM_ELSEWHERE]
    for one in stated:
        page.item(f"{one.what}: {len(one.names)} ({places_in_words(one.names)})")
    _none(page, stated)
    page.heading("READ AGAIN: the later reading was judged")
    for again in report.again:
        by = f" by {again.by}" if again.by else ""
        page.item(f"{again.what}: {again.first}, then {again.later} on {again.at}{by}: {again.why}")
    _none(page, report.again)
    page.heading("WRITTEN DOWN, judged by no rule")
    for told in report.unjudged:
        is_text = any(" " in name for name in told.names)
        for words in told.names if is_text else (places_in_words(told.names),):
            page.item(f"{told.what}: {words}")
    _none(page, report.unjudged)
    _rules(page, report, release)


def _rules(page: Page, report: Report, release: Release) -> None:
    page.heading("RULES THAT APPLIED, and how many times each was met")
    met = [f"{t.rule} {t.met} of {t.judged}" for t in report.judgement.tallies if t.judged]
    page.say("; ".join(met), 2)
    page.heading("RULES THAT HAD NOTHING TO APPLY TO: nobody looked at what they ask")
    for rule, title in release.idle:
        page.item(f"{title} [{rule}]")
    _none(page, release.idle)


def _none(page: Page, things: Sequence[object]) -> None:
    if not things:
        page.say("none", 2)
