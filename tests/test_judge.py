"""Judging: the four outcomes, what an open one asks for, gates, causes before consequences, and the three laws."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import FrozenInstanceError, replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_fixtures import JOINT, PATH_RULE, RULE, TABLES, rule_from
from test_conditions import TABLE as THING
from test_conditions import Answer, conditions, rows, sql_answers

from packcheck.files.problems import OwnFault
from packcheck.judging.judge import compute_verdict, judge
from packcheck.rules.catalogue import Datum, Facts, Measured, Row, Value
from packcheck.rules.expression import parse_expression
from packcheck.rules.findings import Finding, Gate, Judgement, Outcome, Severity, Tally, Verdict
from packcheck.rules.rule import Rule

TORQUE = rule_from(RULE)
PATH = rule_from(PATH_RULE)
BAND: dict[str, Value] = {"fitted": True, "torque_low_n_m": 4.0, "torque_high_n_m": 5.0}
GOOD = Measured(4.4, 4.6)


def joint(name: str = "B01/P01", **values: Value) -> Row:
    return Row(name, {**BAND, **values}, touches=frozenset({name}), place=f"{name}, planned −", face="front")


def judged(
    *joints: Row, rules: Iterable[Rule] = (TORQUE,), gate: Gate = Gate.RELEASE, pack: Row | None = None
) -> Judgement:
    facts = {"joint": joints, "pack": (pack,) if pack else ()}
    return judge(rules, facts, TABLES, gate=gate)


def everything(findings: Iterable[Finding]) -> list[Finding]:
    return [f for finding in findings for f in (finding, *everything(finding.consequences))]


# -- outcomes ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "outcome"),
    [
        ({"torque_n_m": GOOD}, Outcome.MET),
        ({"torque_n_m": Measured(3.9, 5.0)}, Outcome.MET),
        ({"torque_n_m": Measured(5.1, 5.2)}, Outcome.BROKEN),
        ({"torque_n_m": Measured(5.1, 5.2, False)}, Outcome.BROKEN),
        ({"torque_n_m": Measured(4.9, 5.2)}, Outcome.UNDECIDED),
        ({"torque_n_m": Measured(5.0, inf)}, Outcome.UNDECIDED),
        ({"torque_n_m": Measured(4.4, 4.6, False)}, Outcome.UNPROVEN),
        ({"torque_n_m": Measured(4.9, 5.2, False)}, Outcome.UNPROVEN),
        ({}, Outcome.UNPROVEN),
        ({"torque_n_m": GOOD, "torque_high_n_m": None}, Outcome.UNPROVEN),
        ({"torque_n_m": Measured(3, 3), "torque_high_n_m": None}, Outcome.BROKEN),
        ({"torque_n_m": Measured(9, 9), "fitted": None}, Outcome.UNPROVEN),
        ({"torque_n_m": GOOD, "fitted": None}, Outcome.NOT_APPLICABLE),
        ({"torque_n_m": Measured(9, 9), "fitted": False}, Outcome.NOT_APPLICABLE),
    ],
)
def test_outcome_follows_from_what_the_facts_allow(values: dict[str, Value], outcome: Outcome) -> None:
    tally = judged(joint(**values)).tallies[0]
    counts = (tally.met, tally.broken, tally.undecided, tally.unproven, tally.not_applicable)
    names = (Outcome.MET, Outcome.BROKEN, Outcome.UNDECIDED, Outcome.UNPROVEN, Outcome.NOT_APPLICABLE)
    assert dict(zip(names, counts, strict=True)) == {name: int(name is outcome) for name in names}


def test_limit_met_to_the_last_digit_through_arithmetic_is_met() -> None:
    """4.3 − 0.1 is 4.2, though floats make it 4.2 less a little; and 0.4 − 0.1 is 0.3, though floats make it more."""
    assert judged(joint(torque_n_m=Measured(0.3, 0.3), torque_low_n_m=0.4)).tallies[0].met == 1
    assert judged(joint(torque_n_m=Measured(4.2, 4.2), torque_low_n_m=4.3)).tallies[0].met == 1
    assert judged(joint(torque_n_m=Measured(4.1999999999, 4.2), torque_low_n_m=4.3)).tallies[0].undecided == 1


@settings(max_examples=100, deadline=None)
@given(conditions(arithmetic=False), conditions(arithmetic=False), st.lists(rows(), min_size=1, max_size=8))
def test_judge_agrees_with_sql_over_the_stored_facts(
    where: str, require: str, all_values: list[dict[str, Value]]
) -> None:
    applies, holds = parse_expression(where, THING), parse_expression(require, THING)
    says = replace(TORQUE.says, met=(), found=(), needed=())
    rule = replace(TORQUE, each="thing", where=applies, require=holds, limits={}, says=says)
    facts = {"thing": tuple(Row(str(index), values) for index, values in enumerate(all_values))}
    found = judge([rule], facts, {"thing": THING}, gate=Gate.RELEASE)
    roads = zip(sql_answers(applies, all_values), sql_answers(holds, all_values), strict=True)
    expected = {str(index): _by_hand(*roads_of_row) for index, roads_of_row in enumerate(roads)}
    quiet = (Outcome.MET, Outcome.NOT_APPLICABLE)
    assert [(found.tallies[0].met, found.tallies[0].not_applicable)] == [
        tuple(list(expected.values()).count(outcome) for outcome in quiet)
    ]
    assert {f.subject: f.outcome if f.outcome is Outcome.BROKEN else None for f in found.findings} == {
        subject: outcome for subject, outcome in expected.items() if outcome not in quiet
    }


def _by_hand(applies: tuple[Answer, Answer], holds: tuple[Answer, Answer]) -> Outcome | None:
    """Return the outcome from (widened, as read) of the two conditions; None where it is left open."""
    if not applies[0].possibly:
        return Outcome.NOT_APPLICABLE
    if holds[0].surely:
        return Outcome.MET if applies[0].surely else Outcome.NOT_APPLICABLE
    return Outcome.BROKEN if applies[1].surely and not holds[1].possibly else None


# -- what a finding says -----------------------------------------------------------------------------------------------


def test_broken_finding_answers_place_found_needed_why_do() -> None:
    finding = judged(joint(torque_n_m=Measured(6.0, 6.4))).findings[0]
    assert finding.place == "B01/P01, planned −"
    assert finding.found == "B01/P01 at B01/P01, planned −: 6.2 ± 0.2 N·m, slack 0.1 N·m"
    assert finding.needed == "4 N·m to 5 N·m"
    assert (finding.why, finding.do) == ("A loose joint burns.", "Undo it and tighten it again.")
    assert (finding.data, finding.touches) == ((), {"B01/P01"})


def test_unproven_finding_names_the_datum_with_place_instrument_and_face() -> None:
    finding = judged(joint()).findings[0]
    assert finding.data == (Datum("torque", "B01/P01", "torque wrench", "front"),)
    assert finding.found == "not recorded: torque"
    assert finding.do == "Record: torque at B01/P01 (torque wrench)."


def test_unproven_finding_names_the_rows_own_datum_where_it_gives_one() -> None:
    datum = Datum("torque of the second pass", "B01/P01", "click wrench")
    row = joint()._replace(missing={"torque_n_m": datum})
    assert judged(row).findings[0].data == (datum,)


def test_unproven_finding_names_only_what_leaves_it_open() -> None:
    both = rule_from(
        RULE, ("slack <= torque_n_m <= torque_high_n_m", "slack <= torque_n_m and mark in ('white', 'red')")
    )
    assert [d.what for d in judged(joint(torque_n_m=GOOD), rules=[both]).findings[0].data] == ["mark"]
    assert [d.what for d in judged(joint(mark="red"), rules=[both]).findings[0].data] == ["torque"]
    assert [d.what for d in judged(joint(), rules=[both]).findings[0].data] == ["torque", "mark"]


def test_unproven_finding_names_an_unfit_instrument_as_such() -> None:
    finding = judged(joint(torque_n_m=Measured(4.4, 4.6, False, "W1 was due on 2026-09-01"))).findings[0]
    assert finding.found == "a reading that proves nothing: W1 was due on 2026-09-01"
    assert finding.data[0].what == "torque, with a fit instrument (W1 was due on 2026-09-01)"


def test_undecided_finding_names_the_reading_that_is_too_wide() -> None:
    finding = judged(joint(torque_n_m=Measured(4.9, 5.2))).findings[0]
    assert [datum.what for datum in finding.data] == ["torque"]
    assert finding.found.endswith("5.05 ± 0.15 N·m, slack 0.1 N·m; the readings are too coarse to tell")
    assert finding.do.startswith("Measure again with something finer: torque")


# -- verdict, gates, order ---------------------------------------------------------------------------------------------


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


# -- causes before consequences ----------------------------------------------------------------------------------------


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


# -- laws --------------------------------------------------------------------------------------------------------------

LAWS = (
    TORQUE,
    rule_from(RULE, ("joint-torque-out-of-band", "joint-hot"), ("where: fitted", "where: fitted or mark == 'red'"),
              ("- slack <= torque_n_m <= torque_high_n_m",
               "<= max(slack, torque_n_m) and not resistance_ohm > 1 * resistance_ohm"),
              ("follows from: []", "follows from: [joint-torque-out-of-band, main-path-open]")),
    rule_from(RULE, ("joint-torque-out-of-band", "joint-marked"), ("where: fitted", "where: torque_n_m > slack"),
              ("torque_low_n_m - slack <= torque_n_m <= torque_high_n_m",
               "mark in ('white', 'red') or torque_n_m - torque_low_n_m > slack")),
    PATH,
)  # fmt: skip
ends = st.sampled_from([3.8, 3.9, 4.0, 4.5, 5.0, 5.1, 6.0])


@st.composite
def reading(draw: st.DrawFn) -> Measured:
    low, high = sorted((draw(ends), draw(ends)))
    return Measured(low, high, draw(st.booleans()) or draw(st.booleans()))


@st.composite
def joints(draw: st.DrawFn, name: str) -> Row:
    values: dict[str, Value] = {
        "fitted": draw(st.none() | st.booleans()),
        "torque_n_m": draw(st.none() | reading()),
        "torque_low_n_m": draw(st.none() | st.just(4.0)),
        "torque_high_n_m": draw(st.none() | st.just(5.0)),
        "resistance_ohm": draw(st.none() | reading()),
        "mark": draw(st.none() | st.sampled_from(["white", "red", "none"])),
    }
    return Row(name, values, touches=draw(st.frozensets(st.sampled_from(["P01", "P02"]))), place=name)


@st.composite
def packs(draw: st.DrawFn) -> dict[str, tuple[Row, ...]]:
    count = draw(st.integers(0, 4))
    path = Row("SK", {"path": draw(st.none() | st.booleans())})
    return {"joint": tuple(draw(joints(f"J{index}")) for index in range(count)), "pack": (path,)}


def outcomes(facts: Facts, rules: Iterable[Rule] = LAWS) -> tuple[Verdict, dict[tuple[str, str], Outcome]]:
    """Return the verdict, and what is not met by (rule, subject); nothing is folded away or lost."""
    judgement = judge(rules, facts, TABLES, gate=Gate.RELEASE)
    found = everything(judgement.findings)
    assert len(found) == sum(t.broken + t.undecided + t.unproven for t in judgement.tallies)
    return judgement.verdict, {(f.rule, f.subject): f.outcome for f in found}


def met(facts: Facts) -> Mapping[str, int]:
    return {tally.rule: tally.met for tally in judge(LAWS, facts, TABLES, gate=Gate.RELEASE).tallies}


def changed(facts: dict[str, tuple[Row, ...]], index: int, column: str, value: Value) -> dict[str, tuple[Row, ...]]:
    rows = list(facts["joint"])
    rows[index] = rows[index]._replace(values={**rows[index].values, column: value})
    return {**facts, "joint": tuple(rows)}


@settings(max_examples=150, deadline=None)
@given(packs(), st.data())
def test_removing_any_evidence_never_makes_anything_met_nor_the_verdict_good(
    facts: dict[str, tuple[Row, ...]], data: st.DataObject
) -> None:
    if not facts["joint"]:
        return
    index = data.draw(st.integers(0, len(facts["joint"]) - 1))
    less = changed(facts, index, data.draw(st.sampled_from([c.name for c in JOINT.columns[1:]])), None)
    before, after = outcomes(facts), outcomes(less)
    assert all(met(less)[rule] <= count for rule, count in met(facts).items())
    assert set(before[1]) <= set(after[1]), "what was not met has vanished"
    assert before[0] is Verdict.NO_RULE_BROKEN or after[0] is not Verdict.NO_RULE_BROKEN


@settings(max_examples=150, deadline=None)
@given(packs(), st.data())
def test_widening_a_reading_never_turns_broken_or_undecided_into_met(
    facts: dict[str, tuple[Row, ...]], data: st.DataObject
) -> None:
    measured = [
        (i, name)
        for i, row in enumerate(facts["joint"])
        for name in ("torque_n_m", "resistance_ohm")
        if row.values[name]
    ]
    if not measured:
        return
    index, name = data.draw(st.sampled_from(measured))
    reading_now = facts["joint"][index].values[name]
    assert isinstance(reading_now, Measured)
    wider = reading_now._replace(low=reading_now.low - data.draw(ends), high=reading_now.high + data.draw(ends))
    after = outcomes(changed(facts, index, name, wider))[1]
    for where, outcome in outcomes(facts)[1].items():
        assert where in after
        assert outcome is Outcome.BROKEN or after[where] is outcome, "widening decides nothing"


@settings(max_examples=100, deadline=None)
@given(packs(), st.randoms(use_true_random=False))
def test_order_and_names_are_irrelevant(facts: dict[str, tuple[Row, ...]], chance: object) -> None:
    shuffled_rows, shuffled_rules = list(facts["joint"]), list(LAWS)
    chance.shuffle(shuffled_rows)  # type: ignore[attr-defined]
    chance.shuffle(shuffled_rules)  # type: ignore[attr-defined]
    renamed = [row._replace(subject=f"X{row.subject}", place="elsewhere") for row in shuffled_rows]
    verdict, found = outcomes({**facts, "joint": tuple(renamed)}, shuffled_rules)
    expected_verdict, expected = outcomes(facts)
    assert verdict is expected_verdict
    assert {(rule, subject.removeprefix("X")): outcome for (rule, subject), outcome in found.items()} == expected
