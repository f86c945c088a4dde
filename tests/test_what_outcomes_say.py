"""What an answer says in each case of ``tests/outcomes``: every sentence, with its numbers, is kept to be read.

``tests/golden/what-outcomes-say.txt`` has a paragraph for each case: what is said of the subject, and which rules are
broken or undecided in that file beside it that were not before the change.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from faulty_builds import every_finding
from goldens import assert_golden
from test_outcomes_from_files import CASES, RULES, TABLES, Case, facts_of_case

from packcheck.judging.describing import describe
from packcheck.judging.judge import judge
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Gate, Outcome
from packcheck.rules.says import fill

KEYS = ("change", "layout change", "earlier change")


@cache
def unfit(file: str, changes: tuple[tuple[tuple[str, str], ...], ...]) -> frozenset[tuple[str, str, str]]:
    """Return the rules that are broken or undecided in a file, with their subjects."""
    case = {"file": file} | {key: dict(one) for key, one in zip(KEYS, changes, strict=True) if one}
    judgement = judge(RULES.values(), facts_of_case(case), TABLES, gate=Gate.RELEASE)
    holding = (f for f in every_finding(judgement) if f.outcome in (Outcome.BROKEN, Outcome.UNDECIDED))
    return frozenset((f.rule, f.outcome.value, f.subject) for f in holding)


def beside(case: Case, rule: str, outcome: str) -> set[str]:
    """Return what else is broken or undecided in a case and was not before the change."""
    now = unfit(case["file"], tuple(tuple(case.get(key, {}).items()) for key in KEYS))
    before = unfit(case["file"], ((), (), ()))
    return {f"{name} {how} on {at}" for name, how, at in now - before if (name, how, at) != (rule, outcome, case["at"])}


def said(case: Case, rule: str, outcome: str) -> Iterator[str]:
    """Yield what is said of the subject of a case."""
    compiled = compile_rule(RULES[rule], table := TABLES[RULES[rule].each])
    for row in facts_of_case(case).get(table.name, ()):
        answer = compiled.answer(table.values_of(row))
        if row.subject == case["at"] and answer.outcome.value == outcome:
            if answer.outcome is Outcome.MET:
                yield fill(compiled.rule.says.met, row, compiled.columns, compiled.limits, table.subject)
                continue
            finding = describe(compiled, row, answer)
            asked = "; ".join(f"{one.what} of {one.place}" for one in finding.data)
            yield f"{finding.found} | {finding.needed}" + (f" | {asked}" if asked else "")


def test_what_each_case_says_is_what_was_read() -> None:
    paragraphs = []
    for (rule, outcome), case in sorted(CASES.items()):
        lines = [f"{rule} {outcome} on {case['at']} of {case['file']}"]
        lines += [f"  {line}" for line in said(case, rule, outcome)]
        lines += [f"  + {line}" for line in sorted(beside(case, rule, outcome))[:12]]
        paragraphs.append("\n".join(lines))
    assert_golden("what-outcomes-say.txt", "\n".join([*paragraphs, ""]))
