"""Positions: rows of modules in even steps, alone or as members of parallel groups, facing as planned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from packcheck.fields import Fields, Path
from packcheck.names import tray_of
from packcheck.pack.kinds import read_point
from packcheck.pack.model import ModuleType, Point, Position

MOST_POSITIONS = 200_000


def read_positions(fields: Fields, table: Mapping[str, Any], types: Mapping[str, ModuleType]) -> dict[str, Position]:
    """Return every position by name, in the order of the file."""
    positions: dict[str, Position] = {}
    for key in table:
        spec = _like(fields, key, table)
        for position in _row(fields, key, spec, types):
            if position.name in positions:
                fields.wrong(
                    ("positions", key),
                    found=f"'{position.name}' a second time",
                    needed="each position once",
                    key=True,
                    do="let the ranges of positions not overlap",
                )
            positions[position.name] = position
            if len(positions) > MOST_POSITIONS:
                fields.wrong(
                    ("positions", key),
                    found="too many positions",
                    key=True,
                    needed=f"at most {MOST_POSITIONS} positions",
                )
                return positions
    return positions


def _like(fields: Fields, key: str, table: Mapping[str, Any]) -> dict[str, Any]:
    spec, seen = dict(table[key]), {key}
    while "like" in spec:
        prefix = spec.pop("like")
        source = next((k for k in table if k not in seen and k.startswith(prefix)), None)
        if source is None:
            fields.wrong(
                ("positions", key, "like"),
                found=f"no other positions whose names begin with '{prefix}'",
                needed="the beginning of another row's names",
            )
            break
        seen.add(source)
        spec = {**table[source], **spec}
    return spec


def _row(fields: Fields, key: str, spec: Mapping[str, Any], types: Mapping[str, ModuleType]) -> list[Position]:
    path: Path = ("positions", key)
    if "module" not in spec:
        fields.wrong(path, found="no module type", needed="`module:` with the name of a module type", key=True)
        return []
    kind = types.get(spec["module"])
    if kind is None:
        fields.unknown((*path, "module"), spec["module"], types, "a module type of this layout")
        return []
    pattern = _pattern(fields, path, spec, kind)
    origin = read_point(fields, (*path, "first at"), spec.get("first at")) or (0.0, 0.0, 0.0)
    step = read_point(fields, (*path, "step"), spec.get("step")) or (0.0, 0.0, 0.0)
    members = spec.get("of") or [""]
    row = []
    for index, group in enumerate(fields.names(path, key, key=True)):
        plus = pattern[index % len(pattern)]
        minus = next(post for post in kind.posts if post != plus)
        for number, member in enumerate(members):
            at = _along(origin, step, index * len(members) + number)
            row.append(
                Position(
                    name=group + str(member),
                    module_type=kind.name,
                    group=group,
                    tray=tray_of(group),
                    plus=plus,
                    minus=minus,
                    at_mm=at,
                )
            )
    return row


def _along(origin: Point, step: Point, steps: int) -> Point:
    return (origin[0] + step[0] * steps, origin[1] + step[1] * steps, origin[2] + step[2] * steps)


def _pattern(fields: Fields, path: Path, spec: Mapping[str, Any], kind: ModuleType) -> list[str]:
    if "plus at" not in spec:
        fields.wrong(
            path,
            found="nothing that says where + is",
            key=True,
            needed="`plus at:` with a post, or a pattern of posts that repeats",
            why="a module put in the wrong way round is found by it",
        )
        return list(kind.posts)[:1]
    written = spec["plus at"]
    pattern = [written] if isinstance(written, str) else list(written)
    for post in pattern:
        if post not in kind.posts:
            fields.unknown((*path, "plus at"), post, kind.posts, f"a post of module type '{kind.name}'")
    known = [post for post in pattern if post in kind.posts]
    return known or list(kind.posts)[:1]
