"""The tables of a record: their columns, what a column may hold, and what a row is once it is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from functools import lru_cache
from typing import Any

from packcheck.files.fields import Path
from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds, parse_number_with_unit
from packcheck.model.record.circumstances import Taken
from packcheck.model.record.entry import Entry

TAKEN_KEYS = ("at", "by", "with", "state")
NOT_TAKEN = "none"
AT = "at"
"""The column that gives each row of a table a time of its own."""
IS = "is"
"""The key under which a row or a cell that has a time, a person or an instrument of its own says what it is."""
NOT_FITTED = "not fitted"
AS_DRAWN = "as drawn"


@dataclass(frozen=True)
class Cell:
    """What a column may hold: a quantity of a dimension, a count, one of some words, nodes, positions, or text.

    ``asked`` is "quantity" or "condition" where the layout's test says which quantity it is.
    """

    dimension: Dimension | None = None
    or_else: Dimension | None = None
    count: bool = False
    words: tuple[str, ...] = ()
    nodes: bool = False
    positions: bool = False
    asked: str = ""


@dataclass(frozen=True)
class Other:
    """A reading of the column's second dimension, such as a resistance among voltages."""

    dimension: Dimension
    entry: Entry | None


def is_of(item: Any, unit: str, dimension: Dimension) -> bool:
    """Return whether a cell, with the unit of its heading, is a quantity of a dimension."""
    if unit:
        return _is_unit_of(unit, dimension)
    if not isinstance(item, str):
        return False
    try:
        parse_bounds(item, dimension)
    except QuantityProblem:
        return False
    return True


@lru_cache(maxsize=256)
def _is_unit_of(unit: str, dimension: Dimension) -> bool:
    try:
        parse_number_with_unit(1, unit, dimension)
    except QuantityProblem:
        return False
    return True


@dataclass(frozen=True)
class Sheet:
    """One table of a record: its columns and the single words a row may be."""

    section: str
    columns: Mapping[str, Cell]
    words: tuple[str, ...] = ()


@dataclass(slots=True)
class RowRead:
    """One row as read: its subjects, its cells by column and where each stands, or the one word that stands for it.

    ``written`` are the columns it has, those with `none` in them too; ``own`` says of a cell when, by whom and with
    what it was taken, where it was not taken with the row.
    """

    subjects: list[str]
    path: Path
    origin: Origin
    word: str = ""
    cells: dict[str, Any] = field(default_factory=dict)
    places: dict[str, Path] = field(default_factory=dict)
    taken: Taken = field(default_factory=Taken)
    written: frozenset[str] = frozenset()
    own: dict[str, Taken] = field(default_factory=dict)

    def taken_of(self, column: str) -> Taken:
        """Return when, by whom and with what a column was taken: as its cell says, else as the row does."""
        return self.own.get(column, self.taken)

    @property
    def is_blank(self) -> bool:
        """Return whether the row tells nothing at all: neither a word nor one cell."""
        return not self.word and not self.cells


def columns_in(rows: Iterable[RowRead]) -> frozenset[str]:
    """Return the columns that a table has at all, with something or with `none` in them.

    Where a table has a column, only the record fills it: what nobody wrote into a cell of it was not recorded.
    """
    return frozenset(name for row in rows for name in row.written)


TEXT = Cell()
COUNT = Cell(count=True)
VOLTS, OHMS, TORQUE = Cell(Dimension.VOLTAGE), Cell(Dimension.RESISTANCE), Cell(Dimension.TORQUE)

MODULES = Sheet(
    "modules",
    {
        "serial": TEXT,
        "plus at": TEXT,
        "type": TEXT,
        "rest": VOLTS,
        "capacity": Cell(Dimension.CAPACITY),
        "resistance": OHMS,
        "mass": Cell(Dimension.MASS),
    },
    ("as drawn", "not fitted"),
)
SHELF = Sheet(
    "shelf",
    {
        "type": TEXT,
        "lot": TEXT,
        "capacity": Cell(Dimension.CAPACITY),
        "resistance": OHMS,
        "lost": VOLTS,
        "stood": Cell(Dimension.TIME),
        "set aside": TEXT,
    },
)
_CONDUCTOR: Mapping[str, Cell] = {
    "lands": Cell(nodes=True),
    "part": TEXT,
    "condition": Cell(words=("sound", "cracked", "bent", "thin", "corroded")),
    "resistance": OHMS,
}
BARS = Sheet("bars", _CONDUCTOR, ("as drawn", "not fitted"))
LEADS = Sheet("leads", _CONDUCTOR, ("as drawn", "not fitted"))
DEVICES = Sheet(
    "devices",
    {
        "part": TEXT,
        "rating": Cell(Dimension.CURRENT),
        "volts": VOLTS,
        "breaks": Cell(Dimension.CURRENT),
        "current": Cell(words=("1 to 2", "2 to 1")),
        "seen": Cell(words=("open", "closed")),
    },
    ("as drawn", "not fitted"),
)
JOINTS = Sheet(
    "joints",
    {"torque": TORQUE, "resistance": OHMS, "recheck": Cell(words=("held", "moved")), "recheck at": TEXT, "mark": TEXT},
)
READINGS = Sheet(
    "readings",
    {
        "between": Cell(nodes=True),
        "and": Cell(nodes=True),
        "value": Cell(Dimension.VOLTAGE, or_else=Dimension.RESISTANCE),
        "load": Cell(Dimension.CURRENT),
    },
)
ISOLATION = Sheet(
    "isolation",
    {
        "minus at": Cell(nodes=True),
        "plus at": Cell(nodes=True),
        "poles": VOLTS,
        "minus to chassis": VOLTS,
        "plus to chassis": VOLTS,
        "resistor": OHMS,
        "resistor in": VOLTS,
        "tester": OHMS,
    },
)
TESTS = Sheet("tests", {"value": Cell(asked="quantity"), "found": TEXT, "under": Cell(asked="condition"), "file": TEXT})
PARTS = Sheet("parts", {"issued": COUNT, "fitted": COUNT, "returned": COUNT, "scrapped": COUNT})
TOOLS = Sheet("tools", {"out": COUNT, "in": COUNT})
COVERS = Sheet("covers", {"screws": COUNT}, ("fitted", "as drawn", "not fitted"))
CAPS = Sheet("caps", {}, ("on", "off"))
TAPS = Sheet("taps", {"on": Cell(nodes=True), "resistance": OHMS}, ("as drawn", "not fitted"))
PROBES = Sheet("probes", {"on": TEXT, "resistance": OHMS}, ("as drawn", "not fitted"))
VENTS = Sheet(
    "vents",
    {"over": Cell(positions=True), "to": TEXT, "hold": TEXT, "blown at": TEXT, "felt at": TEXT},
    ("as drawn", "not fitted"),
)
CLAMP = Sheet("clamp", {"length": Cell(Dimension.LENGTH), "torque": TORQUE})
"""The clamp is no table: its cells stand by themselves, and are those of the stack."""
STACK = "stack"
SHEETS: Mapping[str, Sheet] = {
    sheet.section: sheet
    for sheet in (SHELF, MODULES, BARS, LEADS, DEVICES, JOINTS, READINGS, PARTS, TOOLS, COVERS, CAPS, TAPS, PROBES,
                  VENTS, CLAMP, ISOLATION, TESTS)
}  # fmt: skip
"""Every table of a record by its name."""
