"""The parts list that follows from a layout: how many of each loose part the finished pack holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from packcheck.model.pack.model import Conductor, Pack

NOT_COUNTED = frozenset({"bar", "lug"})
"""Words in a joint's stack that stand for the conductor itself."""


def needed_parts(
    pack: Pack,
    conductors: Iterable[Conductor] | None = None,
    uncapped: Collection[str] = (),
    screws: Mapping[str, int] | None = None,
    tapped: Collection[str] | None = None,
) -> dict[str, int]:
    """Return the number of each loose part the layout needs, by part, in the order first met.

    A place's stack is counted once, however many conductors share the post; a second lug on it is counted of its own.
    Each tap adds its eyelet, each cover its screws, the clamp its rods; case hardware is taken as stated; bars of a
    type are counted too.  For a build that differs: the conductors it has, the places without a cap, the screws in
    covers that have not all of theirs, and the nodes its taps sit on: a post with nothing but a tap keeps its stack,
    in the layout too, where main − is a bare post with an eyelet on it.
    """
    if tapped is None:
        tapped = [tap.node for tap in pack.taps.values()] if conductors is None else ()
    stacks: Counter[tuple[str, str]] = Counter()  # so many stacks of a joint type, and which parts of them
    stacked: set[str] = set()
    chosen = list(pack.conductors.values() if conductors is None else conductors)
    landed = [(landing.node, landing.joint_type) for conductor in chosen for landing in conductor.lands]
    for node, joint_type in (*landed, *((node, pack.post_joint(node)) for node in tapped if pack.post_joint(node))):
        stacks[joint_type, "lugs" if node in stacked else "uncapped" if node in uncapped else "all"] += 1
        stacked.add(node)
    count: Counter[str] = Counter()
    for (joint_type, which), number in stacks.items():
        for part in _stack(pack, joint_type, which):
            count[part] += number
    count.update(conductor.part for conductor in chosen if conductor.part in pack.bar_types)
    _around(pack, count, screws or {})
    return dict(count)


def _stack(pack: Pack, joint_type: str, which: str) -> list[str]:
    """Return the loose parts of a joint type's stack: ``all``, those of one ``uncapped``, or its ``lugs`` alone."""
    kind = pack.joint_types.get(joint_type)
    parts = [part for part in (kind.stack if kind else ()) if part not in NOT_COUNTED]
    if which == "lugs":
        return [part for part in parts if part.startswith("lug")]
    return [part for part in parts if not part.startswith("cap")] if which == "uncapped" else parts


def _around(pack: Pack, count: Counter[str], screws: Mapping[str, int]) -> None:
    eyelet = pack.harness.get("eyelet")
    if eyelet:
        count[str(eyelet)] += len(pack.taps)
    for cover in pack.covers.values():
        if cover.screw_part:
            count[cover.screw_part] += screws.get(cover.name, cover.screws)
    if pack.clamp and pack.clamp.rod_part:
        count[pack.clamp.rod_part] += pack.clamp.rods
    count.update(pack.case_parts)


def insulated_places(pack: Pack) -> frozenset[str]:
    """Return the capped places whose cap is known not to conduct: a cap screw insulates nothing."""
    return frozenset(node for node, cap in _caps(pack).items() if (part := pack.parts.get(cap)) and not part.conducts)


def capped_places(pack: Pack) -> tuple[str, ...]:
    """Return the places whose joint's stack ends in a cap, in the order of the layout."""
    return tuple(_caps(pack))


def _caps(pack: Pack) -> dict[str, str]:
    """Return the cap on each place whose joint, of whatever conductor lands there, ends in one."""
    caps: dict[str, str] = {}
    for _, landing in pack.joints.values():
        kind = pack.joint_types.get(landing.joint_type)
        if kind and kind.stack and kind.stack[-1].startswith("cap"):
            caps.setdefault(landing.node, kind.stack[-1])
    return caps
