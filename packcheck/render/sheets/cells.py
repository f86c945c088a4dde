"""Blocks of a record -> rows of cells, as CSV files and workbooks hold them; a value as YAML in one line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from packcheck.files.document.scalars import ScalarProblem, read_scalar
from packcheck.model.record.cell_tables import NAME, NUMBER, SHAPES, TABLE, TAKEN, TIMES
from packcheck.model.record.to_blocks import Block, Line

Kind = str
"""What a cell is there for: title, taken, heading, name, entry, beside."""


class Entry(NamedTuple):
    """One cell to be written: what it holds, what it is there for, and the column that it belongs to."""

    value: str | Decimal | int | datetime | None
    kind: Kind = "entry"
    column: str = ""


def rows_of(block: Block) -> Iterator[list[Entry]]:
    """Yield the rows of a block, from its title to its last line."""
    yield [Entry(TABLE, "title"), Entry(block.section, "title"), Entry(block.title or None, "beside")]
    for key, value in block.taken.items():
        yield [Entry(f"{TAKEN}{key}", "name"), Entry(value or None, "taken", key)]
    first = NAME if SHAPES[block.section].of_names else NUMBER
    beside = list(dict.fromkeys(key for line in block.lines for key in line.beside))
    headings = [Entry(column.heading, "heading", column.name) for column in block.columns]
    yield [Entry(first, "heading"), *headings, *(Entry(f"({key})", "beside") for key in beside)]
    for line in block.lines:
        yield [Entry(line.name, "name"), *_entries(block, line), *(Entry(line.beside.get(k), "beside") for k in beside)]


def _entries(block: Block, line: Line) -> Iterator[Entry]:
    shape = SHAPES[block.section]
    for column in block.columns:
        value = line.cells.get(column.name)
        yield Entry(in_cell(value, as_list=column.name in shape.lists), "entry", column.name)


def in_cell(value: Any, *, as_list: bool = False) -> str | Decimal | int | None:
    """Return a value as one cell holds it: lists with commas, what is in braces as in YAML."""
    if value is None or (isinstance(value, int | Decimal) and not isinstance(value, bool)):
        return value
    if isinstance(value, list | tuple):
        words = [str(item) for item in value]
        plain = as_list and len(words) > 1 and not any("," in w or w != w.strip() or w[:1] in "[{#" for w in words)
        return ", ".join(words) if plain else flow(value)
    return flow(value) if isinstance(value, Mapping) else str(value)


def as_moment(text: str, column: str) -> datetime | None:
    """Return the date that a text of a column of dates is, where it is written so that it comes back the same."""
    if column not in TIMES or len(text) not in (10, 16):
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    back = moment.isoformat(" ", "minutes") if len(text) == 16 else moment.date().isoformat()
    return moment if back == text and moment.year >= 1900 else None


_PLAIN_START = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`=]|-(?=[^\s])")
_TROUBLE = re.compile(r": |:$| #|[\[\]{},\n\t\"']|^(---|\.\.\.)|^\s|\s$")


def flow(value: Any) -> str:
    """Return a value as YAML in one line.

    Examples
    --------
    >>> flow({"is": "4.5 N·m", "by": "TO"}), flow(["P12.B", "a, b"]), flow("7.92")
    ('{is: 4.5 N·m, by: TO}', '[P12.B, "a, b"]', '"7.92"')
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{flow(str(key))}: {flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | Decimal):
        return f"{value:f}" if isinstance(value, Decimal) else str(value)
    return _text(str(value))


def _text(text: str) -> str:
    plain = bool(_PLAIN_START.match(text)) and not _TROUBLE.search(text) and text not in ("<<", "=")
    if plain:
        try:
            plain = isinstance(read_scalar(text), str)
        except ScalarProblem:
            plain = False
    if plain:
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t") + '"'
