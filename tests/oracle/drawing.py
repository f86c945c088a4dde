"""Layout and record data, as plain mappings and lists -> the parts of a real pack.

Nodes are posts (``P1.A``), conductors (``B1``) and ends of devices (``SD.1``); a part is a resistance with an EMF.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Any, NamedTuple

Data = dict[str, Any]
PREFIXES = {"n": 1e-9, "µ": 1e-6, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6}


class Part(NamedTuple):
    """A resistance [Ω] between two nodes with an EMF [V] that drives current from ``start`` to ``end``."""

    name: str
    start: str
    end: str
    ohm: float
    emf: float = 0.0


class Post(NamedTuple):
    """One position as drawn: its module type, the post that is + and the post that is −."""

    kind: str
    plus: str
    minus: str


def spread(written: str) -> list[str]:
    """Return the names that ``P01..P24`` or ``P02..P12 by 2`` stands for; the last number counts."""
    ends, _, step = written.partition(" by ")
    first, dots, last = ends.partition("..")
    if not dots:
        return [written]
    head, low, tail = re.fullmatch(r"(.*?)(\d+)(\D*)", first).groups()  # type: ignore[union-attr]
    high = re.fullmatch(r"(.*?)(\d+)(\D*)", last).group(2)  # type: ignore[union-attr]
    return [f"{head}{n:0{len(low)}d}{tail}" for n in range(int(low), int(high) + 1, int(step or 1))]


def ohms(text: str | None, missing: float) -> float:
    """Return the first resistance of a text such as ``80 µΩ, at most 150 µΩ`` [Ω]."""
    found = re.match(r"([\d.]+) ([nµumkM]?)Ω", text or "")
    return float(found.group(1)) * PREFIXES[found.group(2)] if found else missing


def positions(layout: Data) -> dict[str, list[tuple[str, Post]]]:
    """Return the members of each group, with each group a list of positions."""
    groups: dict[str, list[tuple[str, Post]]] = {}
    for written, block in layout["positions"].items():
        turns = block["plus at"] if isinstance(block["plus at"], list) else [block["plus at"]]
        for index, name in enumerate(spread(written)):
            plus = turns[index % len(turns)]
            other = next(p for p in layout["module types"][block["module"]]["posts"] if p != plus)
            members = [f"{name}{letter}" for letter in block.get("of", [""])]
            groups[name] = [(member, Post(block["module"], plus, other)) for member in members]
    return groups


def landings(layout: Data) -> dict[str, list[str]]:
    """Return where every conductor of the drawing lands."""
    groups, found = positions(layout), {}
    for series in layout.get("series", {}).values():
        through = [name for word in _list(series["through"]) for name in spread(word)]
        dropped = {name for word in _list(series.get("drop", [])) for name in spread(word)}
        for name, (one, other) in zip(spread(series["names"]), pairwise(through), strict=True):
            if name not in dropped:
                plus = [f"{member}.{post.plus}" for member, post in groups[one]]
                found[name] = plus + [f"{member}.{post.minus}" for member, post in groups[other]]
    for section in ("bars", "leads", "links"):
        found.update({name: list(row["lands"]) for name, row in layout.get(section, {}).items()})
    return found


def parts(layout: Data, record: Data, closed: Iterable[str]) -> Iterator[Part]:
    """Yield what is in the pack that the record describes, with some devices closed."""
    fitted = {name: row for written, row in _rows(record, "modules") for name in spread(written)}
    for members in positions(layout).values():
        for name, post in members:
            if fitted[name] != "not fitted":
                yield _module(layout, name, post, dict(zip(_columns(record, "modules"), fitted[name], strict=True)))
    measured = {name: _cell(record, row, "resistance µΩ") for name, row in _rows(record, "joints")}
    for name, lands in conductors(layout, record).items():
        body = ohms(_bar_type(layout, name).get("resistance"), 20e-6)
        for node in lands:
            read = measured.get(f"{name}/{node}")
            yield Part(f"{name}/{node}", node, name, (read * 1e-6 if read else 100e-6) + body / 2)
    for name, device in layout.get("devices", {}).items():
        stated = dict(_rows(record, "devices")).get(name, "as drawn") != "not fitted"
        if stated and (name in closed or _needs_no_switch(device)):
            yield Part(name, f"{name}.1", f"{name}.2", ohms(device.get("resistance"), 100e-6))


def _needs_no_switch(device: Data) -> bool:
    in_series = device["kind"] == "precharge resistor" and "across" not in device
    return in_series or device["kind"] in ("fuse", "shunt", "bond", "heater")


def conductors(layout: Data, record: Data) -> dict[str, list[str]]:
    """Return where every conductor lands that the record says is fitted."""
    drawn, found = landings(layout), {}
    for section in ("bars", "leads"):
        for written, row in _rows(record, section):
            for name in spread(written):
                if row != "not fitted":
                    found[name] = list(row["lands"]) if isinstance(row, dict) and "lands" in row else drawn[name]
    return found


def _module(layout: Data, name: str, post: Post, row: Data) -> Part:
    plus = row["plus at"]
    minus = post.minus if plus == post.plus else post.plus
    inner = ohms(layout["module types"][post.kind].get("resistance"), 1e-3)
    return Part(name, f"{name}.{minus}", f"{name}.{plus}", inner, float(row["rest V"]))


def _bar_type(layout: Data, name: str) -> Data:
    """Return the bar type of a conductor of a series, nothing for others."""
    for series in layout.get("series", {}).values():
        if name in spread(series["names"]):
            kind: Data = layout["bar types"][series["bar"]]
            return kind
    return {}


def _rows(record: Data, section: str) -> list[tuple[str, Any]]:
    return [(n, row) for n, row in record.get(section, {}).items() if n not in ("columns", "taken") and row is not None]


def _columns(record: Data, section: str) -> list[str]:
    columns: list[str] = record[section]["columns"]
    return columns


def _cell(record: Data, row: Any, column: str) -> float | None:
    value = row[_columns(record, "joints").index(column)] if isinstance(row, list) else None
    return float(value) if isinstance(value, int | float) else None


def _list(value: Any) -> list[str]:
    return [value] if isinstance(value, str) else list(value)
