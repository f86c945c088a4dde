"""Which pairs of bare metal lie within reach of each other, and what can bridge them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import product
from math import floor, hypot
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.geometry.bodies import Body, bodies_of
from packcheck.model.pack.model import Pack

_CELLS_PER_REACH = 3
"""Width of the cells in which neighbours are looked for, in reaches."""


class Pair(NamedTuple):
    """Two bodies by number, and the shortest distance between them [mm]."""

    a: int
    b: int
    gap_mm: float


class Reach(NamedTuple):
    """Something that can bridge: its words and its length [mm]."""

    words: str
    length_mm: float


@dataclass(frozen=True)
class Geometry:
    """All bodies a pack can ever show, the pairs within the longest reach, and what can bridge."""

    bodies: tuple[Body, ...]
    pairs: tuple[Pair, ...]
    reaches: tuple[Reach, ...]
    row_axis: int


def build_geometry(pack: Pack, tools_mm: Sequence[float]) -> Geometry:
    """Return the geometry of a pack for tools of these lengths [mm].

    Notes
    -----
    A tool counts with its full length: a dropped one leaves no room for a grip.  Distances run from surface to surface.
    Devices and connectors have no place in a layout: the end of a lead at a device may lie anywhere within the lead's
    length of its fixed end, and the pins of a connector are within reach of each other only.
    """
    bodies = tuple(bodies_of(pack))
    tools = (Reach(f"a tool of {length:g} mm", length) for length in sorted(set(tools_mm)))
    reaches = (*tools, *loose_parts(pack))
    longest = max((reach.length_mm for reach in reaches), default=0.0)
    return Geometry(bodies, tuple(near_pairs(bodies, longest)), reaches, _row_axis(pack))


def loose_parts(pack: Pack) -> tuple[Reach, ...]:
    """Return the smallest and the largest loose conducting part whose size the layout knows; bars count too.

    The rods of the clamp are left out: they are in before the first bar is in hand.
    """
    rod = pack.clamp.rod_part if pack.clamp else ""
    sizes = {p.name: p.largest_mm for p in pack.parts.values() if p.largest_mm and p.conducts and p.name != rod}
    for kind in pack.bar_types.values():
        if kind.size_mm:
            sizes[kind.name] = hypot(*kind.size_mm)
    if not sizes:
        return ()
    ordered = sorted(sizes, key=lambda name: (sizes[name], name))
    ends = dict.fromkeys((ordered[0], ordered[-1]))
    word = {ordered[0]: "smallest", ordered[-1]: "largest"}
    return tuple(Reach(f"the {word[name]} loose part, {name} of {sizes[name]:.3g} mm", sizes[name]) for name in ends)


def _row_axis(pack: Pack) -> int:
    at = [position.at_mm for position in pack.positions.values()]
    if not at:
        return 0
    return max(range(3), key=lambda axis: len({point[axis] for point in at}))


def gap_mm(a: Body, b: Body) -> float:
    """Return the shortest distance between two bodies [mm], less what lead ends may swing; 0 where they can touch."""
    return max(0.0, a.distance_mm(b) - a.swing_mm - b.swing_mm)


def near_pairs(bodies: Sequence[Body], reach_mm: float) -> Iterator[Pair]:
    """Yield the pairs of bodies no further apart than the reach [mm], each once; a grid finds them.

    Lead ends swing and are few: they are held against every body.  Pins are paired within their own connector.
    """
    fixed = [i for i, body in enumerate(bodies) if body.kind in ("post", "bar")]
    ends = [i for i, body in enumerate(bodies) if body.kind == "lead end"]
    pins = [i for i, body in enumerate(bodies) if body.kind == "pin"]
    yield from _in_grid(bodies, fixed, reach_mm)
    for index, a in enumerate(ends):
        for b in (*fixed, *ends[:index]):
            if bodies[a].part != bodies[b].part and (gap := gap_mm(bodies[a], bodies[b])) <= reach_mm:
                yield Pair(a, b, gap)
    by_part: dict[str, list[int]] = {}
    for pin in pins:
        by_part.setdefault(bodies[pin].part, []).append(pin)
    for members in by_part.values():
        yield from _in_grid(bodies, members, reach_mm)


def _in_grid(bodies: Sequence[Body], chosen: Iterable[int], reach_mm: float) -> Iterator[Pair]:
    cells: dict[tuple[int, int, int], list[int]] = {}
    for i in chosen:
        seen: set[int] = set()
        for cell in _cells(bodies[i], reach_mm):
            for j in cells.setdefault(cell, []):
                if j not in seen:
                    seen.add(j)
                    gap = gap_mm(bodies[i], bodies[j])
                    if gap <= reach_mm:
                        yield Pair(j, i, gap)
            cells[cell].append(i)


def _cells(body: Body, reach_mm: float) -> Iterator[tuple[int, int, int]]:
    """Yield the cells that a body widened by half the reach lies in: two within reach have one in common."""
    side = _CELLS_PER_REACH * reach_mm + 1.0
    more = reach_mm / 2 + 1e-6
    x, y, z = (
        range(floor((middle - half - more) / side), floor((middle + half + more) / side) + 1)
        for middle, half in zip(body.centre, body.half, strict=True)
    )
    return product(x, y, z)


def way_of(a: Body, b: Body, row_axis: int) -> str:
    """Return how a bridge between two bodies lies: along a face, across it, between faces, from a lead end, at pins."""
    if "lead end" in (a.kind, b.kind):
        return "lead end"
    if a.kind == "pin" or b.kind == "pin":
        return f"at {a.face}"
    if a.face != b.face:
        return f"between faces {a.face} and {b.face}"
    apart = [max(0.0, abs(a.centre[i] - b.centre[i]) - a.half[i] - b.half[i]) for i in range(3)]
    along = apart[row_axis] >= max(apart[axis] for axis in range(3) if axis != row_axis)
    return f"{'along' if along else 'across'} face {a.face}"
