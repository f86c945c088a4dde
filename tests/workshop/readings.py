"""Readings of voltage that a record holds: between which nodes they are taken, and what the true build shows there."""

from __future__ import annotations

import random
from collections.abc import Iterable
from itertools import pairwise

from packcheck.model.pack.model import Pack
from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import Edge, branches, network_of_record
from packcheck.network.topology import Forest, spanning_forest
from workshop.as_read import record_of
from workshop.as_yaml import Data


def readings_of(pack: Pack, record: Data, random_: random.Random) -> Data:
    """Return voltage readings with the plug out: between neighbouring taps, across every lead and device end, and
    between the mains.

    They are true to what the record says was fitted, read by V1 with an error of less than half its accuracy.
    """
    edges = network_of_record(record_of({**record, "readings": {}}, pack)).closed(())
    forest = spanning_forest(edges)
    solution = solve_circuit(branches(edges))
    wanted = [*_wanted_pairs(pack, edges, forest), ends_of(pack)]
    rows: Data = {
        "columns": ["between", "and", "value V"],
        "taken": {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"},
    }
    for index, (plus, minus) in enumerate(wanted, 1):
        volts = solution.voltage(plus, minus) if plus in solution.island and minus in solution.island else None
        true = 0.0 if volts is None else float(volts)
        rows[f"V{index}"] = [plus, minus, round(true + random_.uniform(-0.5, 0.5) * (0.0003 * abs(true) + 0.002), 4)]
    return rows


def ends_of(pack: Pack) -> tuple[str, str]:
    """Return the place of + at the end of the last string, and that of − at the start of the first."""
    strings = list(pack.strings.values())
    last, first = strings[-1].groups[-1], strings[0].groups[0]
    return pack.positions[pack.groups[last][0]].plus_place, pack.positions[pack.groups[first][0]].minus_place


def _wanted_pairs(pack: Pack, edges: list[Edge], forest: Forest) -> list[tuple[str, str]]:
    nodes = list(dict.fromkeys(tap.node for tap in pack.taps.values()))
    pairs = []
    for a, b in pairwise(nodes):
        walk = forest.walk(a, b)
        if walk and any(step.edge.kind == "module" for step in walk):
            forward = next(step for step in walk if step.edge.kind == "module").forward
            pairs.append((b, a) if forward else (a, b))
    walks = [forest.walk(a, b) or () for b, a in pairs]
    crossed = {_side(pack, step.edge) for walk in walks for step in walk if step.edge.kind == "joint"}
    ends = {edge.name: _side(pack, edge) for edge in edges if edge.kind == "joint"}
    for conductor in pack.conductors.values():
        if not {ends.get(landing.joint) for landing in conductor.lands} <= crossed:
            pair = _across(conductor.lands[0].node, conductor.lands[-1].node, edges)
            if pair:
                pairs.append(pair)
                crossed.update(_side(pack, s.edge) for s in forest.walk(*pair) or () if s.edge.kind == "joint")
    return pairs


def _side(pack: Pack, joint: Edge) -> tuple[str, str]:
    """Return a conductor and where it lands; members of one parallel group count as one place."""
    position = pack.positions.get(joint.start.partition(".")[0])
    return joint.part, position.group if position else joint.start


def _across(first: str, last: str, edges: Iterable[Edge]) -> tuple[str, str] | None:
    """Return the nodes of a reading across a conductor and the nearest module beyond one of its landings."""
    edges = list(edges)
    for start, other in ((first, last), (last, first)):
        forest = spanning_forest(edges, roots=(start,))
        if forest.root.get(other) != start:
            continue
        for node in forest.root:
            edge = forest.edge.get(node)
            if forest.root[node] == start and edge and edge.kind == "module":
                walk = forest.walk(start, node) or []
                if other in {s.edge.start for s in walk} | {s.edge.end for s in walk}:
                    return (node, start) if edge.end == node else (start, node)
    return None
