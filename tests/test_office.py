"""Sheets in other programs: LibreOffice opens and saves them, and another reader sees the same numbers."""

from __future__ import annotations

import io
import shutil
import subprocess
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
from demonstrations import demonstration
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.styles import Font
from same_record import told

from packcheck.files.document import read_document
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.blank import blank_record
from packcheck.model.opening import open_file
from packcheck.model.record.from_cells import document_of_table
from packcheck.model.record.from_document import read_record
from packcheck.model.record.to_blocks import lay_out
from packcheck.render.sheets.separated import separated
from packcheck.render.sheets.workbook import workbook

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
FOLDER = shipped_folder("layouts")
RECORDS = ("skerry-24/clean-sk-0417", "plover-16/pl-0057-two-wrenches", "heron-2x15/hr-0009-top-drawers")
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
office = pytest.mark.skipif(SOFFICE is None, reason="needs LibreOffice (Debian's libreoffice-calc) on the path")


def saved_again(file: Path, kind: str, folder: Path, *options: str) -> Path:
    """Return a file as LibreOffice saves it after opening it."""
    assert SOFFICE is not None
    target = folder / "saved"
    subprocess.run(
        [SOFFICE, f"-env:UserInstallation=file://{folder}/profile", "--headless", *options, "--convert-to", kind,
         "--outdir", str(target), str(file)],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    return target / f"{file.stem}.{kind.partition(':')[0]}"


@office
@pytest.mark.parametrize("name", RECORDS)
def test_a_workbook_that_libreoffice_saved_is_the_same_record(name: str, tmp_path: Path) -> None:
    path = demonstration(f"{name}.yaml")
    opened = open_file(path)
    file = tmp_path / "record.xlsx"
    file.write_bytes(workbook(lay_out(read_document(path).root), states=tuple(opened.pack.states)))
    again = saved_again(file, "xlsx", tmp_path)
    assert again.read_bytes() != file.read_bytes()
    assert told(read_record(document_of_table(again.read_bytes(), "record.xlsx"), opened.pack)) == told(opened.record)


@office
def test_a_csv_file_that_libreoffice_saved_as_a_workbook_is_the_same_record(tmp_path: Path) -> None:
    path = FOLDER / f"{RECORDS[0]}.yaml"
    opened = open_file(path)
    file = tmp_path / "record.csv"
    file.write_text(separated(lay_out(read_document(path).root)), encoding="utf-8", newline="")
    again = saved_again(file, "xlsx", tmp_path, "--infilter=CSV:44,34,76,1")  # comma, quotes, UTF-8
    assert told(read_record(document_of_table(again.read_bytes(), "record.xlsx"), opened.pack)) == told(opened.record)


@office
def test_what_libreoffice_hid_or_struck_through_is_not_read(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook(lay_out(read_document(FOLDER / f"{RECORDS[0]}.yaml").root))))
    joints = book["Joints"]
    joints.row_dimensions[9].hidden = True
    joints.column_dimensions["C"].hidden = True
    joints["B7"].font = Font(strike=True)
    book["Modules"]["B7"].value = CellRichText(TextBlock(InlineFont(strike=True), "M-1"), " M-2")
    book.save(tmp_path / "record.xlsx")
    again = saved_again(tmp_path / "record.xlsx", "xlsx", tmp_path)
    with pytest.raises(InputProblems) as raised:
        document_of_table(again.read_bytes(), "record.xlsx")
    assert {(p.origin.sheet, p.origin.cell, p.found) for p in raised.value.problems} == {
        ("Joints", "A9", "something in the hidden row 9"), ("Joints", "C6", "something in the hidden column C"),
        ("Joints", "B7", "'4.5', struck through"), ("Modules", "B7", "'M-1 M-2', struck through"),
    }  # fmt: skip


@office
def test_libreoffice_keeps_the_choices_of_a_blank_record(tmp_path: Path) -> None:
    pack = open_file(FOLDER / "skerry-24" / "skerry-24.yaml").pack
    file = tmp_path / "blank.xlsx"
    file.write_bytes(workbook(blank_record(pack).blocks, states=tuple(pack.states)))
    again = saved_again(file, "xlsx", tmp_path)
    with zipfile.ZipFile(again) as book:
        sheets = [ElementTree.fromstring(book.read(name)) for name in book.namelist() if "worksheets/sheet" in name]
    lists = {choice.findtext(f"{MAIN}formula1") for sheet in sheets for choice in sheet.iter(f"{MAIN}dataValidation")}
    assert '"as drawn,not fitted"' in lists
    assert '"held,moved"' in lists
    assert all(sheet.find(f"{MAIN}sheetProtection") is not None for sheet in sheets)


def test_names_stay_in_sight_and_are_locked_and_what_is_to_be_filled_in_is_not(tmp_path: Path) -> None:
    import openpyxl

    pack = open_file(FOLDER / "skerry-24" / "skerry-24.yaml").pack
    (tmp_path / "blank.xlsx").write_bytes(workbook(blank_record(pack).blocks, states=tuple(pack.states)))
    book = openpyxl.load_workbook(tmp_path / "blank.xlsx")
    assert {sheet.freeze_panes for sheet in book} == {"B2"}
    bars = next(sheet for sheet in book if sheet.title.startswith("Step 2.1"))
    row = next(row for row in bars.iter_rows() if row[0].value == "B01/P01")
    assert [row[0].protection.locked, row[1].protection.locked, row[2].protection.locked] == [True, False, False]
    assert [sheet.title for sheet in book][:3] == ["Pack", "Step 1.1 modules P01..P24", "Step 1.2 clamp"]


def test_the_numbers_stand_in_the_xml_as_numbers() -> None:
    """Read without any table library: the parts that ISO/IEC 29500-1 names, 18.3.1.4 `c` and 18.3.1.96 `v`."""
    import io

    content = workbook(lay_out(read_document(FOLDER / f"{RECORDS[0]}.yaml").root))
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        names = [s.get("name") for s in ElementTree.fromstring(book.read("xl/workbook.xml")).iter(f"{MAIN}sheet")]
        sheet = ElementTree.fromstring(book.read(f"xl/worksheets/sheet{names.index('Joints') + 1}.xml"))
    numbers = [float(cell.findtext(f"{MAIN}v") or "nan") for cell in sheet.iter(f"{MAIN}c") if cell.get("t") == "n"
               and (cell.get("r") or "").startswith("B")]  # fmt: skip
    assert numbers[0] == pytest.approx(46300 + (10 + 50 / 60) / 24)  # 2026-10-05 10:50, days since 1899-12-30
    assert numbers[1:] == [4.5] * 54
