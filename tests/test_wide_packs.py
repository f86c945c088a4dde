"""Packs of up to 60 modules, values over decades: a turned module is found, and one left out is no pass."""

from __future__ import annotations

from typing import Any

from faulty_builds import judged_facts
from hypothesis import given, settings
from hypothesis import strategies as st
from test_laws import outcomes_in
from workshop import Data, clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.model.pack.model import Pack
from packcheck.rules.findings import Outcome, Verdict

MOST = 60
SHAPES = st.one_of(
    st.integers(4, MOST).map(stick_layout),
    st.tuples(st.integers(4, 12), st.integers(1, 5)).map(lambda shape: grouped_layout(*shape)),
    st.integers(2, MOST // 2).map(trayed_layout),
    st.lists(st.integers(4, MOST // 3), min_size=2, max_size=3).map(rack_layout),
)
DECADES = st.integers(-2, 2)


@st.composite
def layouts(draw: st.DrawFn) -> Data:
    """Draw a layout whose modules have 1 to 100 cells, 0.6 to 6,000 Ah, and resistances over four decades."""
    layout = draw(SHAPES)
    name, kind = next(iter(layout["module types"].items()))
    cells, share = draw(st.sampled_from([1, 3, 6, 24, 100])), 10.0 ** draw(DECADES)
    each = {key: number(kind[key]) / kind["cells"] for key in ("nominal", "highest")}
    low, high = (number(end) / kind["cells"] for end in kind["rest"].split(" to "))
    wide = {
        **kind,
        "cells": cells,
        "nominal": f"{each['nominal'] * cells:.6g} V",
        "highest": f"{each['highest'] * cells:.6g} V",
        "rest": f"{low * cells:.6g} V to {high * cells:.6g} V",
        "capacity": f"{60 * share:.6g} Ah",
        "resistance": f"{10 * 10.0 ** draw(DECADES):.6g} mΩ",
    }
    return {**layout, "module types": {name: wide}}


def number(quantity: str) -> float:
    return float(quantity.split()[0])


def with_row(record: Data, position: str, row: list[Any]) -> Data:
    return {**record, "modules": {**record["modules"], position: row}}


def outcomes_and_verdict(record: Data, pack: Pack) -> tuple[dict[tuple[str, str], Outcome], Verdict]:
    facts = build_facts(pack, record_of(record, pack))
    return outcomes_in(facts), judged_facts(facts).verdict


@given(layouts(), st.data())
@settings(max_examples=8, deadline=None, derandomize=True, database=None)
def test_a_turned_module_is_found_and_one_left_out_is_no_pass(layout: Data, data: st.DataObject) -> None:
    pack = pack_of(layout)
    assert len(pack.positions) <= MOST
    clean = clean_record(pack)
    position = pack.positions[data.draw(st.sampled_from(sorted(pack.positions)))]
    serial, _, *rest = clean["modules"][position.name]
    before, _ = outcomes_and_verdict(clean, pack)
    assert before["module-reversed", position.name] is Outcome.MET
    assert all(before[rule, place] is Outcome.MET for rule, place in before if rule == "rest-voltage-outside-window")

    turned, verdict = outcomes_and_verdict(with_row(clean, position.name, [serial, position.minus, *rest]), pack)
    assert turned["module-reversed", position.name] is Outcome.BROKEN
    assert verdict is Verdict.DO_NOT_ENERGIZE

    blank, verdict = outcomes_and_verdict(with_row(clean, position.name, ["none"] * (2 + len(rest))), pack)
    assert verdict is not Verdict.NO_RULE_BROKEN
    better = [key for key, found in blank.items() if found is Outcome.MET and before.get(key) is not Outcome.MET]
    assert better == []
