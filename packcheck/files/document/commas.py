"""Decimal commas that YAML takes for the end of a value: ``480,1 mm`` in a mapping is 480 and a name ``1 mm``."""

from __future__ import annotations

import re
from typing import NamedTuple

_COMMA = re.compile(
    r"(?<![\w.,+-])(?P<whole>[+-]?\d+),(?P<rest>\d+)"
    r"(?P<unit> ?[^\s\d,\]}\[{:#][^,\]}\[{:#]*)?(?!,\d)(?=\s*[,\]}#]|\s*$)"
)


class DecimalComma(NamedTuple):
    """A number with a comma in it: the column it begins in (from 1), as written, and with a point."""

    column: int
    written: str
    pointed: str


def decimal_commas(line: str, *, with_unit: bool = False) -> list[DecimalComma]:
    """Return the numbers of a line that have one tight comma in them, ``with_unit`` those followed by a unit alone.

    Examples
    --------
    >>> decimal_commas("size: [34,5 mm, 16 mm]")[0].pointed
    '34.5 mm'
    >>> decimal_commas("at: [10,0,60]"), decimal_commas("at: [10, 60]")
    ([], [])
    """
    return [
        DecimalComma(match.start() + 1, f"{match['whole']},{match['rest']}", _pointed(match))
        for match in _COMMA.finditer(line)
        if match["unit"] or not with_unit
    ]


def comma_at(line: str, column: int, *, item: bool) -> DecimalComma | None:
    """Return the number with a comma that stands at a column, or in the list that begins there.

    ``item``: it stands in a list, where a comma between two bare numbers is meant to be one.
    """
    if line[column - 1 : column] == "[":
        inside = line[column - 1 :].partition("]")[0] + "]"
        found = decimal_commas(inside, with_unit=True)
        return found[0]._replace(column=found[0].column + column - 1) if found else None
    for one in decimal_commas(line, with_unit=item):
        if one.column <= column < one.column + len(one.written):
            return one
    return None


def _pointed(match: re.Match[str]) -> str:
    return f"{match['whole']}.{match['rest']}{match['unit'] or ''}".rstrip()
