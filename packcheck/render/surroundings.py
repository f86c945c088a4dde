"""What stands around the findings, as headed lists of sentences: text, page and summary show the same words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from packcheck.judging.report import Report
from packcheck.render.page import plural
from packcheck.render.words import places_in_words
from packcheck.rules.findings import Outcome

_OUTCOME = {Outcome.BROKEN: "not met", Outcome.UNDECIDED: "reading too coarse", Outcome.UNPROVEN: "not recorded"}

Item = tuple[str, tuple[str, ...]]
"""A sentence of a list, and what is said beneath it."""


class Block(NamedTuple):
    """A headed list."""

    heading: str
    items: tuple[Item, ...]


def surroundings(report: Report) -> Iterator[Block]:
    """Yield whose numbers were used, what was only stated, what no rule judges, the files, and the cautions."""
    yield from waived(report)
    yield from _adopted(report)
    yield from told_of(report)
    yield files_of(report)
    yield _block("CAUTIONS", *report.cautions)


def waived(report: Report) -> Iterator[Block]:
    """Yield the rules that a shop has chosen not to be held to, each with what so does not count."""
    items: list[Item] = []
    for waiver in report.waivers:
        gone = [p for p in report.paragraphs if p.waived and p.rule == waiver.rule]
        words = [f"so this does not count: {_OUTCOME[p.outcome]} at {places_in_words(p.places)}" for p in gone]
        items.append((f"{waiver.rule}: {waiver.why} ({waiver.by}, {waiver.on})", tuple(words)))
    if items:
        yield Block("WAIVED: rules this shop has chosen not to be held to", tuple(items))


def files_of(report: Report) -> Block:
    """Return the files that went into the answer, and the version that judged."""
    files = [f"{source.role} {source.file}, SHA-256 {source.sha256}" for source in report.sources]
    return _block("FILES", *files, f"packcheck {report.version}")


def checked_words(report: Report) -> Iterator[str]:
    """Yield how much was checked, and what later gates ask for."""
    tallies, later = report.judgement.tallies, report.judgement.later
    judged = sum(tally.judged for tally in tallies)
    idle = len(tallies) - report.rules_judged
    yield (
        f"{plural(report.rules_judged, 'rule')} applied and made {plural(judged, 'check')}, of which"
        f" {report.count(Outcome.MET):,} are met; {plural(idle, 'rule')} had nothing to apply to."
    )
    asks = [f"'{gate.value}' {plural(count, 'rule')}" for gate, count in later if count]
    if later:
        yield f"Later gates ask more: {', '.join(asks)}." if asks else "Later gates ask nothing more."


def to_the_engineer(report: Report) -> str:
    """Return where an engineer reads what to do about the drawing."""
    layout = next((source.file for source in report.sources if source.role == "layout"), report.about.layout)
    return f"This is about the drawing: `packcheck check {layout}` tells the engineer what to do."


def _adopted(report: Report) -> Iterator[Block]:
    if report.adopted:
        yield _block(
            "ADOPTED: numbers this shop has put in the place of a default",
            *(f"{a.name}: {a.value} in place of {a.default}: {a.why} ({a.by}, {a.on})" for a in report.adopted),
        )
    if report.limits:
        yield _block(
            "LIMITS that are common practice only and that no shop has adopted",
            *(f"{limit.name} = {limit.value} ({', '.join(limit.rules)})" for limit in report.limits),
        )


def told_of(report: Report) -> Iterator[Block]:
    """Yield what was stated in a word, read twice, written down for nobody, or not told."""
    if report.stated:
        stated = [f"{one.what}: {len(one.names)} ({places_in_words(one.names)})" for one in report.stated]
        yield _block("STATED in a word, not recorded one by one", *stated)
    if report.again:
        heading = "READ AGAIN: the later reading was judged, the first one stands beside it"
        yield _block(heading, *(
            f"{one.what}: {one.first}, then {one.later} on {one.at}{f' by {one.by}' if one.by else ''}: {one.why}"
            for one in report.again
        ))  # fmt: skip
    if report.unjudged:
        yield _block("WRITTEN DOWN, judged by no rule: read it yourself", *(
            f"{told.what}: {words}"
            for told in report.unjudged
            for words in (told.names if any(" " in name for name in told.names) else (places_in_words(told.names),))
        ))  # fmt: skip
    if report.untold:
        yield _block("NOT RECORDED, and asked for by no finding", *report.untold)


def _block(heading: str, *sentences: str) -> Block:
    return Block(heading, tuple((sentence, ()) for sentence in sentences))
