"""The tables of a record: what their columns may hold, and how one row is read."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from packcheck.errors import nearest_name
from packcheck.fields import Fields, Path, counted, written
from packcheck.pack.model import Pack
from packcheck.quantities import (
    Dimension,
    QuantityProblem,
    parse_bounds,
    parse_heading,
    parse_number_with_unit,
    parse_quantity,
)
from packcheck.record.instruments import Measuring
from packcheck.record.model import Entry
from packcheck.record.taken import Taken, read_taken

TAKEN_KEYS = ("at", "by", "with", "state")
NOT_TAKEN = "none"
AS_DRAWN = "as drawn"


@dataclass(frozen=True)
class Cell:
    """What a column may hold: a quantity of a dimension, a count, one of some words, nodes, or text."""

    dimension: Dimension | None = None
    or_else: Dimension | None = None
    count: bool = False
    words: tuple[str, ...] = ()
    nodes: bool = False


@dataclass(frozen=True)
class Other:
    """A reading of the column's second dimension, such as a resistance among voltages."""

    dimension: Dimension
    entry: Entry | None


def is_of(item: Any, unit: str, dimension: Dimension) -> bool:
    """Return whether a cell, with the unit of its heading, is a quantity of a dimension."""
    try:
        if unit or not isinstance(item, str):
            parse_number_with_unit(1, unit, dimension)
        else:
            parse_bounds(item, dimension)
    except QuantityProblem:
        return False
    return bool(unit) or isinstance(item, str)


@dataclass(frozen=True)
class Sheet:
    """One table of a record: its columns and the single words a row may be."""

    section: str
    columns: Mapping[str, Cell]
    words: tuple[str, ...] = ()


@dataclass
class RowRead:
    """One row as read: its subjects, its cells by column and where each stands, or the one word that stands for it."""

    subjects: list[str]
    path: Path
    line: int
    word: str = ""
    cells: dict[str, Any] = field(default_factory=dict)
    places: dict[str, Path] = field(default_factory=dict)
    taken: Taken = field(default_factory=Taken)


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
    },
)
PARTS = Sheet("parts", {"issued": COUNT, "fitted": COUNT, "returned": COUNT, "scrapped": COUNT})
TOOLS = Sheet("tools", {"out": COUNT, "in": COUNT})
COVERS = Sheet("covers", {"screws": COUNT}, ("fitted", "as drawn", "not fitted"))
CAPS = Sheet("caps", {}, ("on", "off"))
TAPS = Sheet("taps", {"on": Cell(nodes=True), "resistance": OHMS}, ("as drawn", "not fitted"))
PROBES = Sheet("probes", {"on": TEXT, "resistance": OHMS}, ("as drawn", "not fitted"))
VENTS = Sheet("vents", {"hold": TEXT}, ("as drawn", "not fitted"))


class TableReader:
    """Reads the tables of one record; every cell ends as text, a count, nodes or an ``Entry``."""

    def __init__(self, fields: Fields, pack: Pack, measuring: Measuring) -> None:
        self.fields = fields
        self.pack = pack
        self.measuring = measuring
        self.tap_nodes: dict[str, str] = {}
        self._without_unit: set[Path] = set()

    def rows(self, sheet: Sheet, table: Any) -> Iterator[RowRead]:
        """Yield the rows of a table, each with its subjects, in the order of the file."""
        if not isinstance(table, Mapping):
            do = f"write it for each name or range of names, as in P01..P24: {table}" if table in sheet.words else ""
            needed = "a table with one row for each name"
            self.fields.wrong((sheet.section,), found=written(table), needed=needed, do=do)
            return
        noted = len(self.fields.problems)
        headings = self._headings(sheet, table.get("columns", []))
        names = [name for name, _ in headings] if len(self.fields.problems) == noted else []
        taken = read_taken(
            self.fields,
            (sheet.section, "taken"),
            table.get("taken", {}),
            self.pack,
            names or sheet.columns,
            self.measuring.instruments,
        )
        document, seen = self.fields.document, set()
        for key, value in table.items():
            if key in ("columns", "taken"):
                continue
            path: Path = (sheet.section, key)
            row = RowRead(
                self.fields.names(path, key, key=True) if ".." in key else [key],
                path,
                document.mark(path, key=True).line,
                taken=taken,
            )
            for subject in row.subjects:
                if subject in seen:
                    self.fields.wrong(
                        path,
                        found=f"'{subject}' a second time",
                        needed="one row for each",
                        key=True,
                        why="a second reading never overwrites the first",
                        do="put a second reading under again:, or take one of the two out",
                    )
                seen.add(subject)
            self._read_row(sheet, row, value, headings)
            yield row

    def _headings(self, sheet: Sheet, columns: list[str]) -> list[tuple[str, str]]:
        """Return name and unit of each heading; a heading that cannot be read has no name, and its cells are passed."""
        headings: list[tuple[str, str]] = []
        for index, heading in enumerate(columns):
            path: Path = (sheet.section, "columns", index)
            name, unit = self._heading(sheet, path, heading)
            if name and any(name == other for other, _ in headings):
                do = "take one of the two out"
                self.fields.wrong(path, found=f"the column '{name}' a second time", needed="each column once", do=do)
            headings.append((name, unit))
        return headings

    def _heading(self, sheet: Sheet, path: Path, heading: str) -> tuple[str, str]:
        if heading in sheet.columns:
            return heading, ""
        name, unit = parse_heading(heading)
        known = name if name in sheet.columns else _column_before(heading, sheet.columns)
        cell = sheet.columns.get(known)
        if cell is None:
            self.fields.unknown(path, name, sheet.columns, f"a column of `{sheet.section}:`")
        elif cell.dimension is None:
            needed = f"no unit: {known} is not a quantity"
            self.fields.wrong(path, found=f"the heading '{heading}'", needed=needed, do=f"write {known}")
        elif cell.or_else is not None and is_of(1, unit, cell.or_else):
            return name, unit
        else:
            return self._checked_unit(path, heading, known, cell.dimension, unit)
        return "", ""

    def _checked_unit(self, path: Path, heading: str, name: str, dimension: Dimension, unit: str) -> tuple[str, str]:
        try:
            self.measuring.number(1, unit or heading.removeprefix(name).strip(), dimension)
        except QuantityProblem as problem:
            found = problem.found.removeprefix("1 ")
            do = f"write {name} {dimension.unit}, if that is the unit of the column"
            needed = f"the unit of {dimension.words}"
            self.fields.wrong(path, found=f"the heading '{heading}': {found}", needed=needed, do=do)
            return "", ""
        return name, unit

    def _read_row(self, sheet: Sheet, row: RowRead, value: Any, headings: list[tuple[str, str]]) -> None:
        if isinstance(value, list):
            self._from_list(sheet, row, value, headings)
        elif isinstance(value, Mapping):
            self._from_mapping(sheet, row, value)
        elif value in sheet.words:
            row.word = value
        else:
            words = " or ".join(f"`{word}`" for word in sheet.words)
            self.fields.wrong(
                row.path,
                found=written(value),
                needed=" or ".join(["a row of cells"] * bool(sheet.columns) + ([words] if words else [])),
                do=_write_row(sheet, value),
            )

    def _from_list(self, sheet: Sheet, row: RowRead, value: list[Any], headings: list[tuple[str, str]]) -> None:
        if len(value) != len(headings):
            found = f"a row of {counted(len(value), 'cell')}" + ("" if headings else ", and no columns: above it")
            self.fields.wrong(
                row.path,
                found=found,
                needed=f"{counted(len(headings), 'cell')}, one for each heading of columns:" if headings
                else "columns: with a heading for each cell",
                do="write none for what was not taken" if len(value) < len(headings)
                else "take out what belongs to no column, or add its heading to columns:" if headings
                else f"add columns: [{', '.join(list(sheet.columns)[: len(value)])}] at the top of the table",
            )  # fmt: skip
            return
        for index, ((name, unit), item) in enumerate(zip(headings, value, strict=True)):
            if item == NOT_TAKEN or item is None or name not in sheet.columns:
                continue
            row.places[name] = (*row.path, index)
            row.cells[name] = self.cell((*row.path, index), name, sheet.columns[name], item, unit, row)

    def _from_mapping(self, sheet: Sheet, row: RowRead, value: Mapping[str, Any]) -> None:
        own = {key: value[key] for key in TAKEN_KEYS if key in value}
        if own:
            row.taken = read_taken(
                self.fields, row.path, own, self.pack, sheet.columns, self.measuring.instruments, row.taken
            )
        for key, item in value.items():
            if key in TAKEN_KEYS or item == NOT_TAKEN or item is None:
                continue
            if key not in sheet.columns:
                self.fields.unknown(
                    (*row.path, key), key, [*sheet.columns, *TAKEN_KEYS], f"a column of `{sheet.section}:`", key=True
                )
                continue
            row.places[key] = (*row.path, key)
            row.cells[key] = self.cell((*row.path, key), key, sheet.columns[key], item, "", row)

    def cell(self, path: Path, name: str, cell: Cell, item: Any, unit: str, row: RowRead) -> Any:
        """Return what one cell holds: text, a count, nodes or an ``Entry``; None (and a problem) if it does not fit."""
        if cell.dimension is not None:
            if cell.or_else is not None and is_of(item, unit, cell.or_else):
                return Other(cell.or_else, self._quantity(path, name, cell.or_else, item, unit, row))
            return self._quantity(path, name, cell.dimension, item, unit, row)
        if cell.nodes:
            return self._nodes(path, item)
        if cell.count:
            if isinstance(item, int) and not isinstance(item, bool) and item >= 0:
                return item
            self.fields.wrong(path, found=written(item), needed="a whole number, 0 or more", do=f"count {name} again")
            return None
        text = str(item)
        if isinstance(item, list | dict):
            self.fields.wrong(path, found=written(item), needed=f"one text for {name}", do="take the brackets out")
            return None
        if cell.words and text not in cell.words:
            self.fields.no_word(path, text, cell.words, f"word for {name}")
            return None
        return text

    def _nodes(self, path: Path, item: Any) -> tuple[str, ...] | None:
        if item == AS_DRAWN:
            return (AS_DRAWN,)
        nodes: list[str] = []
        if item == []:
            self.fields.wrong(path, found="an empty list", needed="the name of a place", do="write none where not read")
            return None
        for index, name in enumerate(item if isinstance(item, list) else [item]):
            node = self.tap_nodes.get(str(name)) or self.pack.node_of(str(name))
            if node is None:
                known = [*sorted(self.pack.nodes), *self.pack.taps, *self.pack.outside]
                self.fields.unknown(
                    (*path, index) if isinstance(item, list) else path,
                    str(name),
                    known,
                    "a place, a device's end, a conductor, a tap or an outside terminal",
                )
                return None
            if node in nodes:
                found = f"'{name}', a place named already"
                self.fields.wrong((*path, index), found=found, needed="each place once in a conductor",
                                  do="write the other place it lands on")  # fmt: skip
                return None
            nodes.append(node)
        return tuple(nodes)

    def _quantity(
        self, path: Path, name: str, dimension: Dimension, item: Any, unit: str, row: RowRead
    ) -> Entry | None:
        instrument = row.taken.instrument(name)
        measure: Callable[[Decimal], Entry] = lambda number: self.measuring.entry(  # noqa: E731
            number, instrument, row.taken, dimension, row.line
        )
        if not unit and len(path) == 3 and isinstance(path[2], int) and isinstance(item, int | Decimal):
            self._bare_column(path, name, dimension, item)
            return None
        try:
            if not isinstance(item, str):
                if not unit or isinstance(item, bool) or not isinstance(item, int | Decimal):
                    parse_quantity(item, dimension)  # which says what is wrong with it
                return measure(self.measuring.number(item, unit, dimension))
            bounds = parse_bounds(item, dimension)
        except QuantityProblem as problem:
            self.fields.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return None
        if bounds.low is None and bounds.high is None and bounds.aim is not None:
            return measure(Decimal(bounds.aim.numerator) / Decimal(bounds.aim.denominator))
        low = (
            measure(Decimal(bounds.low.numerator) / Decimal(bounds.low.denominator)) if bounds.low is not None else None
        )
        high = (
            measure(Decimal(bounds.high.numerator) / Decimal(bounds.high.denominator))
            if bounds.high is not None
            else None
        )
        end = low or high
        assert end is not None
        return end._replace(low=low.low if low else float("-inf"), high=high.high if high else float("inf"))

    def _bare_column(self, path: Path, name: str, dimension: Dimension, item: int | Decimal) -> None:
        """Note once for the whole column that its numbers have no unit, with the first of them."""
        columns = self.fields.document.root[str(path[0])]["columns"]
        place: Path = (path[0], "columns", int(path[2]))
        if place in self._without_unit:
            return
        self._without_unit.add(place)
        self.fields.wrong(
            place,
            found=f"the heading '{columns[int(path[2])]}' without a unit, above the bare number {item}",
            needed=f"{dimension.words} with its unit",
            do=f"write {name} {dimension.unit}, if that is the unit of the column",
        )


def _column_before(heading: str, columns: Mapping[str, Cell]) -> str:
    """Return the column whose name a heading begins with, or ""."""
    return next((name for name in columns if heading.startswith(name + " ")), "")


def _write_row(sheet: Sheet, value: object) -> str:
    near = nearest_name(str(value), sheet.words)
    if near:
        return f"did you mean '{near}'?"
    if not sheet.columns:
        return "write one of these"
    return "write [..., ...] in the order of columns:, or {column: value}"
