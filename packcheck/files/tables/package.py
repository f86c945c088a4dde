"""The package that a workbook lies in, looked at before anything in it is read: its size, macros, what it declares."""

from __future__ import annotations

import io
import zipfile
from zlib import error as broken_stream

from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem

LARGEST_UNPACKED = 64 * 2**20
"""The most bytes that a workbook may unpack to; a record of 1,000 modules has about 4 MB."""
MOST_PARTS = 500
_OLD = b"\xd0\xcf\x11\xe0"
_PIECE = 2**16
_SAVE = "save it as an .xlsx workbook"


def check_package(content: bytes, file: str) -> None:
    """Refuse what is no plain workbook, before any part of it is taken in.

    Raises
    ------
    InputProblems : no package, one that is broken or unpacks to too much, macros, or declarations in its XML.
    """
    if content.startswith(_OLD):
        raise refused(file, "a workbook of the older kind, or one with a password", _SAVE + " without a password")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            _check_parts(package, file)
    except (
        zipfile.BadZipFile,
        broken_stream,
        EOFError,
        NotImplementedError,
        RuntimeError,
        OSError,
        ValueError,
    ) as wrong:
        raise refused(file, "a workbook that is broken off or damaged", "open it, and " + _SAVE) from wrong


def refused(file: str, found: str, do: str) -> InputProblems:
    """Return that a file as a whole is no workbook that can be read."""
    return InputProblems([Problem(Origin(file), found, "an .xlsx workbook without macros", do=do)])


def _check_parts(package: zipfile.ZipFile, file: str) -> None:
    parts = package.infolist()
    names = {part.filename for part in parts}
    if "mimetype" in names and "xl/workbook.xml" not in names:
        raise refused(file, "an OpenDocument table", _SAVE)
    if any(name.casefold().endswith("vbaproject.bin") for name in names):
        raise refused(file, "a workbook with macros", _SAVE + ", which holds none")
    if "xl/workbook.xml" not in names:
        raise refused(file, "a package that is no workbook", "name a record")
    declared = sum(part.file_size for part in parts)
    if len(parts) > MOST_PARTS or declared > LARGEST_UNPACKED:
        raise _too_large(file)
    read = 0
    for part in parts:
        with package.open(part) as stream:
            begins = b""
            while piece := stream.read(_PIECE):
                begins = begins or piece
                read += len(piece)
                if read > LARGEST_UNPACKED:
                    raise _too_large(file)
        if b"<!DOCTYPE" in begins or b"<!ENTITY" in begins:
            raise refused(file, f"declarations in {part.filename}, which no workbook needs", "open it, and " + _SAVE)


def _too_large(file: str) -> InputProblems:
    size = f"at most {LARGEST_UNPACKED // 2**20} MB in {MOST_PARTS} parts"
    return refused(
        file, f"a workbook that unpacks to more than a record needs: {size}", "check that it is the right file"
    )
