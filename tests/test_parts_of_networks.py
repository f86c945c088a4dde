"""Small parts of the network and its solution, each at the case where a slip in it would show."""

from __future__ import annotations

from math import isclose
from typing import Any

import pytest
from by_hand import exactly, thing

from packcheck.files.problems import OwnFault
from packcheck.model.pack.types import Bounds
from packcheck.network.chains import gather_chains
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.elimination import by_degree
from packcheck.network.graph import Edge, _joint_ohm
from packcheck.network.stress import Stress
from packcheck.network.topology import nodes_on_the_way, spanning_forest


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


def test_a_device_opens_against_the_highest_of_the_voltages_that_drive_a_short_through_it() -> None:
    """10 V before the fuse and 20 V behind it: it opens against 30 V of the whole, 10 V or 20 V of a part."""
    edges = [
        Edge("a", "b", "P1", "module", "P1", 0.01, 10.0),
        Edge("b", "c", "F1", "device", "F1", 0.001),
        Edge("c", "d", "P2", "module", "P2", 0.01, 20.0),
    ]
    rest = {"a": 0.0, "b": 10.0, "c": 10.0, "d": 30.0}
    at_rest: Any = thing(voltage_v=lambda plus, minus: rest[plus] - rest[minus])
    for pairs in ((("d", "a"), ("c", "a")), (("c", "a"), ("d", "a"), ("d", "b"))):
        assert Stress(edges, spanning_forest(edges), at_rest, pairs).open_v("F1") == pytest.approx(30.0)
    assert Stress(edges, spanning_forest(edges), at_rest, (("c", "a"),)).open_v("F1") == pytest.approx(10.0)
    assert Stress(edges, spanning_forest(edges), at_rest, (("b", "a"),)).open_v("F1") is None


@pytest.mark.parametrize("ends", [("b", "c"), ("c", "b")])
def test_which_way_round_a_fuse_is_drawn_changes_no_share_of_a_short(ends: tuple[str, str]) -> None:
    """10 V over 11 mΩ through the fuse, 10 V over 20 mΩ beside it: 20 of 31 parts run through the fuse."""
    edges = [
        Edge("a", "b", "P1", "module", "P1", 0.010, 10.0),
        Edge(*ends, "F1", "device", "F1", 0.001),
        Edge("a", "c", "P2", "module", "P2", 0.020, 10.0),
    ]
    (short,) = Stress(edges, spanning_forest(edges), thing(voltage_v=lambda *_: 10.0), (("c", "a"),)).shorts
    assert short.share("F1") == pytest.approx(20 / 31)


@pytest.mark.parametrize(("band", "read", "ohm"), [
    (Bounds(20e-6, 60e-6, 40e-6), 55e-6, 55e-6), (Bounds(20e-6, 60e-6, 40e-6), None, 40e-6),
    (Bounds(20e-6, 60e-6), None, 60e-6), (Bounds(20e-6, None), None, 20e-6), (Bounds(), None, 100e-6),
    (Bounds(20e-6, 60e-6, 40e-6), 0.0, 40e-6),
])  # fmt: skip
def test_a_joint_has_what_was_read_or_what_is_usual_or_the_most_that_it_may(
    band: Bounds, read: float | None, ohm: float
) -> None:
    """Nothing read is no reading of nothing: no joint has 0 Ω."""
    assert _joint_ohm(thing(resistance_ohm=band), None if read is None else exactly(read)) == ohm
    assert _joint_ohm(None, None) == 100e-6
