"""A record as a workbook (XLSX): a sheet for each stage of the work, words to choose from, names that are locked."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from packcheck.files.problems import WrongUsage
from packcheck.model.record.cell_tables import RECORD, REMARK, SHEETS, TIMES, WITH
from packcheck.model.record.sheets import IS
from packcheck.model.record.to_blocks import Block, Line
from packcheck.render.sheets.cells import Entry, as_moment, rows_of

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

FRONT = "Pack"
"""The first sheet, with what is told of the pack, the people and the instruments."""
MISSING = "packcheck writes workbooks with openpyxl; install it with: pip install 'packcheck[xlsx]'"
MOST_DIGITS = 15
"""Digits that a number of a workbook holds for certain (IEEE 754 binary64)."""
_ON_FRONT = ("pack", "people", "instruments")
_NO_NAME = re.compile(r"[\[\]:*?/\\']")
_LONGEST_NAME = 31
_LONGEST_CHOICE = 250
_INK = {"title": "DDE3E8", "heading": "ECEFF2", "name": "F6F7F8", "taken": "FFFBE6", "entry": "FFFBE6"}
_GIVEN = frozenset({"parts", "tools", "people", "again", "work", "notes"})
"""Tables to which people add rows of their own."""
_SPARE = 5
_WIDEST = 46.0


def workbook(blocks: Sequence[Block], remarks: Sequence[str] = (), states: Sequence[str] = ()) -> bytes:
    """Return blocks as the bytes of a workbook.

    Parameters
    ----------
    blocks : what is told or asked, in order; blocks of one ``stage`` share a sheet.
    remarks : lines for people at the head of the first sheet.
    states : the switching states to choose from.

    Raises
    ------
    WrongUsage : openpyxl is not installed.
    """
    try:
        from openpyxl import Workbook
    except ImportError as absent:
        raise WrongUsage(MISSING) from absent
    book = Workbook()
    front: Any = book.active
    front.title = FRONT
    front.append([RECORD, 1])
    for remark in remarks:
        front.append([f"{REMARK} {remark}"])
    names = [line.name for block in blocks if block.section == "instruments" for line in block.lines]
    choices = {"state": [*states, "loose"] if states else [], WITH: names}
    sheets: dict[str, Any] = {FRONT: front}
    for block in blocks:
        name = FRONT if block.section in _ON_FRONT else _sheet_name(block.stage or block.section)
        if name not in sheets:
            sheets[name] = book.create_sheet(name)
        _write(sheets[name], block, choices)
    for sheet in sheets.values():
        _finish(sheet)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _sheet_name(stage: str) -> str:
    words = " ".join(_NO_NAME.sub(" ", stage).split())
    name = words if len(words) <= _LONGEST_NAME else words[: _LONGEST_NAME - 1].rstrip() + "…"
    return name[:1].upper() + name[1:]


def _write(sheet: Worksheet, block: Block, choices: Mapping[str, Sequence[str]]) -> None:
    top = sheet.max_row + 2 if sheet.max_row > 1 or sheet["A1"].value is not None else 1
    spare = block
    if block.section in _GIVEN:
        spare = Block(block.section, block.columns, (*block.lines, *[Line("", {})] * _SPARE), block.taken, block.title)
    body = False
    for number, row in enumerate(rows_of(spare), top):
        for column, entry in enumerate(row, 1):
            _fill(sheet.cell(number, column), entry, block)
            if body and column == 1 and not entry.value:
                _open(sheet.cell(number, 1))
            words = _choices(block, entry, choices) if body or entry.kind == "taken" else ()
            if words:
                _choose_from(sheet, sheet.cell(number, column).coordinate, words)
        body = body or row[0].kind == "heading"


def _fill(cell: Any, entry: Entry, block: Block) -> None:
    from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side

    _value(cell, entry)
    if entry.kind in _INK:
        cell.fill = PatternFill("solid", fgColor=_INK[entry.kind])
        edge = Side("thin", color="B8C0C6")
        cell.border = Border(edge, edge, edge, edge)
    if entry.kind in ("title", "heading"):
        cell.font = Font(bold=True)
    if entry.kind == "beside":
        cell.font = Font(italic=True, color="5A646B")
    if entry.kind in ("entry", "taken"):
        cell.protection = Protection(locked=False)
    cell.alignment = Alignment(vertical="center", wrap_text=entry.kind == "heading" or block.section == "notes")


def _value(cell: Any, entry: Entry) -> None:
    """Put a value in: numbers with their digits, dates as dates, a text as one whatever it begins with."""
    value = entry.value
    if isinstance(value, str):
        moment = as_moment(value, entry.column)
        if moment is not None:
            _date(cell, moment, value)
            return
        cell.value = value
        cell.data_type = "s"
        cell.quotePrefix = value[:1] in ("=", "+", "-", "@")
        if entry.kind in ("entry", "name") and entry.column not in TIMES:
            cell.number_format = "@"
    elif isinstance(value, Decimal):
        digits = f"{value:f}"
        if len(digits.strip("-0").replace(".", "")) > MOST_DIGITS:
            cell.value, cell.data_type = digits, "s"
            return
        cell.value = float(value)
        places = len(digits.partition(".")[2])
        cell.number_format = f"0.{'0' * places}" if places else "0"
    elif value is not None:
        cell.value = value
    elif entry.column in TIMES:
        cell.number_format = "yyyy-mm-dd hh:mm"


def _date(cell: Any, moment: datetime, written: str) -> None:
    cell.value = moment
    cell.number_format = "yyyy-mm-dd hh:mm" if len(written) > 10 else "yyyy-mm-dd"


def _open(cell: Any) -> None:
    from openpyxl.styles import PatternFill, Protection

    cell.protection = Protection(locked=False)
    cell.fill = PatternFill("solid", fgColor=_INK["entry"])


def _choices(block: Block, entry: Entry, choices: Mapping[str, Sequence[str]]) -> Sequence[str]:
    """Return the words that a cell may hold, where they are few and known."""
    if entry.kind not in ("entry", "taken"):
        return ()
    if entry.column == WITH or entry.column.startswith(f"{WITH} "):
        return choices[WITH]
    if entry.column == "state":
        return choices["state"]
    sheet = SHEETS.get(block.section)
    if sheet and entry.column == IS:
        return sheet.words
    if block.section == "work" and entry.column == "gloves":
        return ("none", *(f"class {name}" for name in ("00", "0", "1", "2", "3", "4")))
    cell = sheet.columns.get(entry.column) if sheet else None
    return cell.words if cell else ()


def _choose_from(sheet: Any, coordinate: str, words: Iterable[str]) -> None:
    """Let a cell be chosen from a list of words; cells with the same words share one list."""
    from openpyxl.worksheet.datavalidation import DataValidation

    listed = ",".join(words)
    if len(listed) > _LONGEST_CHOICE or '"' in listed:
        return
    formula = f'"{listed}"'
    known = next((one for one in sheet.data_validations.dataValidation if one.formula1 == formula), None)
    if known is None:
        known = DataValidation("list", formula1=formula, allow_blank=True, errorTitle="Not one of the words")
        known.error = f"Choose one of: {listed.replace(',', ', ')}"[:255]
        sheet.add_data_validation(known)
    known.add(coordinate)


def _finish(sheet: Any) -> None:
    """Freeze the names, lock what is not to be filled in, set widths and how it prints."""
    from openpyxl.utils import get_column_letter

    sheet.freeze_panes = "B2"
    sheet.protection.sheet = True
    for free in ("formatCells", "formatColumns", "formatRows", "insertRows", "sort", "autoFilter"):
        setattr(sheet.protection, free, False)
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    for index, column in enumerate(sheet.iter_cols(), 1):
        texts = (str(c.value) for c in column if c.value is not None and not str(c.value).startswith(REMARK))
        longest = max((len(text) for text in texts), default=0)
        sheet.column_dimensions[get_column_letter(index)].width = min(_WIDEST, max(11.0, longest * 1.1 + 2))
