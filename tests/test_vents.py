"""Vent lines as a graph of their own: which modules are joined to an outlet, by the lines as they were found.

Reachability is held to ``networkx.node_connected_component`` of networkx 3 (docs, "Components"), on lines drawn by
lot; the rest is counted by hand on lines of six modules.
"""

from __future__ import annotations

from random import Random
from typing import Any

import networkx as nx
import pytest
from workshop import Data, clean_record, pack_of, record_of, stick_layout

from packcheck.facts.build import build_tables
from packcheck.files.problems import InputProblems
from packcheck.model.pack.model import Pack
from packcheck.network.vent_path import outlet_of, vent_path
from packcheck.rules.catalogue import Value

ONE = {"V1": {"over": "P1..P6", "to": "outlet"}}
TWO = {"V1": {"over": "P1..P3", "to": "V2"}, "V2": {"over": "P4..P6", "to": "outlet"}}
APART = {"V1": {"over": "P1..P3", "to": "left"}, "V2": {"over": "P4..P6", "to": "right"}}


def pack_with(vents: Data) -> Pack:
    return pack_of({**stick_layout(6), "vents": vents})


def facts(drawn: Data, told: Data, again: list[Data] | None = None) -> dict[str, dict[str, Value]]:
    """Return the facts about each vent line of a clean record that tells so much of them."""
    pack = pack_with(drawn)
    record = {**clean_record(pack), "vents": told, **({"again": again} if again else {})}
    if not told:
        del record["vents"]
    rows = build_tables(["vent"], pack, record_of(record, pack))["vent"]
    return {row.subject: dict(row.values) for row in rows}


@pytest.mark.parametrize(
    ("told", "joined", "unjoined"),
    [
        ({"V1": "as drawn"}, True, None),
        ({"V1": {"over": ["P1..P6"], "to": "outlet"}}, True, None),
        ({"V1": {"over": ["P1..P5"], "to": "outlet"}}, False, "P6"),
        ({"V1": {"over": ["P1", "P3..P5"], "to": "outlet"}}, False, "P2, P6"),
        ({"V1": {"over": ["P1..P6"], "to": "inside"}}, False, "P1..P6"),
        ({"V1": "not fitted"}, False, "P1..P6"),
        ({"V1": {"over": ["P1..P6"]}}, None, None),
        ({"V1": {"to": "outlet"}}, None, None),
        ({"V1": {"blown at": "P6", "felt at": "outlet"}}, None, None),
        ({}, None, None),
    ],
)
def test_a_module_is_joined_by_what_was_found_and_by_nothing_else(
    told: Data, joined: bool | None, unjoined: str | None
) -> None:
    found = facts(ONE, told)["V1"]
    assert (found["joins_all"], found["unjoined"]) == (joined, unjoined)


def test_a_line_that_leads_into_another_is_out_where_that_one_is() -> None:
    whole = facts(TWO, {"V1": "as drawn", "V2": "as drawn"})
    assert [one["joins_all"] for one in whole.values()] == [True, True]
    cut = facts(TWO, {"V1": "as drawn", "V2": "not fitted"})
    assert [one["unjoined"] for one in cut.values()] == ["P1..P3", "P4..P6"]
    inside = facts(TWO, {"V1": "as drawn", "V2": {"over": ["P4..P6"], "to": "inside"}})
    assert [(one["joins_all"], one["ends_outside"]) for one in inside.values()] == [(False, True), (False, False)]
    untold = facts(TWO, {"V1": "as drawn"})
    assert [one["joins_all"] for one in untold.values()] == [None, None]


def test_a_module_on_another_line_than_drawn_is_joined_all_the_same() -> None:
    crossed = facts(APART, {"V1": {"over": ["P1..P2"], "to": "left"}, "V2": {"over": ["P3..P6"], "to": "right"}})
    assert [one["joins_all"] for one in crossed.values()] == [True, True]


@pytest.mark.parametrize(
    ("drawn", "blown", "felt", "right"),
    [
        (ONE, "P6", "outlet", True), (ONE, "P6", "nowhere", False), (ONE, "P6", "inside", False),
        (ONE, "P6", "P3", False), (ONE, "P6", None, None), (APART, "P3", "left", True), (APART, "P3", "right", False),
        (APART, "P3", "P4", False), (TWO, "P2", "outlet", True), (TWO, "P2", "V2", False),
    ],
)  # fmt: skip
def test_air_comes_out_where_the_line_of_that_module_leads_or_it_does_not(
    drawn: Data, blown: str, felt: str | None, right: bool | None
) -> None:
    told = dict.fromkeys(drawn, "as drawn")
    told["V1"] = {"is": "as drawn", "blown at": blown, **({"felt at": felt} if felt else {})}  # type: ignore[assignment]
    found = facts(drawn, told)["V1"]
    assert (found["blown"], found["felt_right"]) == (True, right)


def test_nobody_blew_is_no_test() -> None:
    assert facts(ONE, {"V1": "as drawn"})["V1"]["blown"] is False


def test_a_second_look_stands_in_the_row() -> None:
    again: list[Data] = [{"at": "2026-10-05 15:00", "by": "TO", "vent": "V1", "over": ["P1..P6"], "felt at": "outlet",
                          "why": "pushed on until it seats"}]  # fmt: skip
    first = {"V1": {"over": ["P1..P5"], "to": "outlet", "blown at": "P6", "felt at": "nowhere"}}
    found = facts(ONE, first, again)["V1"]
    assert (found["joins_all"], found["felt_right"]) == (True, True)


@pytest.mark.parametrize(
    ("row", "word"),
    [
        ({"over": ["P1..P9"], "to": "outlet"}, "P7"), ({"over": ["P1..P6"], "to": "roof"}, "roof"),
        ({"is": "as drawn", "blown at": "P7"}, "P7"), ({"is": "as drawn", "felt at": "elsewhere"}, "elsewhere"),
        ({"is": "as drawn", "over": ["P1"]}, "as drawn"), ({"is": "as drawn", "to": "inside"}, "as drawn"),
        ({"is": "not fitted", "blown at": "P1"}, "not fitted"),
    ],
)  # fmt: skip
def test_what_is_no_place_of_this_pack_is_refused(row: Data, word: str) -> None:
    with pytest.raises(InputProblems) as raised:
        facts(ONE, {"V1": row})
    assert word in str(raised.value)


@pytest.mark.parametrize(
    ("vents", "outlets"),
    [
        (ONE, ["outlet"]), (TWO, ["outlet", "outlet"]), (APART, ["left", "right"]),
        ({"V1": {"over": "P1..P3", "to": "V2"}, "V2": {"over": "P4..P6", "to": "V1"}}, ["", ""]),
        ({"V1": {"over": "P1..P6", "to": "V1"}}, [""]),
    ],
)  # fmt: skip
def test_an_outlet_is_reached_through_other_lines_and_never_round_in_a_circle(vents: Data, outlets: list[str]) -> None:
    pack = pack_with(vents)
    assert [outlet_of(pack, name) for name in pack.vents] == outlets
    row = build_tables(["pack"], pack)["pack"][0]
    assert row.values["vents_lead_out"] is ("" not in outlets)
    assert (vent_path(pack).leads_out("P1") is True) is (outlets[0] != "")


@pytest.mark.parametrize("seed", range(30))
def test_what_is_joined_is_what_hangs_together_with_the_outside(seed: int) -> None:
    lot = Random(seed)
    lines = [f"V{i}" for i in range(1, lot.randint(2, 6))]
    modules = [f"P{i}" for i in range(1, 7)]
    drawn: dict[str, Any] = {line: {"over": lot.sample(modules, lot.randint(1, 4)), "to": "outlet"} for line in lines}
    told: dict[str, Any] = {}
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(["outlet", *modules])
    for line in lines:
        over, to = lot.sample(modules, lot.randint(1, 4)), lot.choice([*lines, "outlet", "inside", "inside"])
        told[line] = "not fitted" if lot.random() < 0.2 else {"over": over, "to": to}
        if told[line] != "not fitted":
            graph.add_edges_from((line, module) for module in over)
            graph.add_edges_from([(line, to)] if to != "inside" else [])
    out = nx.node_connected_component(graph, "outlet")
    pack = pack_with(drawn)
    record = record_of({**clean_record(pack), "vents": told}, pack)
    path = vent_path(pack, record.vents)
    assert {module for module in modules if path.leads_out(module)} == out & set(modules)
    assert all(path.leads_out(module) is not None for module in modules)


@pytest.mark.parametrize(
    ("to", "why"),
    [
        ("V2", "looks like the vent line V1"), ("V17", "looks like the vent line V1"), ("V", "looks like"),
        ("1V", "looks like"), ("v1", "looks like"), ("Y1", "looks like"), ("P3", "a position"), ("p3", "a position"),
        ("P3.A", "a position"), ("SD", "a device"), ("SD.1", "a device"), ("B1", "a conductor"), ("CA", "a cover"),
    ],
)  # fmt: skip
def test_what_is_no_line_is_an_outlet_only_by_a_name_of_its_own(to: str, why: str) -> None:
    layout = {**stick_layout(6), "vents": {"V1": {"over": "P1..P6", "to": to}}}
    layout["covers"] = {"CA": {"over": "face A"}}
    layout.pop("order", None)
    with pytest.raises(InputProblems) as raised:
        pack_of(layout)
    (problem,) = raised.value.problems
    assert why in problem.found


@pytest.mark.parametrize("to", ["outlet", "roof", "left", "outlet 2", "inside", "grommet"])
def test_a_name_that_is_nothing_else_is_an_outlet(to: str) -> None:
    assert pack_with({"V1": {"over": "P1..P6", "to": to}}).vents["V1"]["to"] == to


def test_air_blown_in_at_another_line_is_no_test_of_this_one() -> None:
    with pytest.raises(InputProblems, match=r"P5.*not on V1"):
        facts(APART, {"V1": {"is": "as drawn", "blown at": "P5", "felt at": "left"}, "V2": "as drawn"})
    with pytest.raises(InputProblems, match=r"P5.*not on V1"):
        facts(TWO, {"V1": {"is": "as drawn", "blown at": "P5", "felt at": "outlet"}, "V2": "as drawn"})
    through = facts(TWO, {"V1": "as drawn", "V2": {"is": "as drawn", "blown at": "P2", "felt at": "outlet"}})
    assert through["V2"]["felt_right"] is True, "the air of P2 leaves through V1 and V2"
