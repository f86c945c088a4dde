"""One switching state of the recorded network as a meter sees it, and how far what was recorded leaves that open.

A prediction is an interval: the instrument's own width is not in it.  Module voltages may each be as far off as their
instrument allows, and have drifted since; their widths add up plainly, so that what is excluded stays excluded.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from statistics import median
from typing import NamedTuple

from packcheck.network.factored import Factored

DRIFT_V = 0.005
"""What a module's voltage may have moved since it was read [V]; common practice, no source."""
UNSTATED_SHARE, UNSTATED_V = 0.005, 0.005
"""Half width of a reading whose instrument states none: a share of it, and so many volts; common practice."""
GHOST_SHARE, GHOST_V = 0.05, 0.2
"""What a meter of 10 MΩ shows at most between parts that nothing joins: a share of what a cut holds, and volts.

Derived for leakage of 190 MΩ or more; common practice, no source.
"""
SPREAD_SHARE, READ_SPREAD_SHARE = 0.05, 0.02
"""How far resistances are off, as a share of a drop: of like modules, and where each was read; common practice."""


SMALL_V = 0.001
"""What unequal members of a group drive through resistances that were not read [V]; common practice, no source."""
LOOSE_SHARE = 0.2
"""How far a current that circulates inside the pack is off, for its resistances were not read; common practice."""
LEAST_DROP_V = 0.001
"""Drops of less than this in a module come from rounding [V]."""
LEAST_A = 0.1
"""A current in a branch put in that is less than this is none [A]."""


class Probe(NamedTuple):
    """Where a meter is put: nodes or taps, the switching state, the load drawn [A], and the reading it is, if any.

    ``less`` names the reading of the same places at rest that it is held against: what counts is then the difference.
    """

    plus: str
    minus: str
    state: str
    load_a: float = 0.0
    reading: str = ""
    instrument: str = ""
    less: str = ""


class Seen(NamedTuple):
    """What a probe shows [V], how far that is left open [V], what a free size of one adds [V], and if it is joined."""

    volts: float
    half: float
    slope: float = 0.0
    joined: bool = True


@dataclass(eq=False)
class View:
    """The network in one switching state, factored once."""

    factored: Factored
    half_v: dict[str, float]
    load: tuple[str, str] | None = None
    drop_share: float = 1.0
    spread: float = SPREAD_SHARE
    _seen: dict[tuple[str, str], Seen] = field(default_factory=dict)
    _driven: dict[tuple[str, str], dict[str, float]] = field(default_factory=dict)

    def base(self, plus: str, minus: str) -> Seen:
        """Return what is between two nodes as recorded, no load drawn."""
        found = self._seen.get((plus, minus))
        if found is None:
            net = self.factored
            a, b = net.index[plus], net.index[minus]
            volts = net.potential[a] - net.potential[b]
            shares = self.driven_by(plus, minus).items()
            drop = self.circulating_v
            half = sum(abs(share) * (self.half_v[name] + SPREAD_SHARE * drop.get(name, 0.0)) for name, share in shares)
            joined = net.island[a] == net.island[b]
            found = self._seen[plus, minus] = Seen(volts, half + SMALL_V, 0.0, True) if joined else ghost(volts)
        return found

    @cached_property
    def circulating_v(self) -> dict[str, float]:
        """Return the drop that a current makes in each module with no load drawn [V]; small ones left out."""
        net, found = self.factored, {}
        for (start, end), edge in zip(net.at, net.edges, strict=True):
            if edge.kind == "module":
                drop = abs(net.potential[start] - net.potential[end] + edge.emf_v)
                if drop > LEAST_DROP_V:
                    found[edge.name] = drop
        return found

    def driven_by(self, plus: str, minus: str) -> dict[str, float]:
        """Return how much of each module's voltage stands between two nodes; modules with no part in it left out."""
        found = self._driven.get((plus, minus))
        if found is None:
            net = self.factored
            ends = (net.index[plus], net.index[minus])
            near, far = net.column(ends[0]), net.column(ends[1])
            found = {}
            for (start, end), edge in zip(net.at, net.edges, strict=True):
                if edge.kind == "module":
                    share = ((near[end] - near[start]) - (far[end] - far[start])) / edge.resistance_ohm
                    if abs(share) > 1e-6:
                        found[edge.name] = share
            self._driven[plus, minus] = found
        return found

    def dropped_v(self, plus: str, minus: str, load_a: float) -> float:
        """Return by how much a load takes the voltage between two nodes down [V]."""
        if not load_a or self.load is None:
            return 0.0
        net = self.factored
        ends, load = ((net.index[a], net.index[b]) for a, b in ((plus, minus), self.load))
        return self.drop_share * load_a * net.transfer_ohm(ends, load)

    def slope(self, plus: str, minus: str, name: str) -> float:
        """Return the share of a current between two nodes that runs through an edge [1], from its start to its end."""
        net = self.factored
        if name not in net.edge_index:
            return 0.0
        edge = net.edge_index[name]
        ends = (net.index[plus], net.index[minus])
        return net.transfer_ohm(ends, net.at[edge]) / net.edges[edge].resistance_ohm


def ghost(volts: float) -> Seen:
    """Return what a meter shows between parts that nothing joins, where a cut holds so many volts [V]."""
    return Seen(0.0, GHOST_SHARE * abs(volts) + GHOST_V, 0.0, False)


def unstated(volts: float) -> float:
    """Return the half width of a reading [V] whose instrument states none."""
    return UNSTATED_SHARE * abs(volts) + UNSTATED_V


def drop_share(drops: Iterable[tuple[View, str, str, float, float]]) -> float:
    """Return by what factor the drops under load are those of the stated resistances, the middle one of all read.

    ``drops`` are (view, plus, minus, load [A], drop read [V]).
    """
    ratios = [read / stated for view, plus, minus, load_a, read in drops
              if (stated := view.dropped_v(plus, minus, load_a))]  # fmt: skip
    return median(ratios) if len(ratios) > 2 else 1.0
