"""What a record tells, cell by cell, with the words it was told in: for people who look back at what they wrote."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from packcheck.model.record.braces import is_told
from packcheck.model.record.second_looks import SECTIONS
from packcheck.model.record.sheets import AT, CLAMP, IS, SHEETS, STACK, TAKEN_KEYS


@dataclass(frozen=True)
class ToldCell:
    """One cell as written: ``column`` is ``is`` for the word of a row; ``why`` is the reason of a second look."""

    section: str
    subject: str
    column: str
    value: str
    at: str = ""
    by: str = ""
    instrument: str = ""
    why: str = ""


def told_cells(root: Mapping[str, Any]) -> Iterator[ToldCell]:
    """Yield every cell that a record tells, in the order of the file."""
    for section, sheet in SHEETS.items():
        table = root.get(section)
        if not isinstance(table, Mapping):
            continue
        if sheet is CLAMP:
            yield from _cells(section, STACK, dict(table), table.get("taken", {}))
            continue
        headings = [str(heading) for heading in table.get("columns", [])]
        for key, row in table.items():
            if key in ("columns", "taken"):
                continue
            if isinstance(row, list):
                row = dict(zip(headings, row, strict=False))
            yield from _cells(section, key, row if isinstance(row, Mapping) else {IS: row}, table.get("taken", {}))
    yield from _again(root)


def _cells(section: str, subject: str, row: Mapping[str, Any], table: Mapping[str, Any]) -> Iterator[ToldCell]:
    columns = SHEETS[section].columns
    for heading, item in row.items():
        name = next((c for c in columns if heading == c or heading.startswith(f"{c} ")), "")
        column = IS if heading == IS else name
        if not column or not is_told(item):
            continue
        own = item if isinstance(item, Mapping) else {}
        value = own.get(IS) if own else item
        unit = heading.removeprefix(column).strip()
        taken = {key: own.get(key, row.get(key, table.get(key, ""))) for key in TAKEN_KEYS}
        with_ = taken["with"]
        instrument = str(with_.get(column, "")) if isinstance(with_, Mapping) else str(with_)
        known = columns.get(column)
        yield ToldCell(section, subject, column, _words(value, unit), str(taken[AT]), str(taken["by"]),
                       instrument if known and known.dimension else "")  # fmt: skip


def _again(root: Mapping[str, Any]) -> Iterator[ToldCell]:
    for entry in root.get("again", []):
        kind = next((kind for kind in (*SECTIONS, "reading") if kind in entry), "")
        sections = SECTIONS.get(kind, ("readings",))
        subject = str(entry.get(kind, ""))
        section = next((s for s in sections if subject in root.get(s, {})), sections[0])
        for column, value in entry.items():
            if column in (*TAKEN_KEYS, "why", "replaced", kind):
                continue
            yield ToldCell(section, subject, column, _words(value, ""), str(entry.get(AT, "")),
                           str(entry.get("by", "")), str(entry.get("with", "")), str(entry.get("why", "")))  # fmt: skip


def _words(value: Any, unit: str) -> str:
    text = ", ".join(str(item) for item in value) if isinstance(value, list) else str(value)
    return f"{text} {unit}" if unit and not isinstance(value, str) else text
