"""What was looked at or counted again: the later word stands in the row, the first is kept with the reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from packcheck.files.fields import Fields, Path
from packcheck.model.record.braces import refuse_contradiction, word_written_out
from packcheck.model.record.circumstances import Taken, read_taken, read_time
from packcheck.model.record.model import Amended
from packcheck.model.record.sheets import AS_DRAWN, IS, NOT_FITTED, NOT_TAKEN, SHEETS, TAKEN_KEYS, RowRead, Sheet
from packcheck.model.record.tables import TableReader

SECTIONS = {
    "module": ("modules",), "conductor": ("bars", "leads"), "device": ("devices",), "joint": ("joints",),
    "tap": ("taps",), "cover": ("covers",), "cap": ("caps",), "part": ("parts",), "tool": ("tools",),
    "clamp": ("clamp",), "test": ("tests",), "vent": ("vents",),
}  # fmt: skip
"""What can be looked at or counted again, and the tables in which it was told first."""
REPLACED = {
    "module": ("module",), "joint": ("fastener", "module"), "reading": ("module",), "conductor": ("conductor",),
}  # fmt: skip
"""What may have been put in new between a first and a second reading, or look, of each kind."""
BY_READING = ("module", "joint")
"""Kinds whose quantities are read again as readings: see ``second_readings``."""
STATED = ("plus at", "type", "lands", "part", "current", "rating", "volts", "breaks", "on", "over", "to")
"""What the words ``as drawn`` state anew."""
_BESIDE = (*TAKEN_KEYS, "why", "replaced")


class Amending:
    """Puts what was told again into the rows of each table as it is read; ``amended`` is what it stands beside."""

    def __init__(self, fields: Fields, reader: TableReader, entries: Sequence[Mapping[str, Any]]) -> None:
        self.fields = fields
        self.reader = reader
        self.amended: list[Amended] = []
        self._waiting = {
            index: (kind, str(spec[kind]), spec)
            for index, spec in enumerate(entries)
            for kind in [next((kind for kind in SECTIONS if kind in spec), "")]
            if kind and "at" in spec and "why" in spec and (kind not in BY_READING or any(_told(kind, spec)))
        }

    def rows(self, sheet: Sheet, rows: list[RowRead]) -> list[RowRead]:
        """Return the rows of a table as they stand after everything that was told again of its subjects."""
        for index, (kind, subject, spec) in list(self._waiting.items()):
            place = next((n for n in reversed(range(len(rows))) if subject in rows[n].subjects), None)
            if sheet.section in SECTIONS[kind] and place is not None:
                del self._waiting[index]
                rows = _without(rows, place, subject, self._amended(sheet, rows[place], index, kind, spec))
        return rows

    def note_strangers(self) -> None:
        """Note what was told again of things of which nothing was told first."""
        for index, (kind, subject, _) in self._waiting.items():
            self.fields.wrong(
                ("again", index, kind), found=f"'{subject}', of which no table tells anything",
                needed=f"a {kind} that has a row under {' or '.join(SECTIONS[kind])}",
                do="write it into its table: what is told first is no second look",
            )  # fmt: skip

    def _amended(self, sheet: Sheet, first: RowRead, index: int, kind: str, spec: Mapping[str, Any]) -> RowRead:
        path: Path = ("again", index)
        own = {key: spec[key] for key in TAKEN_KEYS if key in spec}
        instruments = self.reader.measuring.instruments
        taken = read_taken(self.fields, path, own, self.reader.pack, sheet.columns, instruments, first.taken)
        row = replace(
            first, subjects=[str(spec[kind])], path=path, origin=self.fields.document.mark(path),
            cells=dict(first.cells), places=dict(first.places), own=dict(first.own),
        )  # fmt: skip
        replaced = str(spec.get("replaced", "")) if kind in BY_READING else read_replaced(self.fields, path, kind, spec)
        for column, item in _told(kind, spec):
            if column == IS and sheet.words:
                self._word(sheet, row, item)
                row.taken = taken
            elif column in sheet.columns:
                self._cell(sheet, row, column, item, taken)
                row.own[column] = taken
            else:
                self._refuse(sheet, path, kind, column)
                continue
            self.amended.append(
                Amended(row.subjects[0], "" if column == IS else column, _words(first, column), _words(row, column),
                        taken.at, taken.by, str(spec["why"]), self._told_at(first, column), row.origin,
                        first.taken_of(column).by, replaced)
            )  # fmt: skip
        refuse_contradiction(self.fields, row)
        return row

    def _told_at(self, row: RowRead, column: str) -> datetime | None:
        """Return when a row told a column; a re-check has a column for it."""
        written = row.cells.get("recheck at") if column == "recheck" else None
        return read_time(self.fields, row.path, written) if written else row.taken_of(column).at

    def _word(self, sheet: Sheet, row: RowRead, item: Any) -> None:
        row.word = word_written_out(self.fields, sheet, row, item) or row.word
        gone = list(row.cells) if row.word == NOT_FITTED else STATED if row.word == AS_DRAWN else ()
        for column in gone:
            row.cells.pop(column, None)

    def _cell(self, sheet: Sheet, row: RowRead, column: str, item: Any, taken: Taken) -> None:
        """Put a cell into a row; a thing that was not there, or as drawn, is now as the cell says."""
        place: Path = (*row.path, column)
        if item == NOT_TAKEN or item is None:
            self.fields.wrong(place, found="`none`", needed="what was found at the second look",
                              do="leave it out: nothing that was told is untold")  # fmt: skip
            return
        if row.word == NOT_FITTED or (row.word == AS_DRAWN and column in STATED):
            row.word = ""
        row.written |= {column}
        row.places[column] = place
        if column == "recheck":
            row.cells.pop("recheck at", None)  # that was when the first one was made
        row.cells[column] = self.reader.cell(place, column, sheet.columns[column], item, "", replace(row, taken=taken))

    def _refuse(self, sheet: Sheet, path: Path, kind: str, column: str) -> None:
        known = [name for name, cell in sheet.columns.items() if kind not in BY_READING or cell.dimension is None]
        what = f"what can be told again of a {kind}"
        self.fields.unknown((*path, column), column, [*known, *([IS] if sheet.words else [])], what, key=True)


def read_replaced(fields: Fields, path: Path, kind: str, spec: Mapping[str, Any]) -> str:
    """Return what was put in new before something was read or looked at again; what cannot be is a mistake."""
    replaced = str(spec.get("replaced", ""))
    words = REPLACED.get(kind, ())
    if replaced and not words:
        needed = "its time, its reason and what it is"
        fields.wrong((*path, "replaced"), found=f"'{replaced}', beside a {kind}", needed=needed,
                     do=f"leave it out: of a {kind} the second look says what is there now")  # fmt: skip
    elif replaced and replaced not in words:
        fields.no_word((*path, "replaced"), replaced, words, f"thing that is put in new before a {kind} is read again")
    return replaced


def _told(kind: str, spec: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield what a second look tells: for kinds whose quantities are read again, what is no quantity."""
    quantities = {name for s in SECTIONS[kind] for name, cell in SHEETS[s].columns.items() if cell.dimension}
    for key, item in spec.items():
        if key not in (*_BESIDE, kind) and not (kind in BY_READING and (key in quantities or not _is_known(kind, key))):
            yield key, item


def _is_known(kind: str, key: str) -> bool:
    return any(key in SHEETS[section].columns or (key == IS and SHEETS[section].words) for section in SECTIONS[kind])


def _without(rows: Sequence[RowRead], place: int, subject: str, amended: RowRead) -> list[RowRead]:
    """Return rows with one subject told by a row of its own in the place of the row that told it with others."""
    others = [name for name in rows[place].subjects if name != subject]
    kept = [replace(rows[place], subjects=others)] if others else []
    return [*rows[:place], *kept, amended, *rows[place + 1 :]]


def _words(row: RowRead, column: str) -> str:
    """Return what a row tells in a column, or in its word, as text for people."""
    if column == IS:
        return row.word or "told by its cells"
    cell = row.cells.get(column)
    if cell is None:
        return row.word or "not recorded"
    return ", ".join(cell) if isinstance(cell, tuple) and not hasattr(cell, "value") else _plain(cell)


def _plain(cell: Any) -> str:
    return f"{cell.value:g}" if hasattr(cell, "value") else str(cell)
