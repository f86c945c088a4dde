"""Where something stands in what people wrote: file, line and column, or file, sheet and cell."""

from __future__ import annotations

from typing import NamedTuple


class Origin(NamedTuple):
    """A place in a text, or a cell of a table; line and column count from 1, 0 is the file as a whole.

    In a table ``line`` is the row and ``column`` the number of the column; ``cell`` names both as people see them, and
    ``sheet`` is empty where the file has no sheets.  Origins of one file come in the order of its sheets' names, lines
    and columns.
    """

    file: str = ""
    sheet: str = ""
    line: int = 0
    column: int = 0
    cell: str = ""

    @property
    def within(self) -> str:
        """Return where it stands in its file, in words: ``line 12``, ``sheet Joints cell C7``; "" for the file."""
        if self.cell:
            return f"sheet {self.sheet} cell {self.cell}" if self.sheet else f"cell {self.cell}"
        if self.sheet:
            return f"sheet {self.sheet}"
        return f"line {self.line}" if self.line else ""

    def words(self) -> str:
        """Return file and place in words: ``record.yaml line 12``, ``record.xlsx sheet Joints cell C7``."""
        return f"{self.file} {self.within}".rstrip()

    def short(self) -> str:
        """Return the place as programs show it, ``record.yaml:12:3``; a cell in words."""
        return f"{self.file}:{self.line}:{self.column}" if self.line and not self.cell else self.words()


def in_text(file: str, line: int, column: int = 1) -> Origin:
    """Return a place in a text."""
    return Origin(file, "", line, column)


def in_table(file: str, row: int, column: int, sheet: str = "") -> Origin:
    """Return a cell of a table, row and column counted from 1.

    Examples
    --------
    >>> in_table("record.xlsx", 7, 28, "Joints").words()
    'record.xlsx sheet Joints cell AB7'
    """
    return Origin(file, sheet, row, column, f"{column_letters(column)}{row}")


def column_letters(number: int) -> str:
    """Return how a table program names a column that is counted from 1: A to Z, AA, AB ..."""
    letters = ""
    while number > 0:
        number, digit = divmod(number - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return letters
