"""Small parts of the network and its solution, each at the case where a slip in it would show."""

from __future__ import annotations

from math import isclose
from typing import Any

import pytest

from packcheck.files.problems import OwnFault
from packcheck.network.chains import gather_chains
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.elimination import by_degree
from packcheck.network.graph import Edge
from packcheck.network.topology import nodes_on_the_way


def test_fewest_neighbours_are_taken_out_first_and_every_junction_once() -> None:
    """A hub of four around it, one of three, and ends of one: the degrees come in rising order."""
    arms: list[dict[int, Any]] = [{1: 1, 2: 1, 3: 1, 4: 1}, {0: 1, 2: 1, 3: 1}, {0: 1, 1: 1}, {0: 1, 1: 1}, {0: 1}]
    assert [len(arms[junction]) for junction in by_degree(arms)] == [1, 2, 2, 3, 4]


def test_a_chain_runs_from_where_three_meet_to_where_three_meet() -> None:
    """Three ways of three branches each between two junctions are three chains of 3 Ω."""
    tail, head, number = [], [], 2
    for _ in range(3):
        tail += [0, number, number + 1]
        head += [number, number + 1, 1]
        number += 2
    found = gather_chains([*reversed(tail)], [*reversed(head)], [1.0] * 9, [0.0] * number)
    assert len(found) == 3
    assert all(isclose(chain.resistance, 3.0) and {chain.start, chain.end} == {0, 1} for chain in found)


def test_a_terminal_alone_lies_on_no_way_between_terminals() -> None:
    edge = lambda a, b: Edge(a, b, f"{a}{b}", "joint", a, 1e-4)  # noqa: E731
    assert nodes_on_the_way([edge("a", "b"), edge("b", "c"), edge("c", "d")], ("a", "c")) == {"a", "b", "c"}
    assert nodes_on_the_way([edge("a", "b")], ("a",)) == frozenset()


def test_what_is_fed_into_an_island_is_weighed_against_all_that_is_fed() -> None:
    """1 GA in and out leave what rounding leaves, though the last feed is a milliampere; 1 A too much is refused."""
    ring = [Branch("a", "b", 1.0), Branch("b", "c", 1.0), Branch("c", "a", 1.0)]
    solve_circuit(ring, {"a": 1e9, "b": -1e9 - 1e-3 + 1e-7, "c": 1e-3})
    with pytest.raises(OwnFault, match="leave"):
        solve_circuit(ring, {"a": 10.0, "b": -9.0, "c": 0.5})
