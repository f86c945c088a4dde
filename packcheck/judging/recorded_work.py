"""The rules about the work as a record tells it, judged by themselves: what ``packcheck exposure`` shows."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.facts.evidence import Evidence
from packcheck.facts.of_work import work_rows
from packcheck.facts.tables import table_by_name
from packcheck.judging.judge import judge
from packcheck.model.record.model import Record
from packcheck.rules.findings import Finding, Gate
from packcheck.rules.rule import Rule

WORKED = "worked"
"""The table of facts about the work as told."""


def judge_work(record: Record, rules: Iterable[Rule]) -> tuple[Finding, ...]:
    """Return what the rules about the work find, worst first; nothing where the record tells no work.

    Raises
    ------
    InputProblems : a step names something that neither layout nor record has.
    """
    facts = {WORKED: tuple(work_rows(Evidence(record.pack, record)))}
    if not facts[WORKED]:
        return ()
    about = [rule for rule in rules if rule.each == WORKED]
    return judge(about, facts, table_by_name(), gate=Gate.RELEASE).findings
