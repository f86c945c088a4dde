"""A record as blocks of rows and columns, to be written as a workbook, as CSV or as YAML again: nothing is lost.

What is written in another way but means the same comes out in one way: a number carries the unit of most of its column,
a row in braces stands beside those in brackets where it has the same columns.  Comments are not kept.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, NamedTuple

from packcheck.files.quantities import parse_heading
from packcheck.model.record.cell_tables import PACK_KEYS, SHAPES, SHEETS, WITH, Shape, is_of_taking
from packcheck.model.record.sheets import IS, NOT_TAKEN

Value = Any
"""A text, a number, a list or a mapping, as a record holds it."""


class Column(NamedTuple):
    """A column: its name, and the unit of its numbers."""

    name: str
    unit: str = ""

    @property
    def heading(self) -> str:
        """Return name and unit as they stand above the column."""
        return f"{self.name} {self.unit}".rstrip()


@dataclass(frozen=True)
class Line:
    """One row: its name, what it holds by column, and what is said beside it for people, by heading."""

    name: str
    cells: Mapping[str, Value]
    beside: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Block:
    """One table, or a part of one: how it was taken, its columns, its rows; ``stage`` is the sheet it belongs on."""

    section: str
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    taken: Mapping[str, str] = field(default_factory=dict)
    title: str = ""
    stage: str = ""


def lay_out(root: Mapping[str, Any]) -> tuple[Block, ...]:
    """Return the blocks of a record, in the order in which they are written."""
    return tuple(block for section in SHAPES for block in _blocks(root, section))


def _blocks(root: Mapping[str, Any], section: str) -> Iterator[Block]:
    if section == "pack":
        of = root.get("of", {})
        held = {key: (root if key in ("layout", "extra") else of).get(key) for key in PACK_KEYS}
        lines = [Line(key, {"value": value}) for key, value in held.items() if value is not None]
        yield Block(section, (Column("value"),), tuple(lines))
    elif section not in root:
        return
    elif section in SHEETS:
        yield from _of_table(section, root[section])
    elif section == "people":
        people = root[section].items()
        yield Block(section, (Column("did"),), tuple(Line(name, {"did": did}) for name, did in people))
    elif section == "clamp":
        spec = {key: value for key, value in root[section].items() if key != "taken"}
        yield _block(section, [("clamp", spec)], _flat(root[section].get("taken", {})))
    elif section == "instruments":
        yield _block(section, root[section].items(), {})
    else:
        listed = root[section]
        items = (
            [{"note": note} for note in ([listed] if isinstance(listed, str) else listed)]
            if section == "notes"
            else listed
        )
        yield _block(section, [(str(n), _spread(dict(item))) for n, item in enumerate(items, 1)], {})


def _of_table(section: str, table: Mapping[str, Any]) -> Iterator[Block]:
    """Yield the rows of a table in blocks, each of rows that have the same columns."""
    headings = [_heading(SHAPES[section], text) for text in table.get("columns", ())]
    taken = _flat(table.get("taken", {}))
    rows = [(name, _row(value, headings)) for name, value in table.items() if name not in ("columns", "taken")]
    alike: dict[tuple[str, ...], list[tuple[str, dict[str, Value]]]] = {}
    for name, row in rows:
        alike.setdefault(tuple(sorted(key for key in row if not is_of_taking(key))), []).append((name, row))
    for part in alike.values():
        yield _block(section, part, taken)


def _heading(shape: Shape, text: str) -> Column:
    if shape.knows(text):
        return Column(text)
    return Column(*parse_heading(text))


def _row(value: Value, headings: Sequence[Column]) -> dict[str, Value]:
    """Return a row by column, each number with its unit."""
    if isinstance(value, Mapping):
        return {key: NOT_TAKEN if item is None else item for key, item in _spread(value).items()}
    if not isinstance(value, list):
        return {IS: value}
    row = {}
    for column, item in zip(headings, value, strict=True):
        bare = isinstance(item, int | Decimal) and not isinstance(item, bool)
        row[column.name] = f"{item} {column.unit}" if bare and column.unit else NOT_TAKEN if item is None else item
    return row


def _spread(row: Mapping[str, Any]) -> dict[str, Value]:
    """Return a row with an instrument for each column as columns of their own."""
    spread: dict[str, Value] = {}
    for key, value in row.items():
        if key == WITH and isinstance(value, Mapping):
            spread |= {f"{WITH} {column}": name for column, name in value.items()}
        else:
            spread[key] = value
    return spread


def _flat(taken: Mapping[str, Any]) -> dict[str, str]:
    return {key: str(value) for key, value in _spread(taken).items()}


def _block(section: str, rows: Iterable[tuple[str, Mapping[str, Value]]], taken: Mapping[str, str]) -> Block:
    """Return rows as a block; a column whose numbers have one unit mostly has it in its heading."""
    shape, rows = SHAPES[section], list(rows)
    names = dict.fromkeys(key for _, row in rows for key in row)
    order = [*(n for n in names if not is_of_taking(n)), *(n for n in names if is_of_taking(n))]
    if section in ("again", "work"):
        first, last = ("at", "by"), ("why", "replaced", "notes")
        middle = [name for name in order if name not in (*first, *last)]
        order = [*(n for n in first if n in names), *middle, *(n for n in last if n in names)]
    columns = []
    for name in order:
        units = Counter(unit for _, row in rows if (unit := unit_of(row.get(name))))
        usual = units.most_common(1)[0][0] if units and name in shape.quantities else ""
        columns.append(Column(name, usual))
    lines = tuple(
        Line(name, {c.name: _bare(row[c.name], c.unit) for c in columns if c.name in row}) for name, row in rows
    )
    return Block(section, tuple(columns), lines, taken)


def unit_of(value: Value) -> str:
    """Return the unit of a plain number with its unit, "" for anything else."""
    if not isinstance(value, str):
        return ""
    number, _, unit = value.partition(" ")
    return unit if unit and _is_plain(number) and parse_heading(f"x {unit}") == ("x", unit) else ""


def _bare(value: Value, unit: str) -> Value:
    """Return a number without the unit that its heading has."""
    return Decimal(value.partition(" ")[0]) if unit and unit_of(value) == unit else value


def _is_plain(number: str) -> bool:
    whole, _, part = number.removeprefix("-").partition(".")
    proper = whole.isdigit() and whole.isascii() and (whole == "0" or not whole.startswith("0"))
    return proper and (part.isdigit() if "." in number else True)
