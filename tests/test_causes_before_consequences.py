"""A finding that another one explains is told under it, and only where the two touch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from judged_rows import PATH, judged
from rule_fixtures import PATH_RULE, RULE, rule_from

from packcheck.rules.catalogue import Row
from packcheck.rules.findings import Finding, Gate, Outcome, Severity, Verdict
from packcheck.rules.rule import Rule


def ruled(name: str, *causes: str, each: str = "joint", severity: Severity = Severity.FIX_BEFORE_RELEASE) -> Rule:
    """Return a rule that is broken where the flag of its table is False."""
    flag = "fitted" if each == "joint" else "path"
    base = rule_from(RULE if each == "joint" else PATH_RULE)
    says = replace(base.says, met=(), found=(), needed=())
    where = PATH.where
    require = PATH.require if each == "pack" else replace(PATH.require, name=flag)  # type: ignore[type-var]
    return replace(
        base,
        name=name,
        each=each,
        severity=severity,
        gate=Gate.PLUG_IN,
        follows_from=causes,
        where=where,
        require=require,
        limits={},
        says=says,
    )


def part(name: str, *touches: str, fitted: bool | None = False) -> Row:
    return Row(name, {"fitted": fitted}, touches=frozenset(touches))


def tree(findings: Iterable[Finding]) -> list[tuple[str, str, list[object]]]:
    return [(f.rule, f.subject, list(tree(f.consequences))) for f in findings]


def test_consequence_is_folded_under_a_broken_cause_that_touches_a_common_part() -> None:
    rules = [ruled("lost-bar"), ruled("lost-path", "lost-bar", each="pack")]
    found = judged(part("B01", "P01"), rules=rules, pack=Row("SK", {"path": False}, touches=frozenset({"P01"})))
    assert tree(found.findings) == [("lost-bar", "B01", [("lost-path", "SK", [])])]


def test_consequence_elsewhere_stays_at_the_top() -> None:
    rules = [ruled("lost-bar"), ruled("lost-path", "lost-bar", each="pack")]
    found = judged(part("B01", "P01"), rules=rules, pack=Row("SK", {"path": False}, touches=frozenset({"P02"})))
    assert len(found.findings) == 2


def test_finding_about_the_whole_pack_meets_every_part() -> None:
    rules = [ruled("lost-bar"), ruled("lost-path", "lost-bar", each="pack")]
    found = judged(part("B01", "P01"), part("B02", "P02"), rules=rules, pack=Row("SK", {"path": False}))
    assert tree(found.findings) == [("lost-bar", "B01", [("lost-path", "SK", [])]), ("lost-bar", "B02", [])]


def test_only_a_broken_cause_explains_anything() -> None:
    rules = [ruled("lost-bar"), ruled("lost-path", "lost-bar", each="pack")]
    found = judged(part("B01", "P01", fitted=None), rules=rules, pack=Row("SK", {"path": False}))
    assert len(found.findings) == 2


def test_chain_of_causes_ends_at_its_root() -> None:
    rules = [ruled("a"), ruled("b", "a"), ruled("c", "b", each="pack")]
    found = judged(part("B01", "P01"), rules=rules, pack=Row("SK", {"path": False}, touches=frozenset({"P01"})))
    assert tree(found.findings) == [("a", "B01", [("b", "B01", []), ("c", "SK", [])])]


def test_cause_with_most_parts_in_common_is_taken() -> None:
    rules = [ruled("lost-bar"), ruled("lost-path", "lost-bar", each="pack")]
    joints = part("B01", "P01"), part("B02", "P01", "P02"), part("B03", "P02")
    found = judged(*joints, rules=rules, pack=Row("SK", {"path": False}, touches=frozenset({"P01", "P02"})))
    assert [(f.subject, len(f.consequences)) for f in found.findings] == [("B01", 0), ("B02", 1), ("B03", 0)]


def test_live_short_heads_the_answer_with_its_cause_under_it() -> None:
    never = Severity.NEVER_ENERGIZE
    short = replace(ruled("short", severity=never), stands_first=True, gate=Gate.PLUG_IN)
    rules = [replace(ruled("dead-cell", severity=never), gate=Gate.FIT_BARS), ruled("turned", "short"), short]
    found = judged(part("P01"), rules=rules)
    assert tree(found.findings) == [("short", "P01", [("turned", "P01", [])]), ("dead-cell", "P01", [])]
    assert [f.rule for f in judged(part("P01"), rules=[*rules[:2], replace(short, stands_first=False)]).findings] == [
        "dead-cell",
        "short",
    ]


def test_short_that_nobody_proved_heads_nothing() -> None:
    never = Severity.NEVER_ENERGIZE
    rules = [ruled("lost-bar", severity=never, each="pack"), replace(ruled("short", severity=never), stands_first=True)]
    found = judged(part("P01", fitted=None), rules=rules, pack=Row("SK", {"path": False}))
    assert [(f.rule, f.outcome) for f in found.findings] == [
        ("lost-bar", Outcome.BROKEN),
        ("short", Outcome.UNPROVEN),
    ]


def test_circle_of_causes_loses_no_finding() -> None:
    rules = [ruled("a", "b"), ruled("b", "a")]
    assert len(judged(part("B01", "P01"), rules=rules).findings) == 2


def test_folded_never_energize_finding_still_decides_the_verdict_and_lifts_its_cause() -> None:
    rules = [
        ruled("torn-cover", severity=Severity.ADVISE),
        ruled("lost-path", "torn-cover", each="pack", severity=Severity.NEVER_ENERGIZE),
        ruled("loose"),
    ]
    found = judged(part("B01", "P01"), rules=rules, pack=Row("SK", {"path": False}))
    assert found.verdict is Verdict.DO_NOT_ENERGIZE
    assert [f.rule for f in found.findings] == ["torn-cover", "loose"]
