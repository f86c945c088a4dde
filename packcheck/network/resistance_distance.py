"""Resistances between wanted pairs of junctions, all from one elimination of the network."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import inf
from typing import Any

from packcheck.network.chains import Number
from packcheck.network.elimination import by_degree


def resistance_distances(
    junctions: int,
    tail: Sequence[int],
    head: Sequence[int],
    resistance: Sequence[Number],
    pairs: Sequence[tuple[int, int]],
) -> list[Number]:
    """Return the resistance [Ω] between the junctions of each pair; ``inf`` where nothing joins them.

    Junctions are numbered from 0; a negative number stands for a junction that no branch touches.  ``resistance`` [Ω]
    is above 0.  A pair without a branch of its own takes part as a branch of no conductance, so that elimination keeps
    track of it.
    """
    arms: list[dict[int, Any]] = [{} for _ in range(junctions)]
    for start, end, ohm in zip(tail, head, resistance, strict=True):
        if start != end:
            arms[start][end] = arms[end][start] = arms[start].get(end, 0) + 1 / ohm
    for one, other in pairs:
        if one != other and min(one, other) >= 0:
            arms[one].setdefault(other, 0)
            arms[other].setdefault(one, 0)
    found: list[dict[int, Any]] = [{} for _ in range(junctions)]
    for junction, around, total in reversed(_take_out_all(arms)):
        _find_from_neighbours(found, junction, around, total)
    zero = resistance[0] * 0 if resistance else 0.0
    for one in range(junctions):
        found[one][one] = zero
    return [found[one].get(other, inf) if min(one, other) >= 0 else inf for one, other in pairs]


def _take_out_all(arms: list[dict[int, Any]]) -> list[tuple[int, list[tuple[int, Any]], Any]]:
    """Replace junction after junction by the mesh of its neighbours; return each with its arms and their sum."""
    tape = []
    for junction in by_degree(arms):
        around = list(arms[junction].items())
        total = sum([conductance for _, conductance in around])
        tape.append((junction, around, total))
        arms[junction] = {}
        for neighbour, _ in around:
            del arms[neighbour][junction]
        for (k, g_k), (m, g_m) in combinations(around, 2):
            made = g_k * g_m / total if total else 0
            arms[k][m] = arms[m][k] = arms[k].get(m, 0) + made
    return tape


def _find_from_neighbours(
    found: list[dict[int, Any]], junction: int, around: list[tuple[int, Any]], total: Any
) -> None:
    """Add the resistances from a junction to its neighbours, those among the neighbours being known.

    The junction's potential is the mean of its neighbours' weighted by w_k = g_k / G, so that
    R(c, k) = 1/G + sum_m w_m R(m, k) - sum_{l<m} w_l w_m R(l, m)  (derived).
    """
    if not total:
        for neighbour, _ in around:
            found[junction][neighbour] = found[neighbour][junction] = inf
        return
    weights = [(neighbour, conductance / total) for neighbour, conductance in around]
    touching = [(neighbour, weight) for neighbour, weight in weights if weight]
    base = 1 / total
    for (k, w_k), (m, w_m) in combinations(touching, 2):
        base -= w_k * w_m * found[k][m]
    for neighbour, _ in weights:
        apart = base
        for other, weight in touching:
            if other != neighbour:
                apart += weight * found[other][neighbour]
        found[junction][neighbour] = found[neighbour][junction] = apart
