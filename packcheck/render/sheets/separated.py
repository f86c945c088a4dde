"""A record as one CSV file: its tables one beneath the other."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from decimal import Decimal

from packcheck.files.tables.separated import MARKED_AS_TEXT
from packcheck.model.record.cell_tables import RECORD, REMARK
from packcheck.model.record.to_blocks import Block
from packcheck.render.sheets.cells import Entry, rows_of

MARK = "\ufeff"
"""What a table program needs to see before the text to take it for UTF-8."""
_FORMULA = ("=", "+", "-", "@", "'")


def separated(blocks: Iterable[Block], remarks: Iterable[str] = (), sign: str = ",") -> str:
    """Return blocks as separated values, with the mark before them that table programs look for.

    A text that a table program would take for a formula has ``'`` before it, which reading takes away again.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=sign, lineterminator="\r\n")
    writer.writerow([RECORD, "1"])
    for remark in remarks:
        writer.writerow([f"{REMARK} {remark}"])
    for block in blocks:
        writer.writerow([])
        for row in rows_of(block):
            writer.writerow([_text(entry) for entry in row])
    return MARK + stream.getvalue()


def _text(entry: Entry) -> str:
    value = entry.value
    if value is None:
        return ""
    if isinstance(value, int | Decimal):
        return f"{value:f}" if isinstance(value, Decimal) else str(value)
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) and MARKED_AS_TEXT.match(f"'{text}") else text
