"""Runs of branches that carry one and the same current, found in one walk before any elimination."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any, NamedTuple, TypeAlias

Number: TypeAlias = float | Fraction


class Chain(NamedTuple):
    """Branches one behind the other: their ends, summed resistance [Ω] and emf [V], and each branch's direction.

    ``links`` holds (branch, True when it runs as the chain does).
    """

    start: int
    end: int
    resistance: Any
    emf: Any
    links: list[tuple[int, bool]]


def gather_chains(
    tail: Sequence[int],
    head: Sequence[int],
    resistance: Sequence[Number],
    emf: Sequence[Number],
    feed: Sequence[Number],
) -> list[Chain]:
    """Return the chains of a network; a branch that belongs to none hangs loose and carries no current.

    ``resistance`` [Ω], ``emf`` [V] and the current ``feed`` [A] into each junction as in ``solve_currents``.  A chain
    ends where three or more branches meet or where current is fed in; a lone ring is one chain back to its start.
    """
    around = _branches_around(tail, head, feed)
    unused = {branch for branches in around for branch in branches}
    chains = []
    ends = [junction for junction, branches in enumerate(around) if feed[junction] or len(branches) > 2]
    for start in dict.fromkeys((*ends, *tail)) if unused else ():
        for first in around[start]:
            if first in unused:
                links, end = _follow(start, first, tail, head, around, feed, unused)
                chains.append(_chain(start, end, links, resistance, emf))
    return chains


def _branches_around(tail: Sequence[int], head: Sequence[int], feed: Sequence[Number]) -> list[list[int]]:
    """Return the branches at each junction, loose ends without current stripped; a closed branch is listed twice."""
    around: list[list[int]] = [[] for _ in feed]
    for branch, (start, end) in enumerate(zip(tail, head, strict=True)):
        around[start].append(branch)
        around[end].append(branch)
    loose = [junction for junction, branches in enumerate(around) if len(branches) == 1 and not feed[junction]]
    while loose:
        junction = loose.pop()
        if not around[junction]:
            continue
        branch = around[junction].pop()
        other = head[branch] if tail[branch] == junction else tail[branch]
        around[other].remove(branch)
        if len(around[other]) == 1 and not feed[other]:
            loose.append(other)
    return around


def _follow(
    start: int,
    first: int,
    tail: Sequence[int],
    head: Sequence[int],
    around: list[list[int]],
    feed: Sequence[Number],
    unused: set[int],
) -> tuple[list[tuple[int, bool]], int]:
    links = []
    here, branch = start, first
    while True:
        forward = tail[branch] == here
        here = head[branch] if forward else tail[branch]
        links.append((branch, forward))
        unused.remove(branch)
        if here == start or feed[here] or len(around[here]) != 2:
            return links, here
        one, other = around[here]
        branch = other if one == branch else one


def _chain(
    start: int, end: int, links: list[tuple[int, bool]], resistance: Sequence[Number], emf: Sequence[Number]
) -> Chain:
    ohm: Any = sum([resistance[branch] for branch, _ in links])
    volt: Any = sum([emf[branch] if forward else -emf[branch] for branch, forward in links])
    return Chain(start, end, ohm, volt, links)
