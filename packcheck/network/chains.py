"""Runs of branches that carry one and the same current, found in one walk before anything else."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any, NamedTuple, TypeAlias

Number: TypeAlias = float | Fraction


class Chain(NamedTuple):
    """Branches one behind the other: their ends, summed resistance [Ω], and each branch's direction.

    ``links`` holds (branch, True when it runs as the chain does); ``weakest`` is the one of the most resistance.
    """

    start: int
    end: int
    resistance: Any
    links: list[tuple[int, bool]]
    weakest: tuple[int, bool]


def gather_chains(
    tail: Sequence[int], head: Sequence[int], resistance: Sequence[Number], feed: Sequence[Number]
) -> list[Chain]:
    """Return the chains of a network; a branch that belongs to none hangs loose and carries no current.

    ``resistance`` [Ω] and the current ``feed`` [A] into each junction as in ``solve_currents``.  A chain ends where
    three or more branches meet or where current is fed in; a lone ring is one chain back to its start.
    """
    degree, sum_around, unused = _strip_loose_ends(tail, head, feed)
    is_end = [count != 2 or bool(fed) for count, fed in zip(degree, feed, strict=True)]
    starts = [(branch, at[branch]) for branch in range(len(tail)) for at in (tail, head) if is_end[at[branch]]]
    chains = []
    for branch, start in (*starts, *enumerate(tail)):
        if not unused[branch]:
            continue
        here, links = start, []
        while True:
            forward = tail[branch] == here
            here = head[branch] if forward else tail[branch]
            links.append((branch, forward))
            unused[branch] = False
            if here == start or is_end[here]:
                break
            branch = sum_around[here] - branch
        ohms = [resistance[link] for link, _ in links]
        chains.append(Chain(start, here, sum(ohms), links, links[ohms.index(max(ohms))]))
    return chains


def _strip_loose_ends(
    tail: Sequence[int], head: Sequence[int], feed: Sequence[Number]
) -> tuple[list[int], list[int], list[bool]]:
    """Return how many branches each junction has and the sum of their numbers, and which branches are left.

    The sum tells the one branch of a loose end, and of two branches each one from the other.
    """
    degree, sum_around, left = [0] * len(feed), [0] * len(feed), [True] * len(tail)
    for at in (tail, head):
        for branch, junction in enumerate(at):
            degree[junction] += 1
            sum_around[junction] += branch
    for first in range(len(feed)):
        junction = first
        while degree[junction] == 1 and not feed[junction]:
            branch = sum_around[junction]
            left[branch] = False
            degree[junction] = 0
            junction = tail[branch] + head[branch] - junction
            degree[junction] -= 1
            sum_around[junction] -= branch
    return degree, sum_around, left
