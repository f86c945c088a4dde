"""The answer for programs that show findings beside the lines of files: SARIF 2.1.0 of OASIS."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from packcheck.files.origin import Origin
from packcheck.files.problems import Problem
from packcheck.judging.report import Paragraph, Report
from packcheck.render.json import dumped
from packcheck.render.words import found_words
from packcheck.rules.findings import Finding, Outcome, Severity
from packcheck.rules.rule import Rule

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
VERSION = "2.1.0"
_LEVEL = {Severity.NEVER_ENERGIZE: "error", Severity.FIX_BEFORE_RELEASE: "warning", Severity.ADVISE: "note"}
_KIND = {Outcome.BROKEN: "fail", Outcome.UNDECIDED: "review", Outcome.UNPROVEN: "open"}
"""SARIF names what was decided by kind; a level other than none goes with `fail` alone (clauses 3.27.9 and 3.27.10)."""


@dataclass(frozen=True)
class Run:
    """The results of one file with the notices about it, and the files that went into them."""

    results: tuple[dict[str, Any], ...] = ()
    notices: tuple[dict[str, Any], ...] = ()
    artifacts: tuple[dict[str, Any], ...] = ()


def render_sarif(runs: Iterable[Run], rules: Sequence[Rule], *, version: str, code: int) -> str:
    """Return the log of a whole run.

    Parameters
    ----------
    runs : one per file, from :func:`judged_run`, :func:`unread_run` or :func:`failed_run`.
    rules : the rules that were held to.
    version : the version of packcheck.
    code : the exit code of the run.
    """
    told = list(runs)
    artifacts = {entry["location"]["uri"]: entry for run in told for entry in run.artifacts}
    notices = [notice for run in told for notice in run.notices]
    driver = {"name": "packcheck", "version": version, "rules": [_descriptor(rule) for rule in rules]}
    invocation = {"executionSuccessful": code not in (4, 5), "exitCode": code, "toolExecutionNotifications": notices}
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "invocations": [invocation],
        "artifacts": list(artifacts.values()),
        "results": [result for one in told for result in one.results],
    }
    return dumped({"$schema": SCHEMA, "version": VERSION, "runs": [run]})


def judged_run(report: Report, rules: Sequence[Rule]) -> Run:
    """Return the results of a file that was judged: each finding, what follows from it beside it."""
    index = {rule.name: number for number, rule in enumerate(rules)}
    results = [
        _result(report, finding, paragraph, index) for paragraph in report.paragraphs for finding in paragraph.findings
    ]
    artifacts = [
        {"location": {"uri": _uri(source.file)}, "roles": ["analysisTarget"], "hashes": {"sha-256": source.sha256}}
        for source in report.sources
        if source.role != "rules"
    ]
    return Run(tuple(results), (), tuple(artifacts))


def unread_run(problems: Sequence[Problem]) -> Run:
    """Return what is wrong with a file that could not be read."""
    notices = []
    for problem in problems:
        told = {"Found": problem.found, "Needed": problem.needed, "Why": problem.why, "Do": problem.do}
        words = " ".join(f"{label}: {text}." for label, text in told.items() if text)
        place = {"physicalLocation": _physical(problem.origin)}
        notices.append({"level": "error", "message": {"text": words}, "locations": [place]})
    return Run(notices=tuple(notices))


def failed_run(file: str, defect: str) -> Run:
    """Return a fault of packcheck itself at a file."""
    place = {"physicalLocation": {"artifactLocation": {"uri": _uri(file)}}}
    return Run(notices=({"level": "error", "message": {"text": defect}, "locations": [place]},))


def _descriptor(rule: Rule) -> dict[str, Any]:
    help_text = f"Why: {rule.why}\n\nDo: {rule.remedy}\n\n{rule.teaching}"
    help_marked = f"**Why.** {rule.why}\n\n**Do.** {rule.remedy}\n\n{rule.teaching}"
    return {
        "id": rule.name,
        "name": "".join(word.capitalize() for word in rule.name.split("-")),
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": f"{rule.title}. {rule.why}"},
        "help": {"text": help_text, "markdown": help_marked},
        "defaultConfiguration": {"level": _LEVEL[rule.severity]},
        "properties": {"family": rule.family, "gate": rule.gate.value, "severity": rule.severity.value,
                       "tags": [rule.family, rule.gate.value]},
    }  # fmt: skip


def _result(report: Report, finding: Finding, paragraph: Paragraph, index: dict[str, int]) -> dict[str, Any]:
    broken = finding.outcome is Outcome.BROKEN
    words = f"{found_words(finding)}. Needed: {finding.needed}. {'Do: ' if broken else ''}{finding.do}"
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index[finding.rule],
        "kind": _KIND[finding.outcome],
        "level": _LEVEL[paragraph.gravest if broken else finding.severity] if broken else "none",
        "message": {"text": words},
        "locations": [_location(report, finding)],
        "partialFingerprints": {"ruleAndPlace/v1": _fingerprint(report, finding)},
        "properties": {
            "pack": report.about.pack_id,
            "layout": report.about.layout,
            "gate": finding.gate.value,
            "severity": finding.severity.value,
            "outcome": finding.outcome.value,
            "aboutTheDrawing": finding.drawn,
        },
    }
    if finding.consequences:
        result["relatedLocations"] = [_follower(report, one) for one in finding.consequences]
    if finding.waived:
        result["suppressions"] = [{"kind": "external", "status": "accepted", "justification": finding.waived}]
    return result


def _location(report: Report, finding: Finding) -> dict[str, Any]:
    origin = finding.origin if finding.origin and finding.origin.file else Origin(report.about.file)
    logical = {"name": finding.subject, "fullyQualifiedName": f"{report.about.layout}/{finding.subject}",
               "kind": "object"}  # fmt: skip
    return {"physicalLocation": _physical(origin), "logicalLocations": [logical]}


def _follower(report: Report, finding: Finding) -> dict[str, Any]:
    return {**_location(report, finding), "message": {"text": f"{found_words(finding)} ({finding.rule})"}}


def _physical(origin: Origin) -> dict[str, Any]:
    place: dict[str, Any] = {"artifactLocation": {"uri": _uri(origin.file)}}
    if origin.line and not origin.cell:
        place["region"] = {"startLine": origin.line, **({"startColumn": origin.column} if origin.column else {})}
    elif origin.within:
        place["region"] = {"message": {"text": origin.within}, "startLine": max(1, origin.line)}
    return place


def _uri(file: str) -> str:
    """Return a file's name as an address; a relative one stays so."""
    path = PurePath(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())


def _fingerprint(report: Report, finding: Finding) -> str:
    """Return what stays the same when lines move or numbers change: rule, place, layout and pack."""
    parts = (report.about.layout, report.about.pack_id, finding.rule, finding.subject)
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:32]
