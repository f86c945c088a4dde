"""Things into groups of equal size so that the groups come out alike: exact for pairs, with a bound for larger ones.

Nothing here knows a module: a group has a cost, and the sum of costs is to be least.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

Group = tuple[int, ...]
Cost = Callable[[Group], float]

MOST_MATCHED = 64
"""Things of which every pair is weighed; of more, the sorted are folded and then exchanged."""
MOST_TRIED = 20_000
"""Groupings that are tried one by one."""
ROUNDS = 6
"""How often the exchanging of larger groups begins anew, from another order."""
_SCALE = 10**9
"""Costs become whole numbers of this part, so that the matching is exact."""


@dataclass(frozen=True)
class Grouping:
    """Groups of numbers of things; ``proven``: no other grouping has a smaller sum of costs."""

    groups: tuple[Group, ...]
    proven: bool


def group(count: int, size: int, cost: Cost, worth: Sequence[float], *, folds: bool = False) -> Grouping:
    """Return ``count`` things in groups of ``size``.

    Parameters
    ----------
    count : how many things; a multiple of the size.
    size : things in a group.
    cost : what a group costs, 0 or more, whatever the order of its members.
    worth : one number for each thing; things are folded by it where not every grouping is looked at.
    folds : a group costs the square of how far the sum of its members' worth is from one target: the folded order is
        then the best one for pairs, since what two exchanged members change is the product of two differences.
    """
    if size == 1 or count == size:
        return Grouping(tuple(tuple(range(i, i + size)) for i in range(0, count, size)), True)
    if size == 2 and count <= MOST_MATCHED:
        return Grouping(_matched(count, cost), True)
    if are_few(count, size):
        best = min(partitions(tuple(range(count)), size), key=lambda groups: sum(map(cost, groups)))
        return Grouping(best, True)
    if size == 2 and folds:
        return Grouping(_folded(worth, size), True)
    dice = random.Random(count * size)
    starts = [_folded(worth, size)]
    for _ in range(ROUNDS - 1 if count <= MOST_MATCHED else 0):
        order = list(range(count))
        dice.shuffle(order)
        starts.append(tuple(tuple(order[i : i + size]) for i in range(0, count, size)))
    found = [_exchanged(start, cost) for start in starts]
    return Grouping(min(found, key=lambda groups: sum(map(cost, groups))), False)


def spread_bound(worth: Sequence[float], size: int) -> float:
    """Return a difference between the largest and the smallest sum of a group that no grouping can go below.

    The group that holds the largest thing weighs at least that and the smallest others, the one that holds the
    smallest at most that and the largest others; the mean is what it is.

    Examples
    --------
    >>> spread_bound([1, 1, 1, 9], 2), spread_bound([1, 2, 3, 4], 2)
    (4.0, 0.0)
    """
    ordered = sorted(worth)
    mean = sum(ordered) / len(ordered) * size
    heavy = ordered[-1] + sum(ordered[: size - 1]) - mean
    light = mean - ordered[0] - sum(ordered[len(ordered) - size + 1 :])
    return float(max(0.0, heavy, light))


def least_range(worth: Sequence[float], wanted: int) -> tuple[int, ...]:
    """Return which things to take so that the largest and the smallest differ least; of equals the smallest.

    Such a choice is a run of the sorted things, so that looking at each run is exact.
    """
    order = sorted(range(len(worth)), key=lambda i: (worth[i], i))
    runs = range(len(order) - wanted + 1)
    start = min(runs, key=lambda i: (worth[order[i + wanted - 1]] - worth[order[i]], i))
    return tuple(order[start : start + wanted])


def _matched(count: int, cost: Cost) -> tuple[Group, ...]:
    """Return the pairs of least cost altogether: a matching of greatest weight among all pairs."""
    import networkx as nx

    costs = {pair: round(cost(pair) * _SCALE) for pair in combinations(range(count), 2)}
    most = max(costs.values())
    graph: nx.Graph[int] = nx.Graph()
    graph.add_weighted_edges_from((a, b, most - weight) for (a, b), weight in costs.items())
    pairs = nx.max_weight_matching(graph, maxcardinality=True)
    return tuple(sorted((min(pair), max(pair)) for pair in pairs))


def are_few(count: int, size: int) -> bool:
    """Return whether every grouping of so many things can be looked at."""
    return _ways(count, size) <= MOST_TRIED


def _ways(count: int, size: int) -> int:
    """Return into how many different groupings so many things can be put."""
    ways, left = 1, count
    while left and ways <= MOST_TRIED:
        ways *= comb(left - 1, size - 1)
        left -= size
    return ways


def partitions(things: Group, size: int) -> Iterator[tuple[Group, ...]]:
    """Yield every grouping of things in groups of one size, each once."""
    if not things:
        yield ()
        return
    first, rest = things[0], things[1:]
    for others in combinations(rest, size - 1):
        left = tuple(thing for thing in rest if thing not in others)
        for more in partitions(left, size):
            yield ((first, *others), *more)


def _folded(worth: Sequence[float], size: int) -> tuple[Group, ...]:
    """Return the sorted things dealt out forth and back, so that the largest meets the smallest."""
    order = sorted(range(len(worth)), key=lambda i: (worth[i], i))
    number = len(order) // size
    groups: list[list[int]] = [[] for _ in range(number)]
    for turn in range(size):
        dealt = order[turn * number : (turn + 1) * number]
        for one, thing in zip(groups, dealt if turn % 2 == 0 else reversed(dealt), strict=True):
            one.append(thing)
    return tuple(map(tuple, groups))


def _exchanged(groups: Sequence[Group], cost: Cost) -> tuple[Group, ...]:
    """Return groups after every exchange of two members that makes their two groups cheaper."""
    now = [list(one) for one in groups]
    costs = [cost(tuple(one)) for one in now]
    better = True
    while better:
        better = False
        for a, b in combinations(range(len(now)), 2):
            while _exchange(now, costs, a, b, cost):
                better = True
    return tuple(tuple(sorted(one)) for one in now)


def _exchange(now: list[list[int]], costs: list[float], a: int, b: int, cost: Cost) -> bool:
    """Make the best exchange between two groups, if one makes them cheaper; return whether it did."""
    best, chosen = costs[a] + costs[b] - 1e-12, None
    for i, one in enumerate(now[a]):
        for j, other in enumerate(now[b]):
            left = (*now[a][:i], other, *now[a][i + 1 :])
            right = (*now[b][:j], one, *now[b][j + 1 :])
            if (sum_of := cost(left) + cost(right)) < best:
                best, chosen = sum_of, (left, right)
    if chosen is None:
        return False
    now[a], now[b] = list(chosen[0]), list(chosen[1])
    costs[a], costs[b] = cost(chosen[0]), cost(chosen[1])
    return True
