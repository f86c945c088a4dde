"""Where the modules go: which positions make a block or a group, and which of them sit warm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import dist
from statistics import fmean

from packcheck.model.pack.model import Pack
from packcheck.network.graph import network_of_layout
from packcheck.network.sense_blocks import sense_blocks
from packcheck.network.topology import spanning_forest


def units_of(pack: Pack) -> tuple[tuple[str, ...], ...]:
    """Return the positions that are matched with each other: parallel groups, else sense blocks, else one by one."""
    if is_parallel(pack):
        return tuple(pack.groups.values())
    edges = network_of_layout(pack).all_closed()
    forest = spanning_forest(edges, roots=(pack.outside["main-"],))
    units, used = [], set[str]()
    for block in sense_blocks(pack, forest):
        if used.isdisjoint(block) and len({pack.positions[name].module_type for name in block}) == 1:
            units.append(block)
            used.update(block)
    order = {name: number for number, name in enumerate(pack.positions)}
    units += [(name,) for name in pack.positions if name not in used]
    return tuple(sorted(units, key=lambda unit: order[unit[0]]))


def is_parallel(pack: Pack) -> bool:
    """Return whether modules are matched within parallel groups."""
    return any(len(members) > 1 for members in pack.groups.values())


def warmth_of(pack: Pack) -> dict[str, float]:
    """Return how warm each position sits, 1 in the middle of the stack and 0 furthest from it.

    Nothing else about the cooling is known from a layout; common practice, no source.
    """
    points = {name: position.at_mm for name, position in pack.positions.items()}
    middle = tuple(fmean(axis) for axis in zip(*points.values(), strict=True))
    far = {name: dist(point, middle) for name, point in points.items()}
    furthest = max(far.values(), default=0.0)
    return {name: 1 - away / furthest if furthest else 0.0 for name, away in far.items()}


def coolest_first(warmth: Mapping[str, float], units: Sequence[tuple[str, ...]]) -> list[int]:
    """Return the units by warmth, the coolest first."""
    return sorted(range(len(units)), key=lambda i: (fmean(warmth[name] for name in units[i]), i))


def place(
    warmth: Mapping[str, float], units: Sequence[tuple[str, ...]], groups: Sequence[Sequence[int]],
    heats: Sequence[float],
) -> dict[str, int]:  # fmt: skip
    """Return which thing goes to which position: what heats most sits coolest, group by group and within each.

    The sum of warmth times heat is then the least that any placing of these groups has: two ordered rows, one the
    other way round.
    """
    hottest = sorted(range(len(groups)), key=lambda g: (-sum(heats[i] for i in groups[g]), g))
    placed: dict[str, int] = {}
    for unit, one in zip(coolest_first(warmth, units), hottest, strict=True):
        positions = sorted(units[unit], key=lambda name: (warmth[name], name))
        members = sorted(groups[one], key=lambda i: (-heats[i], i))
        placed.update(zip(positions, members, strict=True))
    return placed
