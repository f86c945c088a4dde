"""A record under way -> what the bench page shows of it, as plain data: what is wrong, what is next, what was told."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import groupby, islice
from typing import Any

from packcheck.judging.asking import Card, cards_of
from packcheck.judging.report import Paragraph, Report
from packcheck.judging.to_do import ToDo, walk
from packcheck.model.opening import Opened
from packcheck.model.record.told_cells import ToldCell
from packcheck.render.first_screen import Sorted
from packcheck.render.words import found_words, headline, spoken
from packcheck.rules.findings import GATES, Finding, Gate, Outcome, Severity

MOST_CARDS = 60
"""How many questions of a stage are sent at once; the page asks for more when these are answered."""
MOST_LAST = 12
TONES = {Severity.NEVER_ENERGIZE: "stop", Severity.FIX_BEFORE_RELEASE: "fix", Severity.ADVISE: "advice"}

Fault = tuple[str, str]
"""Rule and subject of something broken."""


def view(opened: Opened, report: Report, told: Sequence[ToldCell], stage: str = "") -> dict[str, Any]:
    """Return what the page shows.

    Parameters
    ----------
    opened, report : the record, and its judgement at the last gate.
    told : what the record tells, the last one told last.
    stage : the key of the stage that is looked at; "" takes the first at which something that weighs is lacking.
    """
    record = opened.record
    assert record is not None
    stages = _stages(report.to_do)
    chosen = stage if stage in stages else _first(stages)
    errands = sorted(stages.get(chosen, ()), key=lambda errand: (errand.again, errand.advice))
    return {
        "pack": {"name": opened.pack.name, "title": opened.pack.title, "serial": record.serial},
        "gates": [_gate(report, gate) for gate in GATES],
        "findings": [_finding(number, paragraph) for number, paragraph in _wrong(report)],
        "advice": len(Sorted.of(report).advice),
        "stages": [
            {"key": key, "title": spoken(each[0].stage), "gate": each[0].gate.value, "left": _left(each)}
            for key, each in stages.items()
        ],
        "stage": chosen,
        "cards": [card_data(card) for card in islice(cards_of(opened, errands), MOST_CARDS)],
        "parts": sorted({place for errand in errands for place in errand.places}),
        "people": dict(record.people),
        "instruments": {n: {"kind": i.kind or "", "due": i.due_text or ""} for n, i in record.instruments.items()},
        "states": list(opened.pack.states),
        "places": sorted(opened.pack.nodes),
        "last": [told_data(cell) for cell in told[: -MOST_LAST - 1 : -1]],
        "untold": list(report.untold),
    }  # fmt: skip


def faults_of(findings: Iterable[Finding]) -> frozenset[Fault]:
    """Return everything that is broken and weighs."""
    return frozenset((f.rule, f.subject) for f in findings if f.outcome is Outcome.BROKEN and _weighs(f.severity))


def fresh(findings: Iterable[Finding], before: Collection[Fault]) -> list[dict[str, Any]]:
    """Return what is broken now and was not before, in the order given: worst first."""
    return [
        {"tone": TONES[finding.severity], "headline": found_words(finding), "do": finding.do, "rule": finding.rule}
        for finding in findings
        if finding.outcome is Outcome.BROKEN and _weighs(finding.severity)
        and (finding.rule, finding.subject) not in before
    ]  # fmt: skip


def card_data(card: Card) -> dict[str, Any]:
    """Return a question as plain data."""
    return {
        "section": card.section, "subject": card.subject, "title": card.title, "instrument": card.instrument,
        "state": card.state, "fixed": dict(card.fixed), "parts": list(dict.fromkeys(filter(None, card.parts))),
        "advice": card.advice, "again": card.again, "alike": card.alike,
        "fields": [
            {"column": f.column, "kind": f.kind, "label": f.label, "units": f.units, "choices": f.choices,
             "target": f.target, "optional": f.optional}
            for f in card.fields
        ],
    }  # fmt: skip


def told_data(cell: ToldCell) -> dict[str, str]:
    """Return a cell that was told as plain data."""
    return {
        "section": cell.section, "subject": cell.subject, "column": cell.column, "value": cell.value, "at": cell.at,
        "by": cell.by, "instrument": cell.instrument, "why": cell.why,
    }  # fmt: skip


def _weighs(severity: Severity) -> bool:
    return severity is not Severity.ADVISE


def _stages(errands: Iterable[ToDo]) -> dict[str, tuple[ToDo, ...]]:
    grouped: dict[str, tuple[ToDo, ...]] = {}
    for (gate, stage), each in groupby(errands, key=lambda errand: (errand.gate, errand.stage)):
        key = f"{gate.value}: {stage}"
        grouped[key] = (*grouped.get(key, ()), *each)
    return grouped


def _first(stages: Mapping[str, Sequence[ToDo]]) -> str:
    """Return the first stage at which something is still to be told; failing that, one to be read more finely.

    What is too coarse to decide among few readings is often decided by those that follow.
    """
    new = (key for key, each in stages.items() if any(not (e.advice or e.again) for e in each))
    again = (key for key, each in stages.items() if any(not e.advice for e in each))
    return next(new, next(again, ""))


def _left(errands: Iterable[ToDo]) -> int:
    return sum(errand.count for errand in errands if not errand.advice)


def _gate(report: Report, gate: Gate) -> dict[str, Any]:
    """Return how a gate stands: what is broken by then, and what is still to be recorded for it."""
    upto = GATES.index(gate)
    weighty = [
        f for f in walk(report.judgement.findings)
        if _weighs(f.severity) and not f.waived and GATES.index(f.gate) <= upto
    ]  # fmt: skip
    broken = [f for f in weighty if f.outcome is Outcome.BROKEN]
    tone = "stop" if any(f.severity is Severity.NEVER_ENERGIZE for f in broken) else "fix" if broken else "open"
    left = _left(errand for errand in report.to_do if GATES.index(errand.gate) <= upto)
    return {"gate": gate.value, "tone": tone if weighty else "clear", "left": left}


def _wrong(report: Report) -> list[tuple[int, Paragraph]]:
    """Return what is broken or too coarse to decide, with the number that it has on a drawing."""
    weighty = Sorted.of(report).weighty
    return [(n, p) for n, p in enumerate(report.paragraphs, 1) if p in weighty and p.outcome is not Outcome.UNPROVEN]


def _finding(number: int, paragraph: Paragraph) -> dict[str, Any]:
    first = paragraph.findings[0]
    tone = TONES[paragraph.gravest] if paragraph.outcome is Outcome.BROKEN else "coarse"
    return {
        "number": number, "tone": tone, "headline": headline(paragraph), "why": paragraph.findings[0].why,
        "do": first.do, "rule": paragraph.rule, "gate": paragraph.gate.value, "places": list(paragraph.places[:12]),
    }  # fmt: skip
