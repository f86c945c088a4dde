"""What a workbook shows otherwise than it is read: rows and columns that nobody sees, values struck through."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from packcheck.files.origin import Origin, column_letters
from packcheck.files.problems import Problem
from packcheck.files.tables.cells import Cell, Grid

_NOBODY = "what nobody sees cannot be vouched for"
_SHOWS_NOTHING = ";;;"
"""The number format with which spreadsheets show a cell as empty, whatever is in it."""


def hidden_parts(sheet: Any, grid: Grid) -> Iterator[Problem]:
    """Yield a problem for each run of hidden rows, and of hidden columns, in which anything stands."""
    filled = [cell.origin for row in grid.rows for cell in row if cell.text]
    rows, columns = _hidden_rows(sheet, {one.line for one in filled}), _hidden_columns(sheet)
    yield from _told("row", str, ((one.line, one) for one in filled if one.line in rows))
    yield from _told("column", column_letters, ((one.column, one) for one in filled if one.column in columns))


def struck_or_blanked(cell: Any, rich: Any, read: Cell) -> Problem | None:
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
