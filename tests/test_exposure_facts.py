"""The layout's own order as facts, and what the rules about it make of them."""

from __future__ import annotations

from typing import Any

import pytest
from exposure_packs import example_24
from workshop import pack_of

from packcheck.facts.build import build_facts
from packcheck.facts.drawn import Drawn
from packcheck.facts.of_exposure import order_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.judging.judge import judge
from packcheck.model.pack.model import Pack
from packcheck.rules.catalogue import Row
from packcheck.rules.findings import Gate, Outcome
from packcheck.rules.library import load_rules

RULES = load_rules([shipped_folder("rules")], table_by_name())
ABOUT_ORDERS = [rule for rule in RULES if rule.each in ("order", "step")]


def with_order(*steps: list[str], **changes: Any) -> Pack:
    return pack_of(example_24(order=[list(step) for step in steps], **changes))


def rows(pack: Pack) -> dict[str, Row]:
    found = order_facts(Drawn(pack))
    return {row.subject.split(",")[0]: row for row in (*found.order, *found.steps)}


def broken(pack: Pack) -> dict[str, list[str]]:
    judgement = judge(ABOUT_ORDERS, build_facts(pack), table_by_name(), gate=Gate.RELEASE, layout_only=True)
    found: dict[str, list[str]] = {}
    for finding in judgement.findings:
        assert finding.outcome is Outcome.BROKEN
        found.setdefault(finding.rule, []).append(finding.subject.split(",")[0])
    return found


INSIDE = ["B02", "B04", "B08", "B10", "B14", "B16", "B20", "B22"]


def test_there_are_nine_rules_about_orders() -> None:
    assert len(ABOUT_ORDERS) == 9


def test_facts_of_the_example() -> None:
    """Derived: sections of 2, 6, 12 and 24 modules of 7.92 V at rest and 8.7 V at most."""
    found = rows(pack_of(example_24()))
    for step, modules in (("step 2", 2), ("step 4", 6), ("step 5", 12), ("step 6", 12), ("step 11", 24)):
        assert found[step].values["rest_v"] == pytest.approx(7.92 * modules)
        assert found[step].values["highest_v"] == pytest.approx(8.7 * modules)
    assert [found[f"step {n}"].values["joins_in_class_b"] for n in (2, 4, 5, 6, 9, 11)] == [0, 0, 1, 1, 0, 1]
    order = found["order of generated"].values
    assert (order["joins_in_class_b"], order["least_joins"], order["left_out"]) == (3, 3, 0)


def test_the_example_is_found_wanting_only_beside_its_links() -> None:
    assert broken(pack_of(example_24())) == {"bare-bars-beside-class-b-joint": ["step 5", "step 6"]}


def test_a_layout_without_an_order_has_no_rows() -> None:
    layout = example_24()
    del layout["order"]
    facts = build_facts(pack_of(layout))
    assert facts["order"] == facts["step"] == ()


def test_disconnect_before_the_last_cover() -> None:
    found = broken(with_order(["P01..P24"], ["bars on A", "CA"], INSIDE, ["B06", "B18"], ["leads"], ["SD"], ["CB"]))
    assert found["disconnect-planned-before-cover"] == ["step 6"]


def test_bars_of_the_second_face_before_the_first_cover() -> None:
    found = broken(with_order(["bars on A"], INSIDE, ["CA"], ["B06", "B18", "leads", "CB"], ["SD"]))
    assert found["two-faces-open-in-order"] == ["step 2"]


def test_bars_from_one_end_join_more_often_above_60_v_than_they_must() -> None:
    """Derived: from the seventh module of each half on every bar joins above 60 V: 6 + 6, and the disconnect."""
    one_by_one = [[f"B{i:02d}"] for i in range(1, 24) if i != 12]
    found = broken(with_order(*one_by_one, ["leads", "CA", "CB"], ["SD"]))
    assert "class-b-joins-avoidable" in found
    values = rows(with_order(*one_by_one, ["leads", "CA", "CB"], ["SD"]))["order of generated"].values
    assert (values["joins_in_class_b"], values["least_joins"]) == (13, 3)


def test_seven_modules_by_their_rest_voltage() -> None:
    """Derived: 7 x 7.92 V = 55.4 V at rest, 7 x 8.7 V = 60.9 V at most."""
    found = broken(with_order(["bars on A", "CA"], ["B02", "B04"], ["B06"], ["CB"]))
    assert "section-limit-by-rest-voltage" not in found
    six_and_one = with_order(["B01..B06"], ["CA"])
    assert broken(six_and_one)["section-limit-by-rest-voltage"] == ["step 1"]


def test_words_that_mean_nothing_and_things_left_out() -> None:
    found = broken(with_order(["bars on A", "CA"], INSIDE, ["B06", "bars on C"], ["F1", "K2", "CB"], ["SD"]))
    assert found["order-names-unknown"] == found["order-incomplete"] == ["order of generated"]
    values = rows(with_order(["bars on A", "CA"], INSIDE, ["B06", "bars on C"], ["F1", "K2", "CB"], ["SD"]))
    assert values["order of generated"].values["unknown_words"] == "'bars on C' in step 3"
    assert values["order of generated"].values["left_out_names"] == "B18, clamp"


def test_a_step_planned_in_class_b_is_not_held_for_its_rest_voltage() -> None:
    """Seven modules: 55.4 V at rest, 60.9 V at most; the words count for their step and for those after it."""
    seven = [f"B{n:02d}" for n in range(1, 7)]
    rule = "section-limit-by-rest-voltage"
    assert broken(with_order(seven))[rule] == ["step 1"]
    assert rule not in broken(with_order([*seven, "class B"]))
    assert rule not in broken(with_order(["Class  B", "B01"], seven[1:]))
    assert broken(with_order(seven, ["B08", "class B"]))[rule] == ["step 1"]
