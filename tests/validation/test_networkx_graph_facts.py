"""Facts about what is joined, against networkx's own algorithms and against brute force, on random multigraphs.

networkx: its reference is at networkx.org.  The cyclomatic number is m − n + c.
"""

from __future__ import annotations

import random

import networkx as nx
import pytest

from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import Edge, branches
from packcheck.network.rings import Ring, driven_rings
from packcheck.network.topology import (
    conductors_alone,
    nodes_between,
    spanning_forest,
    unsettled_blocks,
)

SEEDS = range(60)


def random_edges(seed: int, nodes: int, edges: int) -> list[Edge]:
    """Return edges between random nodes, parallel ones among them, no edge from a node to itself."""
    random_ = random.Random(seed)
    found = []
    for number in range(edges):
        start, end = random_.sample(range(nodes), 2)
        kind = random_.choice(["module", "joint", "joint", "device"])
        emf = random_.choice([2.0, 7.92, 12.5]) if kind == "module" else 0.0
        found.append(Edge(f"n{start}", f"n{end}", f"e{number}", kind, f"e{number}", random_.uniform(1e-4, 1e-2), emf))
    return found


def graph_of(edges: list[Edge]) -> nx.MultiGraph:
    graph = nx.MultiGraph()
    graph.add_edges_from((edge.start, edge.end, edge.name) for edge in edges)
    return graph


@pytest.mark.parametrize("seed", SEEDS)
def test_cyclomatic_number(seed: int) -> None:
    edges = random_edges(seed, 2 + seed % 20, 1 + seed % 37)
    graph = graph_of(edges)
    expected = graph.number_of_edges() - graph.number_of_nodes() + nx.number_connected_components(graph)
    assert spanning_forest(edges).loops(edges) == expected


@pytest.mark.parametrize("seed", SEEDS)
def test_joined_is_connected_and_each_walk_is_a_path(seed: int) -> None:
    edges = random_edges(seed, 12, 5 + seed % 14)
    graph, forest = graph_of(edges), spanning_forest(edges)
    for a in graph:
        reached = nx.node_connected_component(graph, a)
        assert {b for b in graph if forest.joined(a, b)} == reached
        for b in reached:
            assert_walks(forest.walk(a, b) or [], a, b)


def assert_walks(steps: list, start: str, end: str) -> None:
    here, seen = start, {start}
    for edge, forward in steps:
        assert here == (edge.start if forward else edge.end)
        here = edge.end if forward else edge.start
        assert here not in seen
        seen.add(here)
    assert here == end


@pytest.mark.parametrize("seed", SEEDS)
def test_walks_from_a_root_are_shortest_paths(seed: int) -> None:
    edges = random_edges(seed, 14, 18)
    length = nx.single_source_shortest_path_length(graph_of(edges), edges[0].start)
    forest = spanning_forest(edges, roots=(edges[0].start,))
    assert {node: forest.depth[node] for node in length} == length


@pytest.mark.parametrize("seed", SEEDS)
def test_nodes_between_are_those_of_all_simple_paths(seed: int) -> None:
    edges = random_edges(seed, 4 + seed % 5, 4 + seed % 9)
    graph = nx.Graph(graph_of(edges))
    for a in graph:
        for b in set(graph) - {a}:
            on_paths = {node for path in nx.all_simple_paths(graph, a, b) for node in path}
            assert nodes_between(edges, a, b) == on_paths, (a, b)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_bridge_is_an_edge_whose_loss_parts_its_ends(seed: int) -> None:
    edges = random_edges(seed, 9, 12)
    graph = graph_of(edges)
    bridges = {frozenset(pair) for pair in nx.bridges(nx.Graph(graph)) if graph.number_of_edges(*pair) == 1}
    for edge in edges:
        rest = spanning_forest([other for other in edges if other is not edge])
        assert (not rest.joined(edge.start, edge.end)) == (frozenset((edge.start, edge.end)) in bridges)


@pytest.mark.parametrize("seed", SEEDS)
def test_without_the_edges_that_close_rings_no_current_flows(seed: int) -> None:
    edges = random_edges(seed, 10, 22)
    edges = [edge._replace(as_drawn=number < 12) for number, edge in enumerate(edges)]
    rings = driven_rings(edges, lambda those: [0.0] * len(those))
    closing = [ring.steps[0].edge for ring in rings]
    assert len(set(closing)) == len(rings)
    rest = [edge for edge in edges if edge not in closing]
    assert max(map(abs, solve_circuit(branches(rest)).current), default=0.0) < 1e-6
    for ring in rings:
        assert ring.modules
        assert_closed(ring)


def assert_closed(ring: Ring) -> None:
    """Assert that a ring is one cycle of the graph, and that its sums are those of its edges walked one way round."""
    closing = ring.steps[0].edge
    assert_walks(list(ring.steps[1:]), closing.end, closing.start)
    at, volts, ohms = closing.start, 0.0, 0.0
    for edge, _ in ring.steps:
        volts += edge.emf_v if edge.start == at else -edge.emf_v
        ohms += edge.resistance_ohm
        at = edge.end if edge.start == at else edge.start
    assert at == closing.start
    assert ring.driving_v == pytest.approx(abs(volts))
    assert ring.resistance_ohm == pytest.approx(ohms)


@pytest.mark.parametrize("seed", SEEDS)
def test_an_edge_that_may_be_missing_moves_only_potentials_inside_the_loops_it_belongs_to(seed: int) -> None:
    edges = random_edges(seed, 9, 13)
    doubtful = edges[seed % len(edges)]
    possible = [edge._replace(sure=edge is not doubtful) for edge in edges]
    surely = [edge for edge in possible if edge.sure]
    blocks, forest = unsettled_blocks(possible), spanning_forest(surely)
    with_it, without_it = solve_circuit(branches(possible)), solve_circuit(branches(surely))
    for edge in surely:
        settled = blocks.get(edge.start, frozenset()).isdisjoint(blocks.get(edge.end, frozenset()))
        if settled and forest.joined(edge.start, edge.end):
            one, other = (s.voltage(edge.start, edge.end) for s in (with_it, without_it))
            assert one == pytest.approx(other, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_conductors_alone_leave_the_modules_out(seed: int) -> None:
    edges = random_edges(seed, 10, 16)
    graph = graph_of([edge for edge in edges if edge.kind != "module"])
    forest = conductors_alone(edges)
    assert {frozenset(n for n in graph if forest.joined(a, n)) for a in graph} == {
        frozenset(component) for component in nx.connected_components(graph)
    }
