"""What somebody tells of a build -> one more entry in the text of its record, everything else left as it was.

Nothing that is told is taken out or overwritten: a cell that is told already takes a second reading or look, with its
reason, under ``again:``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from packcheck.files.document import CannotEdit, Editable, flow
from packcheck.files.names import RangeProblem, expand_names, is_range
from packcheck.files.quantities import parse_heading
from packcheck.model.record.braces import is_told
from packcheck.model.record.second_looks import SECTIONS
from packcheck.model.record.sheets import AT, CLAMP, IS, READINGS, SHEETS, Sheet

READING = "reading"


class ToldAlready(Exception):
    """A cell that somebody has told already; ``column`` is its name, ``IS`` for the word of the row."""

    def __init__(self, subject: str, column: str) -> None:
        self.subject, self.column = subject, column
        super().__init__(f"{'what was said' if column == IS else column} of {subject}")


@dataclass(frozen=True)
class Told:
    """What somebody tells of one subject of one table.

    ``cells`` are texts, whole numbers or lists of names by column, the word of the row under ``is``; ``at`` is written
    as in a record, ``instrument`` is what the quantities among the cells were read with.
    """

    section: str
    subject: str
    cells: Mapping[str, Any]
    at: str
    by: str
    instrument: str = ""
    state: str = ""

    @property
    def sheet(self) -> Sheet:
        """Return the table."""
        return SHEETS[self.section]

    @property
    def when(self) -> dict[str, str]:
        """Return when and by whom it was taken, as far as that is known."""
        return {key: value for key, value in ((AT, self.at), ("by", self.by)) if value}

    def taken(self, column: str) -> dict[str, str]:
        """Return when, by whom, with what and in which state a cell was taken."""
        cell = self.sheet.columns.get(column)
        if cell is None or cell.dimension is None:
            return self.when
        how = {"with": self.instrument, "state": self.state}
        return self.when | {key: value for key, value in how.items() if value}


def begin(layout: str, name: str, revision: int, pack: str, sha256: str) -> bytes:
    """Return a record that tells nothing yet but of which layout and pack it is."""
    of = {"name": name, "revision": revision, **({"pack": pack} if pack else {}), "sha256": sha256}
    return f"record: 1\nlayout: {flow(layout)}\nof: {flow(of)}\n".encode()


def enter(record: Editable, told: Told) -> Editable:
    """Return the record with cells more.

    Raises
    ------
    ToldAlready : one of the cells is told already.
    CannotEdit : the text has a shape into which they cannot be put.
    """
    if told.section == CLAMP.section:
        return _into_row(record, (), told, CLAMP.section)
    if told.section not in record.document.root:
        return record.add_key((), told.section, {told.subject: _row(told)})
    table = record.document.root[told.section]
    if not isinstance(table, Mapping):
        raise CannotEdit(f"{told.section}: is no table")
    key = _key_of(table, told.subject)
    if key is None:
        return record.add_key((told.section,), told.subject, _row(told))
    if is_range(key):
        record, key = _alone(record, told.section, key, told.subject), told.subject
    return _into_row(record, (told.section,), told, key)


def enter_again(record: Editable, told: Told, why: str, replaced: str = "") -> Editable:
    """Return the record with a second reading or look, beside the first.

    Raises
    ------
    CannotEdit : nothing in this table can be told again, or the text has an awkward shape.
    """
    kind = READING if told.section == READINGS.section else next(
        (kind for kind, sections in SECTIONS.items() if told.section in sections), "")  # fmt: skip
    if not kind:
        raise CannotEdit(f"nothing under {told.section}: can be told again")
    taken: dict[str, str] = {}
    for column in told.cells:
        taken |= told.taken(column)
    entry = {**told.when, kind: told.subject, **told.cells, **taken, "why": why}
    return append(record, "again", entry | ({"replaced": replaced} if replaced else {}))


def append(record: Editable, section: str, entry: Any) -> Editable:
    """Return the record with an item more in a list: again, work, notes."""
    if section not in record.document.root:
        return record.add_key((), section, [entry])
    return record.add_item((section,), entry)


def describe(record: Editable, section: str, name: str, spec: Any) -> Editable:
    """Return the record with a person or an instrument more, or with what was not said of an instrument.

    Raises
    ------
    ToldAlready : something else is said of it.
    """
    if section not in record.document.root:
        return record.add_key((), section, {name: spec})
    known = record.document.root[section].get(name)
    if known is None:
        return record.add_key((section,), name, spec)
    if not isinstance(known, Mapping) or not isinstance(spec, Mapping):
        raise ToldAlready(name, section)
    for key, value in spec.items():
        if key in known and known[key] != value:
            raise ToldAlready(name, key)
        record = record if key in known else record.add_key((section, name), key, value)
    return record


def state(record: Editable, key: str, word: str) -> Editable:
    """Return the record with a statement of one word, such as ``extra: none``."""
    if key in record.document.root:
        raise ToldAlready("the record", key)
    return record.add_key((), key, word)


def _key_of(table: Mapping[str, Any], subject: str) -> str | None:
    if subject in table:
        return subject
    for key in table:
        if is_range(key):
            try:
                if subject in expand_names(key):
                    return key
            except RangeProblem:
                continue
    return None


def _row(told: Told) -> dict[str, Any]:
    """Return a new row: what it tells, with its time and person for all of it, and an instrument for what was read."""
    read = {column: how for column in told.cells if "with" in (how := told.taken(column)) or "state" in how}
    with_ = {column: how["with"] for column, how in read.items() if "with" in how}
    row: dict[str, Any] = {**told.cells, **told.when}
    if with_:
        row["with"] = told.instrument if told.section == READINGS.section else with_
    if read and told.state:
        row["state"] = told.state
    return row


def _into_row(record: Editable, above: tuple[str, ...], told: Told, key: str) -> Editable:
    """Return the record with cells in a row that is there, each with its own time, person and instrument."""
    own = {column: _own(told, column, value) for column, value in told.cells.items()}
    path = (*above, key)
    row = _at(record, path)
    if row is None and told.section == CLAMP.section:
        return record.add_key((), key, own)
    if isinstance(row, list) and set(told.cells) <= set(names := _names(record, told)):
        for column, cell in own.items():
            index = names.index(column)
            if is_told(row[index]):
                raise ToldAlready(told.subject, column)
            record = record.put_value((*path, index), cell)
        return record
    if not isinstance(row, Mapping):
        written = {IS: row} if isinstance(row, str) and row != "none" else _as_mapping(record, told, row)
        record, row = record.put_value(path, written), written
    for column, cell in own.items():
        if is_told(row.get(column)):
            raise ToldAlready(told.subject, column)
        cell = told.cells[IS] if column == IS else cell
        record = record.put_value((*path, column), cell) if column in row else record.add_key(path, column, cell)
    return record


def _own(told: Told, column: str, value: Any) -> Any:
    return {IS: value, **told.taken(column)}


def _at(record: Editable, path: Sequence[str]) -> Any:
    here: Any = record.document.root
    for step in path:
        here = here.get(step)
    return here


def _headings(record: Editable, told: Told) -> list[str]:
    headings = record.document.root[told.section].get("columns", [])
    return [str(heading) for heading in headings]


def _names(record: Editable, told: Told) -> list[str]:
    """Return the columns of a table by the names that its headings stand for."""
    return [name for name, _ in _parted(record, told)]


def _parted(record: Editable, told: Told) -> Iterator[tuple[str, str]]:
    """Yield name and unit of each heading of a table."""
    for heading in _headings(record, told):
        known = heading in told.sheet.columns or heading == AT
        yield (heading, "") if known else parse_heading(heading)


def _as_mapping(record: Editable, told: Told, row: Any) -> dict[str, Any]:
    """Return a row of cells as a mapping: every number with the unit of its heading."""
    if row is None or row == "none":
        return {}
    if not isinstance(row, list):
        raise CannotEdit(f"the row of {told.subject} has a shape of its own")
    parted = zip(_parted(record, told), row, strict=True)
    return {name: _with_unit(item, unit) for (name, unit), item in parted if is_told(item)}


def _with_unit(item: Any, unit: str) -> Any:
    if isinstance(item, Mapping):
        return {**item, IS: _with_unit(item[IS], unit)}
    return f"{item} {unit}" if unit and not isinstance(item, str) else item


def _alone(record: Editable, section: str, key: str, subject: str) -> Editable:
    """Return the record with a subject of a range in a row of its own, the others before and behind it."""
    names, row = expand_names(key), record.document.root[section][key]
    place, step = names.index(subject), key.partition(" by ")[2]
    parts = [_span(names[:place], step), subject, _span(names[place + 1 :], step)]
    return record.split_key((section, key), [(part, row) for part in parts if part])


def _span(names: Sequence[str], step: str) -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{names[0]}..{names[-1]}" + (f" by {step}" if step else "")
