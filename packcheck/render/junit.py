"""The answer for programs that show test results: JUnit XML, one suite a file, one case for each rule that applied."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from packcheck.files.problems import Problem
from packcheck.judging.report import Paragraph, Report
from packcheck.render.escaping import escape, quoted
from packcheck.render.first_screen import verdict_words
from packcheck.render.page import printable
from packcheck.render.paragraph import Choice, fields_of, title_of
from packcheck.rules.findings import Outcome, Severity, Tally
from packcheck.rules.rule import Rule

_OUTSIDE = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What an XML 1.0 document cannot hold (clause 2.2)."""


@dataclass(frozen=True)
class Case:
    """One rule on one file: its family, its name, and what became of it: "", failure, skipped or error."""

    family: str
    name: str
    state: str = ""
    kind: str = ""
    message: str = ""
    text: str = ""


@dataclass(frozen=True)
class Suite:
    """One file with its cases; ``words`` are the verdict."""

    file: str
    words: str
    cases: tuple[Case, ...]

    def count(self, state: str) -> int:
        """Return how many cases came out so."""
        return sum(1 for case in self.cases if case.state == state)


def render_junit(suites: Iterable[Suite]) -> str:
    """Return the document of a whole run; ``suites`` are one per file.

    A rule that is broken, or that nobody can decide, is a failure where it weighs in the verdict; what is only advice,
    or waived, is skipped with its reason.
    """
    told = list(suites)
    counts = " ".join(
        f'{name}="{sum(suite.count(state) if state else len(suite.cases) for suite in told)}"'
        for name, state in (("tests", ""), ("failures", "failure"), ("errors", "error"), ("skipped", "skipped"))
    )
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<testsuites name="packcheck" {counts}>']
    for suite in told:
        lines += _suite(suite)
    return "\n".join([*lines, "</testsuites>\n"])


def judged_suite(report: Report, rules: Iterable[Rule]) -> Suite:
    """Return the suite of a file that was judged by these rules."""
    family = {rule.name: rule.family for rule in rules}
    worst = {paragraph.rule: paragraph for paragraph in reversed(report.paragraphs)}
    causes = {follower.rule: paragraph.rule for paragraph in report.paragraphs for follower in paragraph.consequences}
    cases = [
        _case(tally, family.get(tally.rule, ""), worst.get(tally.rule), causes.get(tally.rule, ""))
        for tally in report.judgement.tallies
        if tally.judged
    ]
    nothing = "No rule applied to anything: nothing was checked."
    none = Case("packcheck", "some rule applied", "failure", "hold", nothing)
    return Suite(report.about.file, verdict_words(report), tuple(cases) or (none,))


def unread_suite(file: str, problems: Sequence[Problem]) -> Suite:
    """Return the suite of a file that could not be read: an error for each mistake."""
    cases = [
        Case("file", problem.place(), "error", "not read", problem.found, f"Needed: {problem.needed}\nDo: {problem.do}")
        for problem in problems
    ]
    return Suite(file, "NOT JUDGED: it cannot be read", tuple(cases))


def failed_suite(file: str, defect: str) -> Suite:
    """Return the suite of a file at which packcheck itself failed."""
    case = Case("packcheck", "judged at all", "error", "fault of packcheck", defect)
    return Suite(file, "NOT JUDGED: a fault of packcheck itself", (case,))


def _case(tally: Tally, family: str, paragraph: Paragraph | None, cause: str) -> Case:
    """Return what became of a rule; what only follows from the break of another one is no failure of its own."""
    rule = tally.rule
    if paragraph is None and tally.met == tally.judged:
        return Case(family, rule)
    if paragraph is None:
        untold = tally.undecided + tally.unproven
        message = f"follows from {cause}: broken at {tally.broken}, not to be told at {untold} of {tally.judged}"
        return Case(family, rule, "skipped", "consequence", message)
    fields = fields_of(paragraph, Choice(everything=True))
    text = "\n".join(f"{label}: {words}" for label, told in fields for words in told)
    if paragraph.waived:
        return Case(family, rule, "skipped", "waived", f"waived: {paragraph.waived}")
    if not paragraph.weighs:
        return Case(family, rule, "skipped", "advice", f"advice: {title_of(paragraph)}")
    never = paragraph.gravest is Severity.NEVER_ENERGIZE and paragraph.outcome is Outcome.BROKEN
    kind = "never-energize" if never else paragraph.outcome.value
    return Case(family, rule, "failure", kind, title_of(paragraph), text)


def _suite(suite: Suite) -> Iterable[str]:
    failures, errors, skipped = (suite.count(state) for state in ("failure", "error", "skipped"))
    yield (
        f'<testsuite name={_quoted(suite.file)} tests="{len(suite.cases)}" failures="{failures}" errors="{errors}"'
        f' skipped="{skipped}" time="0">'
    )
    yield f'<properties><property name="verdict" value={_quoted(suite.words)}/></properties>'
    for case in suite.cases:
        head = f'<testcase classname={_quoted(f"packcheck.{case.family}")} name={_quoted(case.name)} time="0"'
        if not case.state:
            yield f"{head}/>"
        elif case.state == "skipped":
            yield f"{head}><skipped message={_quoted(case.message)}/></testcase>"
        else:
            inner = f"<{case.state} type={_quoted(case.kind)} message={_quoted(case.message)}>{_text(case.text)}"
            yield f"{head}>{inner}</{case.state}></testcase>"
    yield "</testsuite>"


def _quoted(words: str) -> str:
    return quoted(_OUTSIDE.sub("", printable(words)))


def _text(words: str) -> str:
    return escape("\n".join(_OUTSIDE.sub("", printable(line)) for line in words.split("\n")))
