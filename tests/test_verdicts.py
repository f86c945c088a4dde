"""What judging makes of all outcomes: the verdict, the gates, the order of findings; and what it refuses."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace

import pytest
from judged_rows import GOOD, PATH, TORQUE, joint, judged
from rule_fixtures import TABLES

from packcheck.files.problems import OwnFault
from packcheck.judging.judge import compute_verdict, judge
from packcheck.rules.catalogue import Measured, Row, Value
from packcheck.rules.findings import Gate, Outcome, Severity, Tally, Verdict


@pytest.mark.parametrize(
    ("severity", "outcome", "waived", "verdict"),
    [
        (Severity.NEVER_ENERGIZE, Outcome.BROKEN, "", Verdict.DO_NOT_ENERGIZE),
        (Severity.NEVER_ENERGIZE, Outcome.UNDECIDED, "", Verdict.HOLD),
        (Severity.NEVER_ENERGIZE, Outcome.UNPROVEN, "", Verdict.HOLD),
        (Severity.FIX_BEFORE_RELEASE, Outcome.BROKEN, "", Verdict.HOLD),
        (Severity.FIX_BEFORE_RELEASE, Outcome.UNPROVEN, "", Verdict.HOLD),
        (Severity.FIX_BEFORE_RELEASE, Outcome.BROKEN, "by the shop", Verdict.NO_RULE_BROKEN),
        (Severity.ADVISE, Outcome.BROKEN, "", Verdict.NO_RULE_BROKEN),
    ],
)
def test_verdict_follows_from_the_worst_finding(
    severity: Severity, outcome: Outcome, waived: str, verdict: Verdict
) -> None:
    finding = replace(judged(joint()).findings[0], severity=severity, outcome=outcome, waived=waived)
    assert compute_verdict([finding], [Tally("r", broken=1)]) is verdict


def test_run_in_which_no_rule_applied_is_a_hold() -> None:
    assert judged().verdict is Verdict.HOLD
    assert judged(joint(fitted=False)).verdict is Verdict.HOLD
    assert judged(joint(torque_n_m=GOOD)).verdict is Verdict.NO_RULE_BROKEN


def test_rules_of_later_gates_are_counted_and_not_judged() -> None:
    judgement = judged(joint(), rules=[TORQUE, PATH], gate=Gate.FIT_BARS, pack=Row("SK-24", {"path": True}))
    assert [tally.rule for tally in judgement.tallies] == ["main-path-open"]
    assert judgement.later == ((Gate.PLUG_IN, 1), (Gate.CLOSE_CONTACTORS, 0), (Gate.RELEASE, 0))
    assert judgement.verdict is Verdict.NO_RULE_BROKEN


def test_layout_alone_is_judged_by_layout_rules_only() -> None:
    layout_rule = replace(PATH, judges_layout=True)
    facts = {"joint": (joint(),), "pack": (Row("SK-24", {"path": True}),)}
    judgement = judge([TORQUE, layout_rule], facts, TABLES, gate=Gate.RELEASE, layout_only=True)
    assert [tally.rule for tally in judgement.tallies] == ["main-path-open"]


def test_findings_come_worst_first_then_by_rule_and_subject() -> None:
    joints = [
        joint("B03/P03"),
        joint("B02/P02", torque_n_m=Measured(9, 9)),
        joint("B01/P01"),
        joint("B00/P00", torque_n_m=Measured(4, 6)),
    ]
    found = judged(*joints, rules=[TORQUE, PATH], pack=Row("SK-24", {}))
    assert [(f.subject, f.outcome) for f in found.findings] == [
        ("SK-24", Outcome.UNPROVEN),
        ("B02/P02", Outcome.BROKEN),
        ("B00/P00", Outcome.UNDECIDED),
        ("B03/P03", Outcome.UNPROVEN),
        ("B01/P01", Outcome.UNPROVEN),
    ]


def test_judging_changes_neither_facts_nor_rules() -> None:
    row = joint(torque_n_m=GOOD)
    before = dict(row.values)
    judged(row)
    assert row.values == before
    with pytest.raises(FrozenInstanceError):
        TORQUE.why = "because"  # type: ignore[misc]


@pytest.mark.parametrize("value", [Measured(5, 4), Measured(float("nan"), 5), "tight", True])
def test_value_that_its_column_cannot_hold_is_our_own_fault(value: Value) -> None:
    with pytest.raises(OwnFault, match="torque_n_m"):
        judged(joint(torque_n_m=value))


def test_rule_over_an_unknown_table_is_our_own_fault() -> None:
    with pytest.raises(OwnFault, match="no fact table"):
        judge([replace(TORQUE, each="moon")], {}, TABLES, gate=Gate.RELEASE)
