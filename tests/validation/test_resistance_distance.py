"""Resistances between the nodes of well-known graphs, against the graph library networkx and against fractions by hand.

networkx: ``resistance_distance``, ``effective_graph_resistance`` and the examples in its reference, networkx.org.  That
the edges of a connected graph of n nodes sum to n - 1 (R. M. Foster's theorem) is plain arithmetic on each graph.
"""

from __future__ import annotations

import random
from fractions import Fraction

import networkx as nx
import pytest

from packcheck.network.circuit import Branch, resistances_between, solve_circuit

ONE = Fraction(1)


def unit_branches(graph: nx.Graph) -> list[Branch]:
    return [Branch(a, b, ONE) for a, b in graph.edges]


def distances(graph: nx.Graph, *pairs: tuple[object, object]) -> list[Fraction]:
    return [Fraction(found) for found in resistances_between(unit_branches(graph), pairs)]


@pytest.mark.parametrize(("nodes", "expected"), [(3, "2/3"), (4, "1/2"), (5, "2/5"), (8, "1/4")])
def test_complete_graph(nodes: int, expected: str) -> None:
    assert distances(nx.complete_graph(nodes), (0, nodes - 1)) == [Fraction(expected)]


def test_cycle_of_seven() -> None:
    expected = [Fraction(k * (7 - k), 7) for k in (1, 2, 3)]
    assert distances(nx.cycle_graph(7), (0, 1), (0, 2), (0, 3)) == expected
    assert [round(float(r), 6) for r in expected] == [0.857143, 1.428571, 1.714286]


def test_path_is_as_long_as_its_branches() -> None:
    assert distances(nx.path_graph(30), (0, 29), (3, 11)) == [29, 8]


def test_cube() -> None:
    cube = nx.hypercube_graph(3)
    pairs = [((0, 0, 0), end) for end in [(0, 0, 1), (0, 1, 1), (1, 1, 1)]]
    assert distances(cube, *pairs) == [Fraction(7, 12), Fraction(3, 4), Fraction(5, 6)]


@pytest.mark.parametrize(
    ("sections", "expected"), list(enumerate(["2", "5/3", "13/8", "34/21", "89/55", "233/144", "610/377"], start=1))
)
def test_ladder_of_series_and_shunt_ones(sections: int, expected: str) -> None:
    parts = [Branch(k, k + 1, ONE) for k in range(sections)] + [
        Branch(k, "common", ONE) for k in range(1, sections + 1)
    ]
    assert resistances_between(parts, [(0, "common")]) == [Fraction(expected)]


def test_long_ladder_tends_to_the_golden_ratio() -> None:
    parts = [Branch(k, k + 1, 1.0) for k in range(40)] + [Branch(k, "common", 1.0) for k in range(1, 41)]
    assert resistances_between(parts, [(0, "common")])[0] == pytest.approx((1 + 5**0.5) / 2, rel=1e-14)


@pytest.mark.parametrize(("rungs", "expected"), list(enumerate(["3/4", "11/15", "41/56", "153/209"], start=2)))
def test_ladder_graph_end_rung(rungs: int, expected: str) -> None:
    assert distances(nx.ladder_graph(rungs), (0, rungs)) == [Fraction(expected)]


@pytest.mark.parametrize(("side", "expected"), [(3, "3/2"), (4, "13/7")])
def test_grid_corner_to_corner(side: int, expected: str) -> None:
    assert distances(nx.grid_2d_graph(side, side), ((0, 0), (side - 1, side - 1))) == [Fraction(expected)]


GRAPHS = [
    ("tetrahedron", nx.tetrahedral_graph(), 3, 3, "1/2"),
    ("cube", nx.cubical_graph(), 5, 7, "7/12"),
    ("octahedron", nx.octahedral_graph(), 7, 5, "5/12"),
    ("dodecahedron", nx.dodecahedral_graph(), 11, 19, "19/30"),
    ("icosahedron", nx.icosahedral_graph(), 19, 11, "11/30"),
    ("petersen", nx.petersen_graph(), 6, 9, "3/5"),
    ("ladder 2x5", nx.ladder_graph(5), 4, 9, None),
    ("wheel 6", nx.wheel_graph(6), 5, 5, None),
    ("grid 3x3", nx.grid_2d_graph(3, 3), 4, 8, None),
    ("karate club", nx.Graph(nx.karate_club_graph().edges), 45, 33, None),
]


@pytest.mark.parametrize(
    ("graph", "loops", "foster", "edge_ohm"),
    [row[1:] for row in GRAPHS],
    ids=[row[0] for row in GRAPHS],
)
def test_known_graphs(graph: nx.Graph, loops: int, foster: int, edge_ohm: str | None) -> None:
    edges = distances(graph, *graph.edges)
    assert graph.number_of_edges() - graph.number_of_nodes() + 1 == loops
    assert sum(edges) == foster == graph.number_of_nodes() - 1
    if edge_ohm is not None:
        assert set(edges) == {Fraction(edge_ohm)}
    nodes = list(graph)
    everyone = [(a, b) for place, a in enumerate(nodes) for b in nodes[:place]]
    assert float(sum(distances(graph, *everyone))) == pytest.approx(nx.effective_graph_resistance(graph), rel=1e-9)


def test_example_in_networkx() -> None:
    """Printed: resistance_distance(G, 1, 3) = 0.625 and effective_graph_resistance(G) = 10.25."""
    graph = nx.Graph([(1, 2), (1, 3), (1, 4), (3, 4), (3, 5), (4, 5)])
    assert distances(graph, (1, 3)) == [Fraction("0.625")]
    assert sum(distances(graph, *[(a, b) for a in graph for b in graph if a < b])) == Fraction("10.25")


@pytest.mark.parametrize("seed", range(20))
def test_random_multigraphs_against_networkx(seed: int) -> None:
    rng = random.Random(seed)
    nodes = rng.randint(3, 25)
    parts = [Branch(k, rng.randrange(k), 10 ** rng.uniform(-3, 3)) for k in range(1, nodes)]
    parts += [Branch(rng.randrange(nodes), rng.randrange(nodes), 10 ** rng.uniform(-3, 3)) for _ in range(nodes)]
    graph = nx.MultiGraph()
    for part in parts:
        if part.start != part.end:
            graph.add_edge(part.start, part.end, weight=part.resistance)
    pairs = [tuple(rng.sample(range(nodes), 2)) for _ in range(8)]
    expected = [nx.resistance_distance(graph, a, b, weight="weight", invert_weight=True) for a, b in pairs]
    assert resistances_between(parts, pairs) == pytest.approx(expected, rel=1e-7)
    driven = [solve_circuit(parts, {a: 1.0, b: -1.0}).voltage(a, b) for a, b in pairs]
    assert driven == pytest.approx(resistances_between(parts, pairs), rel=1e-12)
