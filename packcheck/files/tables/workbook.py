"""A workbook (XLSX) -> grids: numbers in plain digits, dates as people write them; hidden or struck out is refused."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from packcheck.files.origin import Origin, column_letters, in_table
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.tables.cells import Cell, Grid, in_sight, without_tail
from packcheck.files.tables.package import check_package, refused

MOST_CELLS = 700_000
MISSING = "packcheck reads workbooks with openpyxl; install it with: pip install 'packcheck[xlsx]'"
_PLACES = re.compile(r"0\.(0+)")
_DIGITS = 15
"""Digits that a number of a workbook holds for certain (IEEE 754 binary64)."""
_NOBODY = "what nobody sees cannot be vouched for"
_SHOWS_NOTHING = ";;;"
"""The number format with which spreadsheets show a cell as empty, whatever is in it."""


def read_workbook(content: bytes, file: str) -> tuple[Grid, ...]:
    """Return the sheets of a workbook that hold anything, in their order.

    Raises
    ------
    InputProblems : it is damaged, has macros or a password, or unpacks to too much; or in its sheets stand merged
        cells, a formula without its result, an error, anything struck through, or anything on a sheet, in a row or in
        a column that is hidden.
    """
    check_package(content, file)
    results, formulas = _opened(content, file, results=True), _opened(content, file, results=False)
    problems: list[Problem] = []
    grids = []
    left = MOST_CELLS
    for sheet in results.worksheets:
        left -= sheet.max_row * sheet.max_column
        if left < 0:
            raise refused(file, f"more than {MOST_CELLS:,} cells", "check that it is the right file")
        grid = Grid(sheet.title, tuple(_rows(sheet, formulas[sheet.title], file, problems)))
        if any(grid.rows):
            problems += (*_of_sheet(sheet, file), *_hidden_parts(sheet, grid))
            grids.append(grid)
    problems += in_sight([cell for grid in grids for row in grid.rows for cell in row])
    if problems:
        raise InputProblems(problems)
    return tuple(grids)


def _opened(content: bytes, file: str, *, results: bool) -> Any:
    try:
        from openpyxl import load_workbook
    except ImportError as absent:
        raise refused(file, f"a workbook, and no openpyxl to read it with: {absent}", MISSING) from absent
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return load_workbook(io.BytesIO(content), data_only=results, keep_links=False, rich_text=not results)
    except Exception as wrong:  # what a reader of damaged files may raise is nowhere listed
        raise refused(file, "a workbook that is damaged", "open it, and save it as an .xlsx workbook") from wrong


def _of_sheet(sheet: Any, file: str) -> Iterator[Problem]:
    """Yield what is wrong with a sheet as a whole: nobody sees it, or cells of it are merged."""
    if sheet.sheet_state != "visible":
        yield Problem(Origin(file, sheet.title), "a hidden sheet with something on it", "sheets that can be seen",
                      _NOBODY, "show it, or delete it")  # fmt: skip
    for span in sheet.merged_cells.ranges:
        first = in_table(file, span.min_row, span.min_col, sheet.title)
        yield Problem(first, f"the merged cells {span.coord}", "one cell for each value",
                      "a value in merged cells stands in the first of them alone", "unmerge them")  # fmt: skip


def _rows(sheet: Any, formulas: Any, file: str, problems: list[Problem]) -> Iterator[tuple[Cell, ...]]:
    for row, formula in zip(sheet.iter_rows(), formulas.iter_rows(), strict=True):
        cells = []
        for cell, beneath in zip(row, formula, strict=True):
            origin = in_table(file, cell.row, cell.column, sheet.title)
            if beneath.data_type == "f" and cell.value is None:
                do = "open the workbook, let it calculate and save it, or type the number"
                problems.append(Problem(origin, "a formula without its result", "a number or a text", do=do))
            elif cell.data_type == "e":
                problems.append(Problem(origin, f"the error {cell.value}", "a number or a text", do="correct the cell"))
            read = _cell(cell, origin)
            if struck := _struck_or_blanked(cell, beneath.value, read):
                problems.append(struck)
            cells.append(read)
        yield without_tail(cells)


def _cell(cell: Any, origin: Origin) -> Cell:
    value = cell.value
    if value is None:
        return Cell("", origin)
    if isinstance(value, bool):
        return Cell(str(value).lower(), origin)
    if isinstance(value, int | float):
        return _number(value, str(cell.number_format), origin)
    if isinstance(value, datetime | date | time | timedelta):
        return Cell(_moment(value, timed="h" in str(cell.number_format)), origin, "date")
    return Cell(" ".join(str(value).split()), origin)


def _number(value: float, shown_as: str, origin: Origin) -> Cell:
    """Return a number with the digits it was written with: noise of the binary number and an exponent taken away."""
    number = Decimal(value) if isinstance(value, int) else Decimal(f"{value:.{_DIGITS}g}")
    if shown_as.endswith("%"):
        return Cell(f"{_plain(number * 100)} %", origin)
    places = _PLACES.fullmatch(shown_as)
    if places:
        wide = round(number, len(places[1]))
        number = wide if wide == number else number
        return Cell(f"{number:f}", origin, "number")
    return Cell(_plain(number), origin, "number")


def _plain(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _moment(value: datetime | date | time | timedelta, *, timed: bool) -> str:
    """Return a date as records write it; a time of day alone and a span of time as they are."""
    if isinstance(value, datetime):
        value = (value + timedelta(milliseconds=500)).replace(microsecond=0)
        if not (timed or value.hour or value.minute or value.second):
            return value.date().isoformat()
        return value.isoformat(" ", "seconds" if value.second else "minutes")
    return value.isoformat() if isinstance(value, date | time) else str(value)


def _hidden_parts(sheet: Any, grid: Grid) -> Iterator[Problem]:
    """Yield a problem for each run of hidden rows, and of hidden columns, in which anything stands."""
    filled = [cell.origin for row in grid.rows for cell in row if cell.text]
    rows, columns = _hidden_rows(sheet, {one.line for one in filled}), _hidden_columns(sheet)
    yield from _told("row", str, ((one.line, one) for one in filled if one.line in rows))
    yield from _told("column", column_letters, ((one.column, one) for one in filled if one.column in columns))


def _struck_or_blanked(cell: Any, rich: Any, read: Cell) -> Problem | None:
    """Return a problem with a value that is struck through, wholly or in part, or that its format does not show.

    ``rich`` is what stands in the cell with the looks of each of its pieces, ``read`` what is read of it.
    """
    if not read.text or (not cell.has_style and not isinstance(rich, list)):
        return None
    if cell.font.strike or any(_is_struck(piece) for piece in (rich if isinstance(rich, list) else ())):
        return Problem(
            read.origin, f"'{read.text}', struck through", "a value that holds",
            "the line through it is not read, and what is struck out is no reading",
            "take it out, or take the line off it; what was read again stands on the sheet 'again', with why",
        )  # fmt: skip
    if _SHOWS_NOTHING in str(cell.number_format):
        found, do = f"'{read.text}' in a cell whose format shows nothing", "give it another format, or take it out"
        return Problem(read.origin, found, "values that can be seen", _NOBODY, do)
    return None


def _is_struck(piece: Any) -> bool:
    return bool(getattr(getattr(piece, "font", None), "strike", False))


def _hidden_rows(sheet: Any, filled: Iterable[int]) -> set[int]:
    """Return which of some rows are hidden: by themselves, by a filter, by an outline, or without any height."""
    known, usual = sheet.row_dimensions, bool(sheet.sheet_format.zeroHeight)
    return {row for row in filled if (known[row].hidden or known[row].height == 0 if row in known else usual)}


def _hidden_columns(sheet: Any) -> set[int]:
    spans = (one for one in sheet.column_dimensions.values() if one.hidden or one.width == 0)
    return {column for one in spans for column in range(one.min or 1, min(one.max or 1, sheet.max_column) + 1)}


def _told(kind: str, named: Callable[[int], str], found: Iterable[tuple[int, Origin]]) -> Iterator[Problem]:
    first: dict[int, Origin] = {}
    for number, origin in found:
        first.setdefault(number, origin)
    for number in sorted(first):
        if number - 1 in first:
            continue
        last = number
        while last + 1 in first:
            last += 1
        span = f"{kind} {named(number)}" if last == number else f"{kind}s {named(number)} to {named(last)}"
        yield Problem(first[number], f"something in the hidden {span}", f"{kind}s that can be seen",
                      _NOBODY, f"show the {kind}, or delete it")  # fmt: skip
