"""How a record lies in rows of cells: which tables there are, their columns, and what a cell of each may hold.

A sheet holds one table or several.  Each begins with a row ``table | joints | words for people``; then rows such as
``taken by | TO``; then the headings, ``name`` first; then a row for each name.  A heading in parentheses is for
people, and so is a row that begins with ``#``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from packcheck.files.quantities import Dimension
from packcheck.model.record import sheets
from packcheck.model.record.sheets import IS, TAKEN_KEYS, Sheet

TABLE, TAKEN, NAME, NUMBER, REMARK = "table", "taken ", "name", "number", "#"
RECORD = "record"
"""What the first row of all begins with; the version of the language follows."""
WITH = "with"
TIMES = frozenset({"at", "recheck at", "due", "gloves tested"})
"""Columns that hold dates."""
NAMED_SHEETS = (
    sheets.SHELF, sheets.MODULES, sheets.BARS, sheets.LEADS, sheets.DEVICES, sheets.JOINTS, sheets.TAPS,
    sheets.READINGS, sheets.ISOLATION, sheets.TESTS, sheets.PROBES, sheets.VENTS, sheets.CAPS, sheets.COVERS,
    sheets.PARTS, sheets.TOOLS,
)  # fmt: skip
SHEETS: Mapping[str, Sheet] = {sheet.section: sheet for sheet in NAMED_SHEETS}
AGAIN = (
    "at", "by", "module", "joint", "reading", "conductor", "device", "tap", "cover", "cap", "part", "tool", "test",
    "vent", "with", "state", "why", "replaced",
)  # fmt: skip


def is_of_taking(column: str) -> bool:
    """Return whether a column tells how the others were taken: when, by whom, in which state, with what."""
    return column in TAKEN_KEYS or column.startswith(f"{WITH} ")


@dataclass(frozen=True)
class Shape:
    """What may stand in a table: quantities by column, counts, lists, and texts; ``of_names``: each row has a name.

    ``taken``: rows may say when, by whom and with what; ``blank``: a row may hold nothing but its name.
    """

    quantities: Mapping[str, Dimension] = field(default_factory=dict)
    counts: frozenset[str] = frozenset()
    lists: frozenset[str] = frozenset()
    texts: tuple[str, ...] = ()
    of_names: bool = True
    taken: bool = False
    blank: bool = False

    def knows(self, column: str) -> bool:
        """Return whether a table of this shape has a column."""
        own = column in self.quantities or column in self.counts or column in self.lists or column in self.texts
        return own or (self.taken and is_of_taking(column))

    @property
    def columns(self) -> tuple[str, ...]:
        """Return every column, for advice about one that is unknown."""
        return (*self.texts, *self.quantities, *self.counts, *self.lists, *(TAKEN_KEYS if self.taken else ()))


def _of_sheet(sheet: Sheet) -> Shape:
    cells = sheet.columns
    return Shape(
        {name: cell.dimension for name, cell in cells.items() if cell.dimension},
        frozenset(name for name, cell in cells.items() if cell.count),
        frozenset(name for name, cell in cells.items() if cell.nodes or cell.positions),
        (
            *([IS] if sheet.words else []),
            *(n for n, c in cells.items() if not (c.dimension or c.count or c.nodes or c.positions)),
        ),
        taken=True,
        blank=True,
    )


_ALL_QUANTITIES = {name: cell.dimension for s in NAMED_SHEETS for name, cell in s.columns.items() if cell.dimension}
_ALL_TEXTS = tuple(dict.fromkeys(name for s in NAMED_SHEETS for name in _of_sheet(s).texts))
SHAPES: Mapping[str, Shape] = {
    "pack": Shape(counts=frozenset({"value"})),
    "people": Shape(texts=("did",)),
    "instruments": Shape(counts=frozenset({"cycles"}),
                         texts=("kind", "accuracy", "range", "input", "due", "serial")),
    "shelf": _of_sheet(sheets.SHELF),
    "modules": _of_sheet(sheets.MODULES),
    "clamp": Shape({"length": Dimension.LENGTH, "torque": Dimension.TORQUE}, taken=True),
    **{name: _of_sheet(sheet) for name, sheet in SHEETS.items()},
    "again": Shape(_ALL_QUANTITIES, frozenset({"issued", "fitted", "returned", "scrapped", "screws", "out", "in"}),
                   frozenset({"lands", "on", "between", "and", "over"}), (*AGAIN, *_ALL_TEXTS), of_names=False,
                   taken=True),
    "work": Shape(lists=frozenset({"did", "took off"}),
                  texts=("at", "by", "second", "gloves", "gloves tested", "notes"), of_names=False),
    "notes": Shape(texts=("note",), of_names=False),
}  # fmt: skip
"""The tables of a record, in the order in which they are written."""
PACK_KEYS = ("layout", "name", "revision", "pack", "sha256", "extra")
"""The rows of the table ``pack``: the layout's file, then what stands under ``of:``, then the statement ``extra``."""
