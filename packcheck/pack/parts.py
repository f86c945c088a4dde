"""The parts list that follows from a layout: how many of each loose part the finished pack holds."""

from __future__ import annotations

from collections import Counter

from packcheck.pack.model import Conductor, Pack

NOT_COUNTED = frozenset({"bar", "lug"})
"""Words in a joint's stack that stand for the conductor itself."""


def needed_parts(pack: Pack) -> dict[str, int]:
    """Return the number of each loose part the layout needs, by part, in the order first met.

    A place's stack is counted once, however many conductors share the post; a second lug on it is counted of its own.
    Each tap adds its eyelet, each cover its screws, the clamp its rods; case hardware is taken as stated; bars of a
    type are counted too.
    """
    count: Counter[str] = Counter()
    stacked: set[str] = set()
    for _, landing in pack.joints.values():
        kind = pack.joint_types.get(landing.joint_type)
        stack = [part for part in (kind.stack if kind else ()) if part not in NOT_COUNTED]
        count.update(stack if landing.node not in stacked else [part for part in stack if part.startswith("lug")])
        stacked.add(landing.node)
    count.update(conductor.part for conductor in pack.conductors.values() if conductor.part in pack.bar_types)
    eyelet = pack.harness.get("eyelet")
    if eyelet:
        count[str(eyelet)] += len(pack.taps)
    for cover in pack.covers.values():
        if cover.screw_part:
            count[cover.screw_part] += cover.screws
    if pack.clamp and pack.clamp.rod_part:
        count[pack.clamp.rod_part] += pack.clamp.rods
    count.update(pack.case_parts)
    return dict(count)


def parts_of_conductor(pack: Pack, conductor: Conductor) -> dict[str, int]:
    """Return the loose parts that come with one conductor: its joints' stacks, and itself where it is of a bar type."""
    count: Counter[str] = Counter()
    for landing in conductor.lands:
        kind = pack.joint_types.get(landing.joint_type)
        count.update(part for part in (kind.stack if kind else ()) if part not in NOT_COUNTED)
    if conductor.part in pack.bar_types:
        count[conductor.part] += 1
    return dict(count)


def capped_places(pack: Pack) -> tuple[str, ...]:
    """Return the places whose joint's stack ends in a cap, in the order of the layout."""
    places: dict[str, None] = {}
    for _, landing in pack.joints.values():
        kind = pack.joint_types.get(landing.joint_type)
        if kind and kind.stack and kind.stack[-1].startswith("cap"):
            places[landing.node] = None
    return tuple(places)
