"""How one row of a record's table is read: its subjects, and what each of its cells holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from packcheck.files.document import decimal_commas
from packcheck.files.fields import Fields, Path, counted, written
from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds, parse_quantity
from packcheck.model.pack.model import Pack
from packcheck.model.record.braces import is_told, read_own, refuse_contradiction, word_written_out, write_row
from packcheck.model.record.circumstances import read_taken, read_time
from packcheck.model.record.entry import Entry
from packcheck.model.record.headings import names_of_rows, read_headings, refuse_bare_column
from packcheck.model.record.instruments import Measuring
from packcheck.model.record.plausible import likely_in, may_be, refuse_impossible
from packcheck.model.record.sheets import AS_DRAWN, AT, IS, NOT_TAKEN, TAKEN_KEYS, Cell, Other, RowRead, Sheet, is_of
from packcheck.model.record.taken_tests import CONDITION, quantity_asked, test_of


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
        headings = read_headings(self.fields, sheet, table.get("columns", []))
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
        told = frozenset(sheet.columns.keys() & names)
        for key, value in table.items():
            if key in ("columns", "taken"):
                continue
            path: Path = (sheet.section, key)
            row = RowRead(
                names_of_rows(self.fields, self.pack, path, key),
                path,
                document.mark(path, key=True),
                taken=taken,
                written=told if isinstance(value, list) else frozenset(),
            )
            again = [subject for subject in row.subjects if subject in seen]
            if again:
                self.fields.wrong(
                    path,
                    found=f"'{again[0]}'" + (f" and {len(again) - 1} more" * (len(again) > 1)) + " a second time",
                    needed="one row for each",
                    key=True,
                    why="a second reading never overwrites the first",
                    do="put a second reading under again:, or take one of the two out",
                )
            seen.update(row.subjects)
            self._read_row(sheet, row, value, headings)
            yield row

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
                do=write_row(sheet, value),
            )

    def _from_list(self, sheet: Sheet, row: RowRead, value: list[Any], headings: list[tuple[str, str]]) -> None:
        if len(value) != len(headings):
            found = f"a row of {counted(len(value), 'cell')}" + ("" if headings else ", and no columns: above it")
            self.fields.wrong(
                row.path,
                found=found,
                needed=f"{counted(len(headings), 'cell')}, one for each heading of columns:" if headings
                else "columns: with a heading for each cell",
                do=self._cells(sheet, row.path, len(value), len(headings)),
            )  # fmt: skip
            return
        if (AT, "") in headings:
            index = headings.index((AT, ""))
            item = value[index]
            at = None if item == NOT_TAKEN else read_time(self.fields, (*row.path, index), item)
            row.taken = replace(row.taken, at=at)
        for index, ((name, unit), item) in enumerate(zip(headings, value, strict=True)):
            cell = sheet.columns.get(name)
            if cell is not None and is_told(item):
                path = row.places[name] = (*row.path, index)
                row.cells[name] = self.cell(path, name, cell, item, unit, row)

    def _cells(self, sheet: Sheet, path: Path, cells: int, headings: int) -> str:
        """Return what to do about a row that has more or fewer cells than headings."""
        if not headings:
            return f"add columns: [{', '.join(list(sheet.columns)[:cells])}] at the top of the table"
        if cells < headings:
            return "write none for what was not taken"
        take_out = "take out what belongs to no column, or add its heading to columns:"
        return self._commas(path, cells - headings) or take_out

    def _commas(self, path: Path, too_many: int) -> str:
        """Return how to write the numbers of a row in which decimal commas made cells too many; "" for none."""
        mark = self.fields.document.mark(path)
        commas = decimal_commas(self.fields.document.lines[mark.line - 1][mark.column - 1 :])
        if len(commas) != too_many:
            return ""
        return f"write {', '.join(one.pointed for one in commas)}: a comma begins the next cell"

    def _from_mapping(self, sheet: Sheet, row: RowRead, value: Mapping[str, Any]) -> None:
        own = {key: value[key] for key in TAKEN_KEYS if key in value}
        if own:
            row.taken = read_taken(
                self.fields, row.path, own, self.pack, sheet.columns, self.measuring.instruments, row.taken
            )
        for key, item in value.items():
            if key in TAKEN_KEYS:
                continue
            if key == IS and sheet.words:
                row.word = word_written_out(self.fields, sheet, row, item)
                continue
            row.written |= {key}
            if not is_told(item):
                continue
            if key not in sheet.columns:
                known = [*sheet.columns, *TAKEN_KEYS, *([IS] if sheet.words else [])]
                self.fields.unknown((*row.path, key), key, known, f"a column of `{sheet.section}:`", key=True)
                continue
            row.places[key] = (*row.path, key)
            row.cells[key] = self.cell((*row.path, key), key, sheet.columns[key], item, "", row)
        refuse_contradiction(self.fields, row)

    def cell(self, path: Path, name: str, cell: Cell, item: Any, unit: str, row: RowRead) -> Any:
        """Return what one cell holds: text, a count, nodes or an ``Entry``; None (and a problem) if it does not fit."""
        if isinstance(item, dict):
            known = self.measuring.instruments
            taken = read_own(self.fields, path, name, item, self.pack, known, row.taken)
            row.own[name] = taken or row.taken
            own = replace(row, taken=taken or row.taken)
            return self.cell((*path, IS), name, cell, item[IS], unit, own) if taken else None
        if cell.asked:
            return self._asked(path, name, cell, item, unit, row)
        if cell.dimension is not None:
            if cell.or_else is not None and is_of(item, unit, cell.or_else):
                return Other(cell.or_else, self._quantity(path, name, cell.or_else, item, unit, row))
            return self._quantity(path, name, cell.dimension, item, unit, row)
        if cell.positions:
            named = self.fields.names(path, item)
            named = self.fields.all_known(path, named, self.pack.positions, "a position of the layout")
            return tuple(dict.fromkeys(named)) or None
        if cell.nodes:
            return (AS_DRAWN,) if item == AS_DRAWN and name == "lands" else self._nodes(path, item)
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

    def _asked(self, path: Path, name: str, cell: Cell, item: Any, unit: str, row: RowRead) -> Entry | None:
        """Return what a test found, or the condition in which it was taken, in the quantity that the layout asks."""
        quantity = quantity_asked(self.fields, self.pack, row, cell, path)
        if quantity is None:
            return None
        likely = likely_in(test_of(self.pack, row), condition=name == CONDITION)
        return refuse_impossible(self.fields, path, likely, self._quantity(path, name, quantity, item, unit, row))

    def _nodes(self, path: Path, item: Any) -> tuple[str, ...] | None:
        nodes: list[str] = []
        if item == []:
            self.fields.wrong(path, found="an empty list", needed="the name of a place", do="write none where not read")
            return None
        for index, name in enumerate(item if isinstance(item, list) else [item]):
            node = self.tap_nodes.get(str(name)) or self.pack.node_of(str(name))
            if node is None:
                known = [*sorted(self.pack.nodes), *self.pack.taps, *self.pack.terminals]
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
        is_number = type(item) is Decimal or type(item) is int
        if is_number and not unit and dimension is not Dimension.COUNT and len(path) > 2 and isinstance(path[2], int):
            place: Path = (path[0], "columns", path[2])
            if place not in self._without_unit:  # said once for the whole column
                self._without_unit.add(place)
                refuse_bare_column(self.fields, place, name, dimension, item)
            return None
        try:
            if not isinstance(item, str) and dimension is not Dimension.COUNT:
                if not unit or not is_number:
                    parse_quantity(item, dimension)  # which says what is wrong with it
                return self._entry(path, name, dimension, item, unit, row, self.measuring.number(item, unit, dimension))
            bounds = parse_bounds(item, dimension)
        except QuantityProblem as problem:
            self.fields.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return None

        def measure(number: Fraction | None) -> Entry | None:
            taken = None if number is None else Decimal(number.numerator) / Decimal(number.denominator)
            return None if taken is None else self._entry(path, name, dimension, item, unit, row, taken)

        if bounds.low is None and bounds.high is None:
            return measure(bounds.aim)
        low, high = measure(bounds.low), measure(bounds.high)
        end = low or high
        if end is None:
            return None
        return end._replace(low=low.low if low else float("-inf"), high=high.high if high else float("inf"))

    def _entry(
        self, path: Path, name: str, dimension: Dimension, item: Any, unit: str, row: RowRead, number: Decimal
    ) -> Entry | None:
        """Return one number of a cell, in the dimension's unit, as its instrument read it."""
        if number <= 0 and not may_be(self.fields, path, name, dimension, item, number):
            return None
        named = row.taken.instruments
        instrument = named.get(name, "") if name == CONDITION else row.taken.instrument(name)
        stands = item if isinstance(item, str) else f"{item} {unit}"
        return self.measuring.entry(number, instrument, row.taken, dimension, self.fields.document.mark(path), stands)
