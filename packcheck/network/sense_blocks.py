"""Sense blocks: what lies between two neighbouring taps, as drawn."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from packcheck.model.pack.model import Pack
from packcheck.network.topology import Forest

MOST_GROUPS = 12
"""Groups in series that two taps may span and still be called a block."""


def sense_blocks(pack: Pack, forest: Forest) -> Iterator[tuple[str, ...]]:
    """Yield the positions between each two neighbouring taps, every member of a parallel group.

    Parameters
    ----------
    pack : the layout.
    forest : a spanning forest of the layout, everything closed.
    """
    nodes = list(dict.fromkeys(tap.node for tap in pack.taps.values()))
    for a, b in pairwise(nodes):
        walk = forest.walk(a, b) or []
        groups = [pack.positions[step.edge.part].group for step in walk if step.edge.kind == "module"]
        if 0 < len(groups) <= MOST_GROUPS:
            yield tuple(member for group in groups for member in pack.groups[group])
