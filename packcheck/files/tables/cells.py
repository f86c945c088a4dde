"""Rows of cells as they stand in a sheet, before anyone asks what they mean."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, NamedTuple

from packcheck.files.document.scalars import unprintable
from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.files.problems import Problem

Kind = Literal["text", "number", "date"]
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_COMMA = re.compile(r"[+-]?\d+,\d+")


class Cell(NamedTuple):
    """What one cell holds, as text in plain digits, what kind of thing it is, and where it stands.

    ``comma``: its file writes numbers with a decimal comma, so a text of digits may be one.
    """

    text: str
    origin: Origin
    kind: Kind = "text"
    comma: bool = False

    @property
    def number(self) -> str:
        """Return the number that stands alone in the cell, in plain digits; "" for anything else."""
        text = self.text.replace("\u2212", "-", 1)
        if self.comma and _COMMA.fullmatch(text):
            text = text.replace(",", ".")
        return text if _NUMBER.fullmatch(text) else ""


@dataclass(frozen=True)
class Grid:
    """One sheet: its name, empty where the file has none, and its rows; what is empty at their ends is left out."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]


def in_sight(cells: Sequence[Cell]) -> list[Problem]:
    """Return a problem for each cell with a character in it that nobody can see."""
    return [
        Problem(cell.origin, f"the invisible character {sign}", "characters that can be seen", do="type it anew")
        for cell in cells
        if (sign := unprintable(cell.text))
    ]


def without_tail(cells: list[Cell]) -> tuple[Cell, ...]:
    """Return the cells of a row without the empty ones at its end."""
    while cells and not cells[-1].text:
        cells.pop()
    return tuple(cells)
