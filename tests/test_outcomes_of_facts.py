"""Which of the four outcomes a rule has on a row of facts, and what its finding says."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judged_rows import GOOD, TORQUE, joint, judged
from rule_fixtures import RULE, rule_from
from test_conditions import TABLE as THING
from test_conditions import Answer, conditions, rows, sql_answers

from packcheck.judging.judge import judge
from packcheck.rules.catalogue import Datum, Measured, Row, Value
from packcheck.rules.expression import parse_expression
from packcheck.rules.findings import Gate, Outcome


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
