"""A network factored once and then changed, against dense nodal analysis of the changed network."""

from __future__ import annotations

import random

import pytest
from oracle.algebra import Circuit
from oracle.drawing import Part
from workshop import Data, grouped_layout, pack_of, rack_layout, stick_layout, trayed_layout

from packcheck.network.factored import Factored
from packcheck.network.graph import Edge, network_of_layout
from packcheck.network.updates import Put, Updated, eliminated

LAYOUTS = [stick_layout(12), grouped_layout(6, 3), trayed_layout(6), rack_layout([5, 5, 4])]


def part(edge: Edge) -> Part:
    return Part(edge.name, edge.start, edge.end, edge.resistance_ohm, edge.emf_v)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: str(layout["name"]))
@pytest.mark.parametrize("state", ["plug out", "plug in", "live"])
def test_changes_of_every_kind_agree_with_a_new_solution(layout: Data, state: str) -> None:
    pack, draw = pack_of(layout), random.Random(state)
    edges = network_of_layout(pack).closed(pack.states[state].closed)
    factored = Factored(edges, pack.nodes)
    modules = [edge.name for edge in edges if edge.kind == "module"]
    checked = 0
    for _ in range(40):
        out = {edge.name for edge in draw.sample(edges, draw.choice([0, 1, 2, 3]))}
        put = [Put(*draw.sample(sorted(pack.nodes), 2), draw.choice([1e-4, 1e-2, 47.0])) for _ in range(2)]
        put = put[: draw.choice([0, 1, 2])]
        emf = {name: draw.uniform(-16, 8) for name in draw.sample(modules, draw.choice([0, 1, 2]))}
        updated = Updated(factored, out, put, emf)
        changed = [edge._replace(emf_v=edge.emf_v + emf.get(edge.name, 0.0)) for edge in edges if edge.name not in out]
        oracle = Circuit([*map(part, changed), *(Part(f"+{i}", p.start, p.end, p.ohm) for i, p in enumerate(put))])
        for plus, minus in (draw.sample(sorted(factored.index), 2) for _ in range(40)):
            volts, joined = updated.voltage_v(plus, minus)
            assert joined == oracle.joins(plus, minus), (out, put, plus, minus)
            if joined:
                assert volts == pytest.approx(oracle.volts(plus, minus), abs=1e-6)
                checked += 1
    assert checked > 100


def test_a_load_drawn_takes_each_block_down_by_current_times_resistance() -> None:
    pack = pack_of(stick_layout(4))
    edges = network_of_layout(pack).closed(pack.states["live"].closed)
    ends = (pack.outside["main+"], pack.outside["main-"])
    updated = Updated(Factored(edges), load=ends, fed_a=20.0)
    rest = Updated(Factored(edges))
    ohm = sum(edge.resistance_ohm for edge in edges)
    assert rest.voltage_v(*ends)[0] - updated.voltage_v(*ends)[0] == pytest.approx(20.0 * ohm)
    assert not updated.broken


def test_a_load_that_finds_no_way_is_said_to() -> None:
    pack = pack_of(stick_layout(4))
    edges = network_of_layout(pack).closed(pack.states["live"].closed)
    ends = (pack.outside["main+"], pack.outside["main-"])
    assert Updated(Factored(edges), ["P2"], load=ends, fed_a=20.0).broken


def test_a_bar_across_two_modules_carries_what_they_drive_through_their_resistances() -> None:
    """Two modules of 7.95 V and 10 mΩ with the bars and joints between, shorted: the sum over the sum."""
    pack = pack_of(stick_layout(4))
    edges = network_of_layout(pack).closed(())
    factored = Factored(edges, pack.nodes)
    updated = Updated(factored, put=[Put("P1.B", "P2.B", 220e-6)])
    ring = 2 * 0.010 + 2 * (80e-6 + 10e-6) + 220e-6
    assert updated.circulating_a == pytest.approx(2 * 7.95 / ring)
    assert updated.voltage_v("P2.B", "P1.B")[0] == pytest.approx(updated.circulating_a * 220e-6)


def test_equations_that_leave_a_current_free_say_which() -> None:
    solution, free, fails = eliminated([[1.0, 1.0, 2.0], [1.0, 1.0, 2.0]])
    assert not fails
    assert sum(solution) == 2.0
    assert len(free) == 1
    assert sum(free[0]) == 0.0
    assert eliminated([[1.0, 1.0, 2.0], [1.0, 1.0, 3.0]])[2]
