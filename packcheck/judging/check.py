"""The road from a file, or its bytes, to an answer.  Read ``judge_opened`` first: its lines are the architecture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.frozen import dataclass
from packcheck.files.memory import collection_held_off
from packcheck.judging.adopting import adopted_by
from packcheck.judging.judge import judge
from packcheck.judging.provenance import compose_report
from packcheck.judging.report import Report
from packcheck.model.opening import Opened, Text, open_bytes, open_file
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Facts
from packcheck.rules.findings import Gate, Judgement, Outcome
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

READING_RULES = frozenset({
    "reading-disagrees", "reading-floating", "reading-slip", "reading-apart-from-modules", "sum-disagrees",
    "total-unlike-halves", "module-facing-contradicted", "disconnect-not-shown-open", "contactor-not-shown-open",
})  # fmt: skip
"""Rules by whose break readings do not fit what is recorded."""
MOST_EXPLAINED = 60
"""Modules of the largest pack that is diagnosed along with a check; `packcheck diagnose` takes any."""
MOST_READ = 200
"""Readings of the fullest record that is."""
MOST_STRAYS = 40
"""Conductors beyond the layout's of a record that is; every pair of them would be a case of its own."""


@dataclass(frozen=True)
class Judged:
    """One file as judged: what it held, its facts, the rules and the profile it was held to, and the answer."""

    opened: Opened
    facts: Facts
    rules: tuple[Rule, ...]
    profile: Profile | None
    report: Report


def check_file(
    path: Path,
    *,
    rules: Sequence[Rule],
    gate: Gate = Gate.PLUG_IN,
    profile: Profile | None = None,
    layout: Path | None = None,
) -> Report:
    """Judge one file: a layout, or the record of one build together with the layout it names.

    Parameters
    ----------
    path : the file.
    rules : the rules to hold it to.
    gate : the gate to judge at; rules of earlier gates count too.
    profile : limits and waivers that a shop has adopted.
    layout : the layout of a record, where it is not the one that the record names.

    Raises
    ------
    InputProblems : the file, or the layout it names, cannot be read as what it claims to be.
    OwnFault : packcheck broke one of its own promises.
    """
    with collection_held_off():  # until all but the answer is let go: none of that is worth a search
        return judge_file(path, rules=rules, gate=gate, profile=profile, layout=layout).report


def judge_file(
    path: Path, *, rules: Sequence[Rule], gate: Gate, profile: Profile | None = None, layout: Path | None = None
) -> Judged:
    """Judge one file as ``check_file`` does, and keep what was judged beside the answer."""
    with collection_held_off():
        return judge_opened(open_file(path, layout), rules, gate, profile)  # text -> document -> pack and record


def check(
    content: bytes,
    name: str,
    *,
    rules: Sequence[Rule],
    gate: Gate = Gate.PLUG_IN,
    profile: Profile | None = None,
    layout: Text | None = None,
) -> Report:
    """Judge bytes that somebody sent: a layout, or a record with the bytes of its layout.  No file is looked at.

    Parameters
    ----------
    content : the bytes; the hash in the answer is theirs.
    name : what they are called in messages.
    rules, gate, profile : as for ``check_file``.
    layout : the layout of a record.

    Raises
    ------
    InputProblems, OwnFault : as ``check_file``.
    """
    with collection_held_off():
        return check_opened(open_bytes(content, name, layout), rules, gate, profile)


def check_opened(opened: Opened, rules: Sequence[Rule], gate: Gate, profile: Profile | None) -> Report:
    """Judge a file that has been read: what ``check_file`` does from there on."""
    return judge_opened(opened, rules, gate, profile).report


def judge_opened(opened: Opened, rules: Sequence[Rule], gate: Gate, profile: Profile | None) -> Judged:
    """Judge a file that has been read, and keep what was judged beside the answer."""
    with collection_held_off():
        facts = build_facts(opened.pack, opened.record, adopted_by(profile))  # -> network -> solution -> facts
        layout_only = opened.record is None
        judgement = judge(rules, facts, table_by_name(), gate=gate, profile=profile, layout_only=layout_only)
        report = compose_report(judgement, opened, rules, profile)
        return Judged(opened, facts, tuple(rules), profile, _explained(report, opened, judgement))


def _explained(report: Report, opened: Opened, judgement: Judgement) -> Report:
    """Return a report with what could explain readings that a rule found not to fit, or why that was not sought."""
    broken = {finding.rule for finding in judgement.findings if finding.outcome is Outcome.BROKEN}
    if opened.record is None or not broken & READING_RULES:
        return report
    if unsought := _beyond_check(opened.record):
        return replace(report, unsought=unsought)
    from packcheck.diagnosis.answer import diagnose

    found = diagnose(opened.record)
    return replace(report, diagnosis=found) if found.misfits else report


def _beyond_check(record: Record) -> str:
    """Return what a record has more of than is diagnosed along with a check, in words; "" where nothing is."""
    sizes = (
        (len(record.pack.positions), MOST_EXPLAINED, "modules"),
        (len(record.readings), MOST_READ, "readings"),
        (len(record.conductors.keys() - record.pack.conductors.keys()), MOST_STRAYS, "conductors beyond the layout"),
    )
    return ", ".join(f"{count:,} {what} (at most {most})" for count, most, what in sizes if count > most)
