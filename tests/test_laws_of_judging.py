"""The three laws on rows of facts drawn at random: less evidence, wider readings, other names and order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from hypothesis import given, settings
from hypothesis import strategies as st
from judged_rows import PATH, TORQUE
from rule_fixtures import JOINT, RULE, TABLES, rule_from

from packcheck.judging.judge import judge
from packcheck.rules.catalogue import Facts, Measured, Row, Value
from packcheck.rules.findings import Finding, Gate, Outcome, Verdict
from packcheck.rules.rule import Rule


def everything(findings: Iterable[Finding]) -> list[Finding]:
    return [f for finding in findings for f in (finding, *everything(finding.consequences))]


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
