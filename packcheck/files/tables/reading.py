"""Bytes -> grids, whichever kind of table they are; anything else is left to others."""

from __future__ import annotations

import re

from packcheck.files.tables.cells import Grid

_WORKBOOK = b"PK\x03\x04"
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""How a workbook of the older kind begins, and one with a password."""
_RECORD = re.compile(r'\ufeff?(sep=.\r?\n)?[ \t]*"?record"?[,;\t]')
_ENDINGS = (".csv", ".tsv", ".xlsx", ".xlsm", ".xls", ".ods")


def is_table(content: bytes, name: str) -> bool:
    """Return whether bytes are a table by what they hold, or by the ending of their name."""
    return (
        content.startswith((_WORKBOOK, _OLD))
        or name.casefold().endswith(_ENDINGS)
        or bool(_RECORD.match(_head(content)))
    )


def read_grids(content: bytes, file: str) -> tuple[Grid, ...]:
    """Return the sheets of a workbook, or the one sheet of a CSV file.

    Raises
    ------
    InputProblems : the file is no such table, is too large, or holds what cannot be taken for a record.
    """
    if content.startswith((_WORKBOOK, _OLD)) or file.casefold().endswith((".xlsx", ".xlsm", ".xls", ".ods")):
        from packcheck.files.tables.workbook import read_workbook

        return read_workbook(content, file)
    from packcheck.files.tables.separated import read_separated

    return (read_separated(content, file),)


def _head(content: bytes) -> str:
    head = content[:64]
    wide = "utf-16" if head.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8"
    return head.decode(wide, "replace")
