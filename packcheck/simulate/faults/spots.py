"""Where faults can be: the places of a build by what lies there."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from packcheck.model.pack.model import Conductor, Pack
from packcheck.simulate.build import Build
from packcheck.simulate.faults.fault import WHOLE
from packcheck.simulate.reading_plan import inner_end

CLASS_B_V = 60.0
"""Where voltage class B begins [V] (ISO 6469-3, table 1, from memory)."""
SOME_APART = 5
"""How many modules lie between two that are said to be apart."""


def whole(_build: Build) -> Sequence[str]:
    """Return the place of what is everywhere."""
    return (WHOLE,)


def class_b(build: Build) -> Sequence[str]:
    """Return the whole pack where a string of it can lie above 60 V."""
    pack = build.pack
    highest = [sum(pack.module_type_at(pack.groups[g][0]).highest_v for g in s.groups) for s in pack.strings.values()]
    return (WHOLE,) if max(highest, default=0.0) > CLASS_B_V else ()


def positions(build: Build) -> Sequence[str]:
    """Return the positions."""
    return tuple(build.modules)


def single(build: Build) -> Sequence[str]:
    """Return the positions of modules that stand alone in their group."""
    return tuple(name for name in build.modules if not mates(build, name))


def grouped(build: Build) -> Sequence[str]:
    """Return the positions of modules that have others in parallel."""
    return tuple(name for name in build.modules if mates(build, name))


def mates(build: Build, position: str) -> tuple[str, ...]:
    """Return the other modules of a parallel group."""
    members = build.pack.groups[build.pack.positions[position].group]
    return tuple(name for name in members if name != position)


def neighbours(build: Build) -> Sequence[str]:
    """Return pairs of modules next to each other in a string, none of them in a group."""
    return tuple(f"{one}, {other}" for one, other in _pairs(build, 1))


def apart(build: Build) -> Sequence[str]:
    """Return pairs of modules of a string that are some apart."""
    return tuple(f"{one}, {other}" for one, other in _pairs(build, SOME_APART))


def _pairs(build: Build, step: int) -> list[tuple[str, str]]:
    found = []
    for string in build.pack.strings.values():
        chain = [members[0] for g in string.groups if len(members := build.pack.groups[g]) == 1]
        found += list(zip(chain, chain[step:], strict=False))
    return found


def series_bars(build: Build) -> Sequence[str]:
    """Return the bars and links between neighbours of a string."""
    return tuple(c.name for c in build.pack.conductors.values() if c.series and c.kind != "lead")


def conductors(build: Build) -> Sequence[str]:
    """Return every conductor."""
    return tuple(build.bodies)


def marked_bars(build: Build) -> Sequence[str]:
    """Return the conductors that the layout names a part for."""
    return tuple(name for name, body in build.bodies.items() if body.part)


def shiftable(build: Build) -> Sequence[str]:
    """Return the series bars that also fit one module further along their string."""
    return tuple(name for name in series_bars(build) if shifted(build.pack, build.pack.conductors[name]))


def shifted(pack: Pack, conductor: Conductor) -> tuple[str, ...]:
    """Return where a bar lands when it sits one module further on; () where nothing is there."""
    nodes = [landing.node for landing in conductor.lands]
    moved = [moved_along(pack, node, 1) for node in nodes]
    return tuple(moved) if all(moved) else ()


def moved_along(pack: Pack, node: str, by: int) -> str:
    """Return the place so many groups further along the string, at the same post; "" where the string ends."""
    place = pack.places.get(node)
    if place is None:
        return ""
    group = pack.positions[place.position].group
    member = pack.groups[group].index(place.position)
    for string in pack.strings.values():
        if group in string.groups:
            there = string.groups.index(group) + by
            if not 0 <= there < len(string.groups):
                return ""
            members = pack.groups[string.groups[there]]
            found = f"{members[min(member, len(members) - 1)]}.{place.post}"
            return found if found in pack.places else ""
    return ""


def joints(build: Build) -> Sequence[str]:
    """Return every joint."""
    return tuple(build.joints)


def rechecked(build: Build) -> Sequence[str]:
    """Return the joints that are tried again after some hours."""
    kinds = build.pack.joint_types
    return tuple(name for name, (_, landing) in build.pack.joints.items()
                 if landing.joint_type in kinds and kinds[landing.joint_type].recheck_after_h)  # fmt: skip


def devices(build: Build, kind: str) -> Sequence[str]:
    """Return the devices of a kind."""
    return tuple(d.name for d in build.pack.devices.values() if d.kind == kind)


def parts(build: Build, *heads: str) -> Sequence[str]:
    """Return the loose parts whose name begins with one of some words."""
    return tuple(name for name in build.parts if name.startswith(heads))


def tap_pairs(build: Build, step: int = 1) -> Sequence[str]:
    """Return pairs of taps in one connector, so many pins apart."""
    found = []
    for pins in connectors(build).values():
        found += [f"{one}, {other}" for one, other in zip(pins, pins[step:], strict=False)]
    return tuple(found)


def connectors(build: Build) -> dict[str, list[str]]:
    """Return the taps of each connector in the order of its pins; all of them in one where the layout names none."""
    found: dict[str, list[str]] = {}
    for tap in build.pack.taps.values():
        found.setdefault(tap.connector or "harness", []).append(tap.name)
    return found


def like_connectors(build: Build) -> Sequence[str]:
    """Return pairs of connectors that fit each other's places."""
    found = list(connectors(build).items())
    return tuple(f"{one}, {other}" for index, (one, pins) in enumerate(found) for other, pins_there in found[index + 1:]
                 if len(pins) == len(pins_there))  # fmt: skip


def movable_taps(build: Build, by: int) -> Sequence[str]:
    """Return the taps on posts that also fit so many modules further on."""
    return tuple(tap for tap, node in build.taps.items() if moved_along(build.pack, node, by))


def link_pairs(build: Build) -> Sequence[str]:
    """Return pairs of links or leads that join two trays, whose ends can be taken for one another."""
    links = [c.name for c in build.pack.conductors.values() if c.kind == "link" and len(c.lands) == 2]
    return tuple(f"{one}, {other}" for one, other in pairwise(links))


def main_leads(build: Build) -> Sequence[str]:
    """Return the two leads at the inner ends of the mains as one place; () where there are no such two."""
    ends = [inner_end(build.pack, end) for end in ("main+", "main-")]
    found = [next((name for name, body in build.bodies.items() if any(at.node == end for at in body.lands)), "")
             for end in ends]  # fmt: skip
    return (", ".join(found),) if all(found) and found[0] != found[1] else ()


def strings(build: Build) -> Sequence[str]:
    """Return the strings of a pack that has several in parallel."""
    return tuple(name for group in build.pack.parallel_strings for side in group for name in side)
