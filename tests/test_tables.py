"""Tables as people send them: separators, encodings, commas, damaged and dangerous workbooks; each with its cell."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.styles import Font
from same_record import told

from packcheck.app.cli import run
from packcheck.files.document import read_document
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.shipped import shipped_folder
from packcheck.files.tables import package, read_grids
from packcheck.files.tables import workbook as reader
from packcheck.model.opening import Text, open_bytes
from packcheck.model.record.from_cells import document_of_table
from packcheck.model.record.to_blocks import lay_out
from packcheck.render.sheets.separated import separated
from packcheck.render.sheets.workbook import workbook

FOLDER = shipped_folder("layouts") / "skerry-24"
LAYOUT = Text((FOLDER / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
ROOT = read_document(FOLDER / "clean-sk-0417.yaml").root
CSV = separated(lay_out(ROOT))
XLSX = workbook(lay_out(ROOT))
Book = Any


def opened(content: bytes, name: str = "record.csv") -> Any:
    return told(open_bytes(content, name, LAYOUT).record)


WHOLE = opened(CSV.encode())


def problems_of(content: bytes, name: str = "record.csv") -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as raised:
        open_bytes(content, name, LAYOUT)
    assert all(problem.do for problem in raised.value.problems), raised.value.problems
    return raised.value.problems


def changed(change: Callable[[Book], object], content: bytes = XLSX) -> bytes:
    book = openpyxl.load_workbook(io.BytesIO(content))
    change(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def cell_of(sheet: Any, name: str, heading: str) -> Any:
    """Return the cell of a row beneath a heading."""
    row = next(r[0].row for r in sheet.iter_rows() if r[0].value == name)
    column = next(c.column for r in sheet.iter_rows(max_row=row) for c in r if c.value == heading)
    return sheet.cell(row, column)


# CSV


@pytest.mark.parametrize(
    "content",
    [
        CSV.encode("utf-8"),
        CSV.removeprefix("\ufeff").encode("utf-8"),
        CSV.encode("utf-16-le"),
        CSV.removeprefix("\ufeff").encode("utf-16"),
        CSV.encode("utf-16-be"),
        CSV.replace("\r\n", "\n").encode(),
        separated(lay_out(ROOT), sign="\t").encode(),
        ("sep=;\r\n" + separated(lay_out(ROOT), sign=";").removeprefix("\ufeff")).encode(),
    ],
    ids=["mark", "no mark", "UTF-16 little", "UTF-16", "UTF-16 big", "line ends", "tabs", "named separator"],
)
def test_a_csv_file_is_read_in_every_usual_encoding_and_with_every_usual_separator(content: bytes) -> None:
    assert opened(content) == WHOLE


def test_where_the_separator_is_a_semicolon_a_comma_is_a_decimal_one() -> None:
    rows = list(csv.reader(io.StringIO(CSV.removeprefix("\ufeff"))))
    plain = lambda text: text.replace(".", ",") if text.replace(".", "").replace("-", "").isdigit() else text  # noqa: E731
    stream = io.StringIO()
    csv.writer(stream, delimiter=";").writerows([[plain(text) for text in row] for row in rows])
    assert stream.getvalue().count(",") > 150
    assert opened(stream.getvalue().encode()) == WHOLE
    text = CSV.replace("P01,M-1031,A,stick,7.900", 'P01,M-1031,A,stick,"7,9"')
    (problem,) = problems_of(text.encode())
    assert "write 7.9" in problem.do
    assert problem.origin.words() == "record.csv cell E30"


@pytest.mark.parametrize(
    ("change", "cell", "found", "do"),
    [
        (
            ("name,torque N·m", "name,torque"),
            "B",
            "the heading 'torque' without a unit",
            "write the unit behind the heading",
        ),
        (("name,torque N·m", "name,tourque N·m"), "B", "the column 'tourque N·m'", "did you mean 'torque'?"),
        (("table,joints,", "table,joint,"), "B", "the table 'joint'", "did you mean 'joints'?"),
        (("B01/P01,4.5", ",4.5"), "A", "a row without a name", "write its name"),
        (("B01/P01,4.5", "B01/P01,four"), "B", "'four'", "write a value such as"),
        (("taken by,TO\r\ntaken with", "taken from,TO\r\ntaken with"), "B", "'taken from'", "correct it"),
        (("B01/P02,4.5", "B01/P01,4.5"), "B", "torque of B01/P01 a second time", "put the second into the table again"),
        (("2026-10-06 08:15,white", "06.10.2026,white"), "E", "'06.10.2026'", "write it as 2026-10-05"),
        (("B01/P01,4.5", "B01/P01,{is: 4.5 N·m"), "B", "", ""),
    ],
)
def test_what_is_wrong_in_a_csv_file_is_said_with_its_cell(
    change: tuple[str, str], cell: str, found: str, do: str
) -> None:
    assert change[0] in CSV
    problem = problems_of(CSV.replace(*change, 1).encode())[0]
    assert problem.origin.cell.rstrip("0123456789") == cell, problem
    assert problem.origin.file == "record.csv"
    assert found in problem.found
    assert do in problem.do


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (CSV.encode("cp1252", "replace"), "which is not UTF-8"),
        (b'record,1\ntable,pack\n"name,value\n', "a quotation mark that is never closed"),
        (b"record,1\n", "a table that holds no record"),
        (b"name,torque\nB01,4.5\n", "'name' before any table"),
        ("record,1\ntable,notes\nnumber,note\n1,zero\u200bwidth\n".encode(), "the invisible character U+200B"),
        (b"record,1\n" + b"," * 300 + b"x\n", "more than 200 columns"),
        (b"\xff\xfer\0e\0c", "UTF-16 that breaks off"),
    ],
)
def test_what_is_no_table_of_a_record_is_refused(content: bytes, found: str) -> None:
    assert found in problems_of(content)[0].found


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-x", "@home", "'quoted", "=cmd|' /C calc'!A0", "-4.5"])
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_no_text_of_ours_is_a_formula_to_a_table_program_and_it_comes_back_as_it_was(text: str, kind: str) -> None:
    root = {**ROOT, "notes": [text], "people": {**ROOT["people"], "MK": text}}
    if kind == "csv":
        content = separated(lay_out(root)).encode()
        cells = [cell for row in csv.reader(io.StringIO(content.decode("utf-8-sig"))) for cell in row]
        assert not [c for c in cells if c[:1] in "=+-@" and c[:1] and not c.lstrip("+-").replace(".", "").isdigit()]
    else:
        content = workbook(lay_out(root))
        with zipfile.ZipFile(io.BytesIO(content)) as book:
            assert not [
                name for name in book.namelist() if name.startswith("xl/worksheets/") and b"<f>" in book.read(name)
            ]
    again = document_of_table(content, f"record.{kind}").root
    assert (again["notes"], again["people"]["MK"]) == ([text], text)


# XLSX


def test_the_workbook_of_a_shipped_record_is_the_record() -> None:
    assert opened(XLSX, "record.xlsx") == WHOLE
    assert opened(XLSX, "standard input") == WHOLE


def formula(book: Book) -> None:
    cell_of(book["Joints"], "B01/P01", "torque N·m").value = "=4.4+0.1"


def error(book: Book) -> None:
    cell_of(book["Joints"], "B01/P01", "torque N·m").value = "#DIV/0!"


def date_of_serial(book: Book) -> None:
    cell_of(book["Modules"], "P01", "serial").value = datetime(2026, 2, 1)
    cell_of(book["Modules"], "P01", "serial").number_format = "d-mmm"


def serial_number_of_a_date(book: Book) -> None:
    cell_of(book["Joints"], "B01/P01", "recheck at").value = 46301.34
    cell_of(book["Joints"], "B01/P01", "recheck at").number_format = "0.00"


def comma(book: Book) -> None:
    cell_of(book["Joints"], "B01/P01", "torque N·m").value = "4,5"


def stray_sheet(book: Book) -> None:
    book.create_sheet("Mine")["B3"] = "to do"


def hidden_rows(book: Book) -> None:
    for row in (7, 8):
        book["Joints"].row_dimensions[row].hidden = True


def hidden_column(book: Book) -> None:
    book["Joints"].column_dimensions["C"].hidden = True


def struck(book: Book) -> None:
    cell = cell_of(book["Joints"], "B01/P01", "torque N·m")
    cell.font = Font(strike=True)


def struck_in_part(book: Book) -> None:
    old = TextBlock(InlineFont(strike=True), "M-1")
    cell_of(book["Modules"], "P01", "serial").value = CellRichText(old, " M-2")


def blanked(book: Book) -> None:
    cell_of(book["Joints"], "B01/P01", "torque N·m").number_format = ";;;"


@pytest.mark.parametrize(
    ("change", "where", "found", "do"),
    [
        (formula, "sheet Joints cell B7", "a formula without its result", "let it calculate and save it"),
        (error, "sheet Joints cell B7", "the error #DIV/0!", "correct the cell"),
        (date_of_serial, "sheet Modules cell B7", "the date 2026-02-01 under 'serial'", "format the cell as text"),
        (serial_number_of_a_date, "sheet Joints cell E7", "'46301.34'", "write it as 2026-10-05"),
        (comma, "sheet Joints cell B7", "4,5", "write 4.5"),
        (stray_sheet, "sheet Mine cell B3", "'to do' before any table", "delete the sheet"),
        (lambda book: book["Joints"].merge_cells("B7:B8"), "sheet Joints cell B7", "the merged cells B7:B8", "unmerge"),
        (lambda book: setattr(book["Joints"], "sheet_state", "hidden"), "sheet Joints", "a hidden sheet", "show it"),
        (lambda book: setattr(book["Joints"], "sheet_state", "veryHidden"), "sheet Joints", "a hidden", "show it"),
        (hidden_rows, "sheet Joints cell A7", "something in the hidden rows 7 to 8", "show the row, or delete it"),
        (hidden_column, "sheet Joints cell C6", "something in the hidden column C", "show the column, or delete it"),
        (struck, "sheet Joints cell B7", "'4.5', struck through", "take it out, or take the line off it"),
        (struck_in_part, "sheet Modules cell B7", "'M-1 M-2', struck through", "with why"),
        (blanked, "sheet Joints cell B7", "'4.5' in a cell whose format shows nothing", "give it another format"),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_workbook_is_said_with_sheet_and_cell(
    change: Callable[[Book], object], where: str, found: str, do: str
) -> None:
    problem = problems_of(changed(change), "record.xlsx")[0]
    assert problem.origin.within == where
    assert found in problem.found
    assert do in problem.do


def test_a_row_or_column_without_any_size_is_hidden() -> None:
    parts = parts_of()
    name = next(n for n, part in parts.items() if b"B01/P01" in part and n.startswith("xl/worksheets/"))
    flat = parts[name].replace(b'<row r="7"', b'<row r="7" ht="0" customHeight="1"', 1)
    problem = problems_of(packed({**parts, name: flat}), "record.xlsx")[0]
    assert (problem.origin.cell, problem.found) == ("A7", "something in the hidden row 7")


def test_what_is_hidden_or_struck_and_holds_nothing_is_let_be() -> None:
    def empty(book: Book) -> None:
        sheet = book["Joints"]
        sheet.row_dimensions[sheet.max_row + 3].hidden = True
        sheet.column_dimensions["Z"].hidden = True
        sheet.cell(sheet.max_row + 2, 1).font = Font(strike=True)

    assert opened(changed(empty), "record.xlsx") == WHOLE


def test_numbers_dates_and_times_come_as_they_were_typed() -> None:
    def typed(book: Book) -> None:
        cell_of(book["Joints"], "B01/P01", "torque N·m").value = 0.1 + 0.2 + 4.2  # noise in the last digit
        cell_of(book["Joints"], "B01/P02", "torque N·m").value = "40 lbf·in"
        cell_of(book["Joints"], "B01/P01", "recheck at").value = "2026-10-06 09:30"
        cell_of(book["Pack"], "W1", "accuracy").value = 0.06
        cell_of(book["Pack"], "W1", "accuracy").number_format = "0%"
        cell_of(book["Pack"], "W1", "due").value = datetime(2027, 1, 15)

    root = document_of_table(changed(typed), "record.xlsx").root
    row = root["joints"]["B01/P01"]
    assert (row["torque"], row["recheck at"]) == ("4.5 N·m", "2026-10-06 09:30")
    assert root["joints"]["B01/P02"]["torque"] == "40 lbf·in"
    assert (root["instruments"]["W1"]["accuracy"], root["instruments"]["W1"]["due"]) == ("6 %", "2027-01-15")


def test_remarks_and_help_beside_the_rows_are_not_read() -> None:
    def remarked(book: Book) -> None:
        sheet = book["Joints"]
        sheet.cell(sheet.max_row + 2, 1).value = "# counted twice"
        heading = next(r[0].row for r in sheet.iter_rows() if r[0].value == "name")
        sheet.cell(heading, 12).value = "(mine)"
        sheet.cell(heading + 1, 12).value = "looks fine"

    assert opened(changed(remarked), "record.xlsx") == WHOLE


def packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in parts.items():
            book.writestr(name, content)
    return stream.getvalue()


def parts_of(content: bytes = XLSX) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        return {name: book.read(name) for name in book.namelist()}


SHEET = "xl/worksheets/sheet1.xml"
BOMB = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "ha">]><worksheet>&b;</worksheet>'


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (packed({**parts_of(), "xl/vbaProject.bin": b"x"}), "a workbook with macros"),
        (packed({"mimetype": b"application/vnd.oasis", "content.xml": b"<x/>"}), "OpenDocument"),
        (packed({"word/document.xml": b"<x/>"}), "a package that is no workbook"),
        (packed({**parts_of(), SHEET: b"<worksheet><sheetData>"}), "a workbook that is damaged"),
        (packed({**parts_of(), SHEET: BOMB}), "declarations in xl/worksheets/sheet1.xml"),
        (XLSX[: len(XLSX) // 2], "broken off or damaged"),
        (XLSX.replace(b"sheet1.xml", b"sheet1.xm\0", 1), "damaged"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "older kind, or one with a password"),
        (packed({**parts_of(), "xl/media/a.bin": b"\0" * (65 * 2**20)}), "unpacks to more than a record needs"),
        (packed({**parts_of(), **{f"xl/media/{n}": b"" for n in range(600)}}), "unpacks to more than a record needs"),
    ],
    ids=["macros", "OpenDocument", "letter", "XML", "entities", "half", "name", "old", "bomb", "many parts"],
)  # fmt: skip
def test_a_workbook_that_is_dangerous_or_damaged_is_refused_whole(content: bytes, found: str) -> None:
    (problem,) = problems_of(content, "record.xlsx")
    assert found in problem.found
    assert problem.line == 0


def test_a_bomb_that_declares_less_than_it_unpacks_to_is_refused_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(package, "LARGEST_UNPACKED", 2**20)
    content = packed({**parts_of(), "xl/media/a.bin": b"\0" * 2**22})
    size = (2**22).to_bytes(4, "little")
    assert content.count(size) == 2  # in the local header and in the directory
    lying = content.replace(size, (2**10).to_bytes(4, "little"))
    (problem,) = problems_of(lying, "record.xlsx")
    assert "unpacks to more" in problem.found or "damaged" in problem.found


def test_a_sheet_with_too_many_cells_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "MOST_CELLS", 100)
    (problem,) = problems_of(XLSX, "record.xlsx")
    assert "more than 100 cells" in problem.found


def test_without_openpyxl_a_plain_message_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
                                                               capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    import sys

    monkeypatch.setitem(sys.modules, "openpyxl", None)
    (problem,) = problems_of(XLSX, "record.xlsx")
    assert "pip install 'packcheck[xlsx]'" in problem.do
    assert run(["sheet", str(FOLDER / "skerry-24.yaml"), "-o", str(tmp_path / "a.xlsx")]) == 2
    assert "pip install 'packcheck[xlsx]'" in capsys.readouterr().err


def test_a_blank_row_and_an_empty_sheet_are_nothing() -> None:
    def more(book: Book) -> None:
        book.create_sheet("Empty")
        book["Joints"].insert_rows(9)

    assert opened(changed(more), "record.xlsx") == WHOLE
    assert "Empty" not in [grid.name for grid in read_grids(changed(more), "record.xlsx")]
