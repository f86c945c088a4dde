"""What a question on a case costs, and what is said of one that cannot be asked."""

from __future__ import annotations

import re

import pytest
from asked_cases import PACK
from test_simulate import bench_of

from packcheck.files.problems import WrongUsage
from packcheck.lessons.costs import ABOVE_60_V, BUDGET, COSTS, LIVE, costs_of, points_of
from packcheck.lessons.questions import question_of
from packcheck.simulate.asked.question import KINDS, live_state


def test_every_kind_has_a_price_and_dearer_is_what_exposes_more() -> None:
    assert set(COSTS) == set(KINDS)
    assert all(cost.points > 0 and cost.why for cost in COSTS.values())
    price = {word: cost.points for word, cost in COSTS.items()}
    assert price["look"] < price["resistance"] < price["isolation"] < price["loaded"]
    assert max(price.values()) + ABOVE_60_V.points <= BUDGET


def test_a_voltage_above_60_v_and_a_live_pack_cost_more() -> None:
    """15.84 V a block; 24 × 7.9 V between the mains."""
    bench = bench_of(PACK)
    assert points_of(costs_of(bench, question_of(bench, ["volts", "T02", "T01"]))) == 1
    assert points_of(costs_of(bench, question_of(bench, ["volts", "K1.1", "K2.2"], "plug in"))) == 2
    live = live_state(bench.pack)
    assert costs_of(bench, question_of(bench, ["volts", "K1.1", "K2.2"], live))[1:] == (ABOVE_60_V, LIVE)
    assert points_of(costs_of(bench, question_of(bench, ["loaded", "T02", "T01"]))) == 4


@pytest.mark.parametrize(("words", "state", "said"), [
    ([], "", "needed one of"), (["volt", "T01", "T02"], "", "did you mean 'volts'"),
    (["volts", "T01"], "", "found 1 name, needed 2 names of: T00, T01"),
    (["volts", "T01", "T01"], "", "needed two places"), (["look", "p09"], "", "did you mean 'P09'"),
    (["volts", "T01", "T99"], "", "did you mean"), (["volts", "T01", "chassis"], "", "found no name"),
    (["look", "\x1b[2J" + "x" * 5000], "", "needed one of"), (["look", "P01"], "plug in", "needed none"),
    (["volts", "T01", "T02"], "plug on", "did you mean 'plug"), (["torque", "P01"], "", "found no name"),
])  # fmt: skip
def test_a_question_that_cannot_be_asked_says_what_is_needed(words: list[str], state: str, said: str) -> None:
    with pytest.raises(WrongUsage, match=re.escape(said)) as wrong:
        question_of(bench_of(PACK), words, state)
    assert len(str(wrong.value)) < 400
