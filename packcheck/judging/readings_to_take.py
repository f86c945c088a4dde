"""The voltages that a build of a layout has to be read for, the fewest that show everything: for a blank record."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from packcheck.facts.drawn import drawn
from packcheck.facts.evidence import Evidence
from packcheck.facts.open_switches import (
    DISCONNECTS,
    ends_past,
    inner_end,
    is_at_a_main,
    is_main_contactor,
    parts_mains,
    parts_outlet,
)
from packcheck.model.pack.model import Device, Pack, Tap
from packcheck.network.graph import Edge
from packcheck.network.topology import Forest, spanning_forest, tree_potentials
from packcheck.rules.findings import Gate

_SAME_V = 1e-9
"""Potentials nearer than this are one [V]: they differ by rounding alone."""


class ToRead(NamedTuple):
    """One voltage to read: the red lead's place, the black lead's, the switching state, by which gate."""

    plus: str
    minus: str
    state: str
    gate: Gate


def asked_readings(pack: Pack) -> tuple[ToRead, ...]:
    """Return the readings in working order, each pair of places in one state once.

    With every switch open: each sense block, and each part of the pack that hangs together from end to end, so that
    every lead lies between two of them; a tap of each connector that another fits, against such an end.  Then the
    mains, with the plug out and with it in, and past each contactor.
    """
    found: dict[tuple[frozenset[str], str], ToRead] = {}
    for asked in (*_open(pack), *_mains(pack)):
        found.setdefault((frozenset((_node(pack, asked.plus), _node(pack, asked.minus))), asked.state), asked)
    return tuple(found.values())


def asked_isolation(pack: Pack) -> ToRead | None:
    """Return the two poles of the isolation test that the layout asks for, in the state that joins all between them."""
    if pack.insulation.least_ohm_per_v is None and pack.insulation.floor_ohm is None:
        return None
    return next((asked for asked in _mains(pack) if asked.gate is Gate.CLOSE_CONTACTORS), None)


def all_open(pack: Pack) -> str:
    """Return the state of the layout in which nothing is closed, or ""."""
    return next((name for name, state in pack.states.items() if not state.closed), "")


def _node(pack: Pack, name: str) -> str:
    return pack.node_of(name) or name


def _open(pack: Pack) -> Iterator[ToRead]:
    state = all_open(pack)
    if not state:
        return
    edges = [edge for edge in drawn(pack).network.closed(()) if not edge.is_load]
    forest = spanning_forest(edges)
    potential = tree_potentials(forest)
    for lower, upper in pairwise(pack.taps.values()):
        walk = forest.walk(lower.node, upper.node) or ()
        if any(step.edge.kind == "module" for step in walk):
            rises = potential[upper.node] >= potential[lower.node]
            high, low = (upper, lower) if rises else (lower, upper)
            yield ToRead(high.name, low.name, state, Gate.PLUG_IN)
    ends = [*_end_to_end(pack, edges, forest, potential)]
    for plus, minus in ends:
        yield ToRead(plus, minus, state, Gate.PLUG_IN)
    for plus, minus in _to_like_connectors(pack, ends, forest, potential):
        yield ToRead(plus, minus, state, Gate.PLUG_IN)


def _to_like_connectors(
    pack: Pack, ends: list[tuple[str, str]], forest: Forest, potential: dict[str, float]
) -> Iterator[tuple[str, str]]:
    """Yield the upper end of its part against the lowest tap of each connector that another of as many pins fits.

    Blocks read at the pins alone read alike with two such plugs exchanged.  Of connectors that begin at one potential
    no voltage tells.
    """
    taps: dict[str, list[Tap]] = {}
    for tap in pack.taps.values():
        if tap.connector and tap.node in potential:
            taps.setdefault(tap.connector, []).append(tap)
    lowest = {name: min(those, key=lambda tap: potential[tap.node]) for name, those in taps.items()}
    begins = {name: (forest.root[tap.node], round(potential[tap.node], 6)) for name, tap in lowest.items()}
    tops = {forest.root[plus]: plus for plus, _ in reversed(ends)}
    for name, tap in lowest.items():
        told = any(len(taps[name]) == len(taps[other]) and begins[name] != begins[other] for other in taps)
        top = tops.get(forest.root[tap.node], "")
        if told and top and potential[top] - potential[tap.node] > _SAME_V:
            yield top, tap.name


def _end_to_end(
    pack: Pack, edges: list[Edge], forest: Forest, potential: dict[str, float]
) -> Iterator[tuple[str, str]]:
    """Yield for each part that hangs together its two ends, and every other loose end against the one further off."""
    ways = Counter(node for edge in edges for node in (edge.start, edge.end))
    ends = {end for device in pack.devices.values() for end in device.ends}
    parts: dict[str, list[str]] = {}
    for node, root in forest.root.items():
        parts.setdefault(root, []).append(node)
    driven = {forest.root[edge.start] for edge in edges if edge.kind == "module"}
    for root, nodes in parts.items():
        if root not in driven:
            continue
        top, bottom = (_end(pack, nodes, potential, ways, ends, of) for of in (max, min))
        if potential[top] - potential[bottom] < _SAME_V:
            continue
        yield top, bottom
        for node in nodes:
            if node in ends and ways[node] == 1 and node not in (top, bottom):
                high = potential[node] - potential[bottom] > _SAME_V
                yield (node, bottom) if high else (top, node)


def _end(
    pack: Pack, nodes: list[str], potential: dict[str, float], ways: Counter[str], ends: set[str], of: object
) -> str:
    """Return the loose end of a device at the highest or lowest potential, else a place there that people can reach."""
    most = (max if of is max else min)(potential[node] for node in nodes)
    there = [node for node in nodes if abs(potential[node] - most) < _SAME_V and node not in pack.conductors]
    return min(there, key=lambda node: (node not in ends or ways[node] != 1, node not in ends))


def _mains(pack: Pack) -> Iterator[ToRead]:
    evidence = Evidence(pack)
    drawn = evidence.drawn
    plus, minus = (inner_end(evidence, pack.outside[end]) for end in ("main+", "main-"))
    out = all_open(pack)
    for device in pack.devices.values():
        if out and device.kind in DISCONNECTS and parts_mains(drawn, device):
            yield ToRead(*ends_past(evidence, device), out, Gate.PLUG_IN)
        if out and parts_outlet(drawn, device):
            yield ToRead(*ends_past(evidence, device), out, Gate.PLUG_IN)
    states = sorted(pack.states.items(), key=lambda item: len(item[1].closed))
    made = next((n for n, s in states if drawn.joins(s.closed).joined(plus, minus)), "")
    if not made:
        return
    yield ToRead(plus, minus, made, Gate.CLOSE_CONTACTORS)
    for name, device in pack.devices.items():
        if not is_main_contactor(drawn, device) or not drawn.acts_in_path(device):
            continue
        if not is_at_a_main(drawn, device):
            yield from [ToRead(*ends_past(evidence, device), out, Gate.CLOSE_CONTACTORS)] if out else []
        elif name not in pack.states[made].closed:
            yield ToRead(*_past(pack, evidence, device), made, Gate.CLOSE_CONTACTORS)


def _past(pack: Pack, evidence: Evidence, device: Device) -> tuple[str, str]:
    """Return the main terminal past an open contactor and the inner side of the other one, the positive side first."""
    main = {end: pack.outside[end] for end in ("main+", "main-")}
    plain = evidence.drawn.conductors_switches_open
    is_at_plus = any(end == main["main+"] or plain.joined(end, main["main+"]) for end in device.ends)
    if is_at_plus:
        return main["main+"], inner_end(evidence, main["main-"])
    return inner_end(evidence, main["main+"]), main["main-"]
