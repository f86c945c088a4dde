"""The answer for programs: one JSON document for all files of a run, its shape in ``schemas/report.json``."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from typing import Any

from packcheck.files.origin import Origin
from packcheck.files.problems import Problem
from packcheck.judging.report import Report, exit_code
from packcheck.judging.to_do import ToDo
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import Finding, Tally

_CONTROLS = re.compile("[\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
SHAPE = 1
"""The version of the shape; it grows when a key changes its meaning or goes away."""


def render_json(files: Iterable[dict[str, Any]], *, version: str, code: int) -> str:
    """Return the document of a whole run.

    Parameters
    ----------
    files : one entry per file, from :func:`judged_file`, :func:`unread_file` or :func:`failed_file`.
    version : the version of packcheck.
    code : the exit code of the run.
    """
    document = {"packcheck report": SHAPE, "packcheck": version, "exit code": code, "files": list(files)}
    return dumped(document)


def render_json_line(file: dict[str, Any], *, version: str, code: int) -> str:
    """Return the document of one file of a run on one line, of the same shape as that of a whole run."""
    document = {"packcheck report": SHAPE, "packcheck": version, "exit code": code, "files": [file]}
    return dumped(document, indent=None)


def dumped(document: Any, indent: int | None = 2) -> str:
    """Return data as JSON that can be printed: what could steer a terminal, and half a sign, is escaped."""
    text = json.dumps(document, ensure_ascii=False, indent=indent, allow_nan=False)
    return _CONTROLS.sub(lambda match: f"\\u{ord(match[0]):04x}", text) + "\n"


def judged_file(report: Report) -> dict[str, Any]:
    """Return the entry of a file that was judged."""
    about, judgement = report.about, report.judgement
    return {
        "file": about.file,
        "kind": about.kind,
        "layout": {"name": about.layout, "title": about.title, "revision": about.revision},
        "pack": about.pack_id,
        "gate": judgement.gate.value,
        "verdict": judgement.verdict.value,
        "exit code": exit_code(judgement),
        "findings": [_finding(finding) for finding in judgement.findings],
        "what could explain the readings": _explained(report),
        "to do": [_errand(errand) for errand in report.to_do],
        "checked": [_tally(tally) for tally in judgement.tallies],
        "later gates": [{"gate": gate.value, "rules": count} for gate, count in judgement.later],
        "waivers": [{"rule": w.rule, "by": w.by, "on": w.on, "why": w.why} for w in report.waivers],
        "adopted": [
            {"name": a.name, "default": a.default, "value": a.value, "by": a.by, "on": a.on, "why": a.why}
            for a in report.adopted
        ],
        "limits not adopted": [
            {"name": limit.name, "value": limit.value, "rules": list(limit.rules), "basis": limit.basis}
            for limit in report.limits
        ],
        "stated": [{"what": stated.what, "names": list(stated.names)} for stated in report.stated],
        "read again": [
            {"what": a.what, "first": a.first, "later": a.later, "at": a.at, "by": a.by, "why": a.why}
            for a in report.again
        ],
        "not recorded": list(report.untold),
        "judged by no rule": [{"what": told.what, "names": list(told.names)} for told in report.unjudged],
        "sources": [{"role": s.role, "file": s.file, "sha256": s.sha256} for s in report.sources],
        "cautions": list(report.cautions),
    }


def _explained(report: Report) -> dict[str, Any] | None:
    found = report.diagnosis
    if report.unsought:
        return {"not sought, for there are": report.unsought}
    if found is None:
        return None
    says = [fit.hypothesis.says for fit in found.fits]
    return {"best first, none proved": says, "next measurement": found.step.do if found.step else None}


def unread_file(file: str, problems: Sequence[Problem]) -> dict[str, Any]:
    """Return the entry of a file that could not be read."""
    return {"file": file, "exit code": 4, "problems": [_problem(problem) for problem in problems]}


def failed_file(file: str, defect: str) -> dict[str, Any]:
    """Return the entry of a file at which packcheck itself failed."""
    return {"file": file, "exit code": 5, "defect": defect}


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "title": finding.title,
        "family": finding.family,
        "severity": finding.severity.value,
        "gate": finding.gate.value,
        "outcome": finding.outcome.value,
        "subject": finding.subject,
        "place": finding.place,
        "found": finding.found,
        "needed": finding.needed,
        "why": finding.why,
        "do": finding.do,
        "data": [_datum(datum) for datum in finding.data],
        "touches": sorted(finding.touches),
        "written": written(finding.origin),
        "waived": finding.waived,
        "about the drawing": finding.drawn,
        "consequences": [_finding(consequence) for consequence in finding.consequences],
    }


def written(origin: Origin | None) -> dict[str, Any] | None:
    """Return where something stands in a file: line and column, and in a table sheet and cell."""
    if origin is None:
        return None
    return {
        "file": origin.file,
        "line": origin.line,
        "column": origin.column,
        "sheet": origin.sheet,
        "cell": origin.cell,
    }


def _datum(datum: Datum) -> dict[str, Any]:
    return {"what": datum.what, "place": datum.place, "instrument": datum.instrument, "face": datum.face}


def _errand(errand: ToDo) -> dict[str, Any]:
    return {
        "gate": errand.gate.value,
        "instrument": errand.instrument,
        "face": errand.face,
        "what": list(errand.what),
        "again": errand.again,
        "places": list(errand.places),
        "rules": list(errand.rules),
        "stage": errand.stage,
        "target": errand.target,
        "advice": errand.advice,
    }


def _tally(tally: Tally) -> dict[str, Any]:
    return {
        "rule": tally.rule,
        "met": tally.met,
        "broken": tally.broken,
        "undecided": tally.undecided,
        "unproven": tally.unproven,
        "not applicable": tally.not_applicable,
    }


def _problem(problem: Problem) -> dict[str, Any]:
    return {
        **(written(problem.origin) or {}),
        "found": problem.found,
        "needed": problem.needed,
        "why": problem.why,
        "do": problem.do,
    }
