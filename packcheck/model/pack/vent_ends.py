"""Where vent lines lead as drawn: to a line, or to an outlet whose name is that of nothing else, nor like a line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields
from packcheck.model.pack.model import Pack

OUTLET = "outlet"
"""The name of an outlet that every layout may use."""


def check_vent_ends(fields: Fields, vents: Mapping[str, Any], pack: Pack) -> None:
    """Note every vent line that leads to what is taken for an outlet only because it is no line that is drawn."""
    kinds = _kinds_by_name(pack)
    for key, spec in vents.items():
        to = str(spec["to"])
        if to in pack.vents or to == OUTLET or fields.is_unread(to):
            continue
        near = line_like(to, pack.vents)
        known = kinds.get(to.lower()) or kinds.get(to.split(".")[0].lower())
        if known:
            found, do = f"'{to}', which is {known}", f"write {OUTLET}, or the vent line that takes the gas on"
        elif near:
            found = f"'{to}', which looks like the vent line {near} and is none"
            do = f"draw {to} under vents, or write a line that is drawn, or {OUTLET}"
        else:
            continue
        fields.wrong(
            ("vents", key, "to"), found=found, needed="a vent line of this layout, or an outlet with a name of its own",
            why="a name that is no vent line is taken for a way out of the pack", do=do,
        )  # fmt: skip


def line_like(name: str, lines: Iterable[str]) -> str | None:
    """Return the line that a name may have been meant for: one slip away, or the same but for its number.

    >>> [line_like(name, ["V1", "vent 2"]) for name in ("V7", "v1", "1V", "V", "vent 11", "outlet", "left")]
    ['V1', 'V1', 'V1', 'V1', 'vent 2', None, None]
    """
    return next((line for line in lines if _shape(line) == _shape(name) or _one_slip(line.lower(), name.lower())), None)


def _shape(name: str) -> str:
    return re.sub(r"\d+", "0", name.lower())


def _one_slip(one: str, other: str) -> bool:
    """Return whether a letter put in, left out, taken for another or for its neighbour makes one word of the other."""
    while one and other and one[0] == other[0]:
        one, other = one[1:], other[1:]
    while one and other and one[-1] == other[-1]:
        one, other = one[:-1], other[:-1]
    return max(len(one), len(other)) <= 1 or (len(one) == len(other) == 2 and one == other[::-1])


def _kinds_by_name(pack: Pack) -> dict[str, str]:
    """Return what each name of the layout that is no vent line belongs to."""
    groups = (position.group for position in pack.positions.values() if position.group)
    parts: tuple[tuple[str, Iterable[str]], ...] = (
        ("a tap", pack.taps), ("a probe", pack.probes), ("a face", pack.faces), ("an outlet of current", pack.outlets),
        ("a main of the pack", pack.outside), ("a series", pack.strings), ("a group", groups),
        ("a cover", pack.covers), ("a device", pack.devices), ("a conductor", pack.conductors),
        ("a position of a module", pack.positions),
    )  # fmt: skip
    return {name.lower(): kind for kind, names in parts for name in names}
