"""What the cells of a row mean: numbers with the unit of their heading, dates, lists, words; all else is refused."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.document import MarkedMapping, MarkedSequence, parse_document
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.tables import Cell
from packcheck.model.record.cell_blocks import Heading, Line
from packcheck.model.record.cell_tables import SHAPES, TIMES, WITH, Shape, is_of_taking
from packcheck.model.record.sheets import AT, NOT_TAKEN, TAKEN_KEYS

_DECIMAL_COMMA = re.compile(r"(?<![\d.,])([+-]?\d+),(\d+)(?![\d.,])")


class Values:
    """Turns cells into the values of a record; what is wrong with them goes to ``problems``."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        self._without_unit: set[Origin] = set()

    def row(self, section: str, line: Line) -> MarkedMapping:
        """Return a row's values by column; a cell that nobody filled in is None, and one about taking is left out."""
        shape, row = SHAPES[section], MarkedMapping(line.origin)
        taken: dict[str, Cell] = {}
        for heading, cell in line.cells:
            if shape.taken and is_of_taking(heading.name):
                taken[heading.name] = cell
                continue
            value = self._value(shape, heading, cell) if cell.text else None
            put(row, heading.name, value, cell.origin)
        for key, value in self.taken(taken, line.origin).items():
            put(row, key, value, line.origin)
        return row

    def taken(self, cells: Mapping[str, Cell], at: Origin) -> MarkedMapping:
        """Return what cells say of how something was taken: when, by whom, with what, in which state."""
        taken, by_column = MarkedMapping(at), MarkedMapping(at)
        for key, cell in cells.items():
            if not cell.text:
                continue
            if key.startswith(f"{WITH} "):
                put(by_column, key.removeprefix(f"{WITH} "), cell.text, cell.origin)
            elif key not in TAKEN_KEYS:
                needed = ", ".join((*TAKEN_KEYS, f"{WITH} COLUMN"))
                self.problems.append(Problem(cell.origin, f"'taken {key}'", f"one of: {needed}", do="correct it"))
            else:
                put(taken, key, None if key == AT and cell.text == NOT_TAKEN else cell.text, cell.origin)
        if by_column and WITH not in taken:
            put(taken, WITH, by_column, by_column.mark)
        elif by_column:
            put(by_column, "", taken[WITH], taken.value_mark[WITH])
            self.problems.append(
                Problem(by_column.mark, "one instrument for all columns and one for some", "either of the two",
                        do="name an instrument for each column")
            )  # fmt: skip
        return taken

    def _value(self, shape: Shape, heading: Heading, cell: Cell) -> Any:
        name = heading.name
        if cell.text.startswith("{") or (cell.text.startswith("[") and name in shape.lists):
            return self._flow(cell)
        if cell.kind == "date" and name not in TIMES:
            found = f"the date {cell.text} under '{name}'"
            why = "table programs take 1-2 or 3/4 for a date"
            self.problems.append(Problem(cell.origin, found, "no date", why, "format the cell as text, type it again"))
            return None
        if name in shape.quantities:
            return self._quantity(heading, cell)
        if name in shape.counts and cell.number:
            whole = cell.number.removesuffix(".0")
            return int(whole) if whole.lstrip("+-").isdigit() else cell.text
        if name in shape.lists and "," in cell.text:
            return sequence_of([part.strip() for part in cell.text.split(",")], cell.origin)
        if name in shape.lists and name in ("did", "took off"):
            return sequence_of([cell.text], cell.origin)
        return cell.text

    def _quantity(self, heading: Heading, cell: Cell) -> Any:
        """Return a number with the unit of its heading; a text that has its own unit as it is."""
        if cell.number and heading.unit:
            return f"{cell.number} {heading.unit}"
        if cell.number and heading.origin not in self._without_unit:
            self._without_unit.add(heading.origin)
            found = f"the heading '{heading.name}' without a unit, above the bare number {cell.text}"
            needed, do = "a heading with the unit of its numbers", "write the unit behind the heading"
            self.problems.append(Problem(heading.origin, found, needed, do=do))
        return None if cell.number else _DECIMAL_COMMA.sub(r"\1.\2", cell.text) if cell.comma else cell.text

    def _flow(self, cell: Cell) -> Any:
        """Return a list or a cell in braces, written as in YAML, with every part of it at its cell."""
        try:
            return _moved(parse_document(f"cell: {cell.text}", cell.origin.file).root["cell"], cell.origin)
        except InputProblems as wrong:
            self.problems += [Problem(cell.origin, one.found, one.needed, one.why, one.do) for one in wrong.problems]
            return None


def put(mapping: MarkedMapping, key: str, value: Any, key_mark: Origin, value_mark: Origin | None = None) -> None:
    """Put a value under a key, with where both stand."""
    mapping[key] = value
    mapping.key_mark[key] = key_mark
    mapping.value_mark[key] = value_mark or key_mark


def sequence_of(items: Iterable[object], at: Origin) -> MarkedSequence:
    """Return things as a list at a place, each where it stands itself, if it knows that."""
    sequence = MarkedSequence(at)
    for item in items:
        sequence.append(item)
        sequence.item_mark.append(getattr(item, "mark", at))
    return sequence


def _moved(value: Any, at: Origin) -> Any:
    """Return data with every part of it at one place."""
    if isinstance(value, MarkedMapping):
        moved = MarkedMapping(at)
        for key, item in value.items():
            put(moved, key, _moved(item, at), at)
        return moved
    if isinstance(value, MarkedSequence):
        return sequence_of((_moved(item, at) for item in value), at)
    return value
