"""Facts about the stacks of joints as drawn: what lies under and over the conductor, and whether it fits the thread."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import NOT_COUNTED
from packcheck.model.pack.types import JointType
from packcheck.rules.catalogue import Row, Value

_FASTENERS = ("nut", "bolt", "screw")
_SPREADING = ("washer", "flange", "captive", "combi", "sems", "disc", "spring")
"""Words in the names of what spreads the load of a nut or bolt head; common practice."""
_FLANGED = ("ISO 4161", "ISO 7089", "ISO 7093")
_NO_THREAD = ("cap", "eyelet")
"""Parts that may be of another size than the thread: caps grip the nut, eyelets are bored to order."""
_SIZE = re.compile(r"(?:^|[^a-z0-9])m(\d+)(?![a-z0-9])", re.IGNORECASE)


def stack_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per joint type that some landing of the layout uses and whose stack the layout states."""
    where: dict[str, list[str]] = {}
    for joint, (_, landing) in pack.joints.items():
        where.setdefault(landing.joint_type, []).append(joint)
    for name, joints in where.items():
        kind = pack.joint_types.get(name)
        if kind and kind.stack:
            place = f"joint type {name}, of {len(joints)} joints"
            yield Row(name, _values(pack, kind), {}, frozenset((name,)), place, "", pack.origins.get(name))


def _values(pack: Pack, kind: JointType) -> dict[str, Value]:
    seat = next((i for i, part in enumerate(kind.stack) if _is_conductor(pack, part)), None)
    under, over = ((), kind.stack) if seat is None else (kind.stack[:seat], kind.stack[seat + 1 :])
    return {
        "joint_type": kind.name,
        "stack": ", ".join(kind.stack),
        "has_conductor": seat is not None,
        "conductor_on_post": not under,
        "under": ", ".join(under),
        "has_fastener": any(_is_fastener(part) for part in kind.stack),
        "has_washer": any(_spreads(pack, part) for part in over),
        "thread": kind.thread,
        "sizes_fit": None if not kind.thread else not _misfits(pack, kind),
        "misfits": ", ".join(_misfits(pack, kind)),
        "all_described": not _undescribed(pack, kind.stack),
        "undescribed": ", ".join(_undescribed(pack, kind.stack)),
    }


def _is_conductor(pack: Pack, part: str) -> bool:
    return part in NOT_COUNTED or part in pack.bar_types or part.startswith(("bar", "lug", "link", "lead"))


def _is_fastener(part: str) -> bool:
    return any(word in part for word in _FASTENERS)


def _spreads(pack: Pack, part: str) -> bool:
    described = pack.parts.get(part)
    standard = described.standard if described else ""
    return any(word in part.lower() for word in _SPREADING) or standard.startswith(_FLANGED)


def _misfits(pack: Pack, kind: JointType) -> list[str]:
    """Return the parts whose size, by their name or standard, is not that of the thread."""
    if not kind.thread:
        return []
    wrong = []
    for part in kind.stack:
        described = pack.parts.get(part)
        sizes = {f"M{size}" for size in _SIZE.findall(f"{part} {described.standard if described else ''}")}
        if not part.startswith(_NO_THREAD) and sizes - {kind.thread}:
            wrong.append(part)
    return wrong


def _undescribed(pack: Pack, stack: Sequence[str]) -> list[str]:
    return [part for part in stack if part not in NOT_COUNTED and part not in pack.parts and part not in pack.bar_types]
