"""What devices may have to break: the currents of shorts outside, and the voltage across a device once it is open."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import NamedTuple

from packcheck.network.circuit import Branch, resistances_between, solve_circuit
from packcheck.network.graph import Edge, branches
from packcheck.network.solution import Solved
from packcheck.network.topology import Forest

SHORT_OHM = 1e-6
"""Resistance of a short outside [ohm]: small beside any pack's own."""
WHOLE = 0.999
"""A device that carries this share of a short's current carries all of it: its opening ends the short."""
NOTHING = 1e-6
"""A device that carries less than this share of a short's current has no part in it."""


class Short(NamedTuple):
    """A short between two nodes: its current [A], that through each device [A], and the voltage that drove it [V]."""

    plus: str
    minus: str
    total_a: float
    device_a: dict[str, float]
    open_v: float

    def smallest_fuse_a(self, ratings_a: Mapping[str, float], beside: float = 1.0) -> float | None:
        """Return the rating of the smallest fuse [A] that carries some share, or more, of the short's current."""
        return min((a for fuse, a in ratings_a.items() if self.share(fuse) > WHOLE * beside), default=None)

    def share(self, device: str) -> float:
        """Return the share of the short's current that runs through a device [1]."""
        return self.device_a.get(device, 0.0) / self.total_a if self.total_a else 0.0


@dataclass(frozen=True, eq=False)
class Stress:
    """A network under each of several shorts, one at a time.

    ``forest`` spans ``edges`` and ``at_rest`` is their solution with nothing shorted; ``pairs`` are the shorts' nodes.
    """

    edges: Sequence[Edge]
    forest: Forest
    at_rest: Solved
    pairs: tuple[tuple[str, str], ...]

    @cached_property
    def shorts(self) -> tuple[Short, ...]:
        """Return every short whose nodes the network joins, in the order of ``pairs``."""
        return tuple(self._short(plus, minus) for plus, minus in self.pairs if self.forest.joined(plus, minus))

    def between(self, plus: str, minus: str) -> Short | None:
        """Return the short between two nodes, one of ``pairs``; None where the network does not join them."""
        return next((short for short in self.shorts if (short.plus, short.minus) == (plus, minus)), None)

    @property
    def _is_tree(self) -> bool:
        return not self.forest.loops(self.edges)

    def _short(self, plus: str, minus: str) -> Short:
        volts = abs(self.at_rest.voltage_v(plus, minus) or 0.0)
        if self._is_tree:
            walk = self.forest.walk(minus, plus) or []
            total = volts / (SHORT_OHM + sum(step.edge.resistance_ohm for step in walk))
            return Short(plus, minus, total, {s.edge.part: total for s in walk if s.edge.kind == "device"}, volts)
        solution = solve_circuit([*branches(self.edges), Branch(plus, minus, SHORT_OHM, 0.0)])
        pairs = zip(self.edges, solution.current, strict=False)
        through = {edge.part: abs(float(current)) for edge, current in pairs if edge.kind == "device"}
        return Short(plus, minus, abs(float(solution.current[-1])), through, volts)

    def prospective_a(self, device: str) -> float | None:
        """Return the largest short-circuit current through a device [A]: of a short outside, or inside its own string.

        None when no short runs through it.
        """
        return max((self._through(short, device) for short in self._of(device)), default=None)

    def _of(self, device: str) -> Iterator[Short]:
        return (short for short in self.shorts if short.share(device) > NOTHING)

    def _through(self, short: Short, device: str) -> float:
        mine = short.device_a[device]
        return short.total_a if short.share(device) > WHOLE else max(mine, short.total_a - mine)

    def open_v(self, device: str) -> float | None:
        """Return the largest voltage across a device once it has opened, whichever short it opens on [V].

        Where all of a short's current runs through it, that is the voltage which drove the short.  Where others share
        the current, it is I (r + R) with I its current, r its own resistance and R that of all the rest seen from its
        ends (the theorem of Helmholtz and Thévenin).  None when no short runs through it.
        """
        return max((self._open_v(short, index, device) for index, short in enumerate(self.shorts)
                    if short.share(device) > NOTHING), default=None)  # fmt: skip

    def _open_v(self, short: Short, index: int, device: str) -> float:
        if short.share(device) > WHOLE:
            return short.open_v
        own, beside = self._resistances[index][device]
        rest = own * beside / (own - beside) if own > beside else inf
        return short.device_a[device] * (own + rest)

    @cached_property
    def _resistances(self) -> tuple[dict[str, tuple[float, float]], ...]:
        """Return for each short the resistance of each device, and that between its ends with all in place [ohm]."""
        devices = [edge for edge in self.edges if edge.kind == "device"]
        pairs = [(edge.start, edge.end) for edge in devices]
        found = []
        for short in self.shorts:
            network = [*branches(self.edges), Branch(short.plus, short.minus, SHORT_OHM, 0.0)]
            ohms = resistances_between(network, pairs)
            found.append({e.part: (e.resistance_ohm, float(o)) for e, o in zip(devices, ohms, strict=True)})
        return tuple(found)

    def fuse_a(self, device: str, ratings_a: Mapping[str, float]) -> float | None:
        """Return the largest fuse that a short through a device may have to blow, the smallest in series counting [A].

        A fuse that carries as much as the device or more lies in series with it.  None where no short through it runs
        through a fuse.
        """
        found = (short.smallest_fuse_a(ratings_a, short.share(device)) for short in self._of(device))
        return max((a for a in found if a is not None), default=None)
