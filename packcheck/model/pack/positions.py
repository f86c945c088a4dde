"""Positions: rows of modules in even steps, alone or as members of parallel groups, facing as planned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from packcheck.files.fields import Fields, Path
from packcheck.files.names import tray_of
from packcheck.model.pack.kinds import read_point
from packcheck.model.pack.model import Position
from packcheck.model.pack.types import ModuleType, Point

MOST_POSITIONS = 200_000


def read_positions(fields: Fields, table: Mapping[str, Any], types: Mapping[str, ModuleType]) -> dict[str, Position]:
    """Return every position by name, in the order of the file."""
    positions: dict[str, Position] = {}
    for key in table:
        spec, origin = _like(fields, key, table)
        row = _row(fields, key, spec, origin, types)
        if not row:
            fields.leave_unread(key)
        _check_once(fields, key, [position.name for position in row], positions)
        positions.update({position.name: position for position in row})
        if len(positions) > MOST_POSITIONS:
            fields.wrong(
                ("positions", key), found="too many positions", key=True, needed=f"at most {MOST_POSITIONS} positions"
            )
            return positions
    return positions


def _check_once(fields: Fields, key: str, names: list[str], before: Mapping[str, Position]) -> None:
    """Refuse a row whose names stand in an earlier row, or twice in this one."""
    repeated = [name for name in names if name in before]
    if repeated:
        found = f"'{repeated[0]}'" + (f" and {len(repeated) - 1} more" if len(repeated) > 1 else "") + " a second time"
        do = "let the ranges of positions not overlap"
        fields.wrong(("positions", key), found=found, needed="each position once", key=True, do=do)
    elif len(set(names)) < len(names):
        twice = next(name for index, name in enumerate(names) if name in names[:index])
        fields.wrong(
            ("positions", key, "of"), found=f"'{twice}' twice", needed="each member of a group once",
            do="give every member a letter of its own",
        )  # fmt: skip


def _like(fields: Fields, key: str, table: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the keys of a row and of those it is like, and the row that each key stands in."""
    spec, seen = dict(table[key]), {key}
    origin = dict.fromkeys(spec, key)
    while "like" in spec:
        beginning = spec.pop("like")
        source = next((k for k in table if k not in seen and k.startswith(beginning)), None)
        if source is None:
            fields.wrong(
                ("positions", origin["like"], "like"),
                found=f"no other positions whose names begin with '{beginning}'",
                needed="the beginning of another row's names",
                do="write how the names of the other row begin, or write the keys out",
            )
            spec["like"] = ""
            break
        seen.add(source)
        spec = {**table[source], **spec}
        origin = {**dict.fromkeys(table[source], source), **origin}
        origin["like"] = source
    return spec, origin


def _row(
    fields: Fields, key: str, spec: Mapping[str, Any], origin: Mapping[str, str], types: Mapping[str, ModuleType]
) -> list[Position]:
    def at(name: str) -> Path:
        return ("positions", origin.get(name, key), name)

    if "module" not in spec:
        if "like" not in spec:  # else it has been said what it cannot be like
            do = "add module: with the name of a module type"
            fields.wrong(("positions", key), found="no module type", needed="the module type that sits here", key=True,
                         do=do)  # fmt: skip
        return []
    kind = types.get(spec["module"])
    if kind is None:
        fields.unknown(at("module"), spec["module"], types, "a module type of this layout")
        return []
    pattern = _pattern(fields, ("positions", key), at("plus at"), spec, kind)
    origin_mm = read_point(fields, at("first at"), spec.get("first at")) or (0.0, 0.0, 0.0)
    step_mm = read_point(fields, at("step"), spec.get("step")) or (0.0, 0.0, 0.0)
    members = spec.get("of") or [""]
    row = []
    for index, group in enumerate(fields.names(("positions", key), key, key=True)):
        plus = pattern[index % len(pattern)]
        minus = next(post for post in kind.posts if post != plus)
        for number, member in enumerate(members):
            row.append(
                Position(
                    name=group + str(member),
                    module_type=kind.name,
                    group=group,
                    tray=tray_of(group),
                    plus=plus,
                    minus=minus,
                    at_mm=_along(origin_mm, step_mm, index * len(members) + number),
                )
            )
    return row


def _along(origin: Point, step: Point, steps: int) -> Point:
    return (origin[0] + step[0] * steps, origin[1] + step[1] * steps, origin[2] + step[2] * steps)


def _pattern(fields: Fields, row: Path, path: Path, spec: Mapping[str, Any], kind: ModuleType) -> list[str]:
    if "plus at" not in spec:
        fields.wrong(
            row,
            found="nothing that says where + is",
            key=True,
            needed="the post at which + is planned, or a pattern of posts that repeats",
            why="a module put in the wrong way round is found by it",
            do=f"add plus at: [{', '.join(kind.posts)}]",
        )
        return list(kind.posts)[:1]
    written = spec["plus at"]
    pattern = [written] if isinstance(written, str) else list(written)
    for index, post in enumerate(pattern):
        if post not in kind.posts:
            place = path if isinstance(written, str) else (*path, index)
            fields.unknown(place, post, kind.posts, f"a post of module type '{kind.name}'")
    known = [post for post in pattern if post in kind.posts]
    return known or list(kind.posts)[:1]
