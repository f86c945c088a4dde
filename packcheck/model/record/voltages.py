"""From rows of a record to the voltages read between two places, and to what was read there besides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields, Path
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Tap
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Reading, Unread
from packcheck.model.record.sheets import IS, Other, RowRead


class Voltages:
    """Turns rows into voltage readings; ``resistances`` and ``unread`` are the rows that hold no voltage."""

    def __init__(self, fields: Fields, taps: Mapping[str, Tap]) -> None:
        self.fields, self.taps = fields, taps
        self.resistances: dict[str, Entry] = {}
        self.unread: list[Unread] = []

    def read(self, rows: Iterable[RowRead]) -> dict[str, Reading]:
        """Return the voltage readings by name; other readings go to ``resistances``, rows without one to ``unread``."""
        readings: dict[str, Reading] = {}
        for row in rows:
            value = row.cells.get("value")
            if isinstance(value, Other) and value.entry:
                self.resistances[row.subjects[0]] = value.entry
            reading = self._reading(row)
            if reading:
                readings[reading.name] = reading
        return readings

    def _reading(self, row: RowRead) -> Reading | None:
        cells = row.cells
        value, plus, minus = cells.get("value"), cells.get("between"), cells.get("and")
        if value is None and row.subjects and "value" not in row.places:
            words = self._words(row.path) if plus and minus else ("", "")
            self.unread.append(Unread(list_places(row.subjects), words, row.taken.state, row.origin))
        if value is None or isinstance(value, Other) or not row.subjects:
            return None
        if len(row.subjects) > 1:
            self.fields.wrong(row.path, key=True, found="one reading for a range of names", needed="a row for each",
                              do="write the name of the reading alone")  # fmt: skip
            return None
        if plus is None or minus is None:
            if not {"between", "and"} <= set(cells):  # else it has been said what is wrong with the place
                self.fields.wrong(
                    row.path,
                    found="a voltage without the two places it was read between",
                    key=True,
                    needed="both places, the one that the meter's + lead was on first",
                    do="write them under between and and",
                )
            return None
        if len(plus) > 1 or len(minus) > 1:
            place = row.places["between" if len(plus) > 1 else "and"]
            self.fields.wrong(place, found="a list of places", needed="one place", do="write the place the lead was on")
            return None
        words = self._words(row.path)
        if plus[0] == minus[0] and self._drawn(words[0], plus[0]) == self._drawn(words[1], minus[0]):
            found = f"both leads of the meter on '{plus[0]}'"
            do = "correct the wrong one of the two"
            self.fields.wrong(row.path, found=found, needed="two different places", do=do)
            return None
        if not value.state:
            self.fields.wrong(
                row.path,
                found="a reading without a switching state",
                key=True,
                needed="the switching state it was read in",
                why="what is closed decides what the meter must show",
                do="add state: to the row, or to taken: when it holds for the whole table",
            )
        load = cells.get("load")
        return Reading(row.subjects[0], plus[0], minus[0], words, value, load.value if load else 0.0)

    def _drawn(self, word: str, node: str) -> str:
        """Return where a word of a reading lies by the layout: a tap may be recorded where another one lies."""
        return self.taps[word].node if word in self.taps else node

    def _words(self, path: Path) -> tuple[str, str]:
        table = self.fields.document.root[str(path[0])]
        row, columns = table[path[1]], table.get("columns", [])
        cells = dict(zip(columns, row, strict=False)) if isinstance(row, list) else row
        return _word(cells["between"]), _word(cells["and"])


def _word(cell: Any) -> str:
    """Return the one place that a cell names: by itself, in a list of one, or with when and by whom it was told."""
    if isinstance(cell, dict):
        cell = cell[IS]
    return str(cell[0] if isinstance(cell, list) else cell)
