"""The headings of a record's table: whom a row is about, the name of each column, the unit of all its numbers."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from packcheck.files.fields import Fields, Path
from packcheck.files.quantities import Dimension, QuantityProblem, parse_heading, parse_number_with_unit
from packcheck.files.quantities.units import dimensions_of, near_spellings
from packcheck.model.pack.model import Pack
from packcheck.model.record.sheets import AT, Cell, Sheet, is_of

MOST_STRANGE = 10_000
"""Most conductors that a range may name which the layout does not have: with more, a check takes long."""


def names_of_rows(fields: Fields, pack: Pack, path: Path, key: str) -> list[str]:
    """Return the names that the rows under a key are about; none where a range names a crowd of unknown conductors."""
    if ".." not in key:
        return [key]
    names = fields.names(path, key, key=True)
    strange = sum(name not in pack.conductors for name in names) if path[0] in ("bars", "leads") else 0
    if strange <= MOST_STRANGE:
        return names
    fields.wrong(path, found=f"the range '{key}', with {strange:,} conductors that the layout does not have", key=True,
                 needed="conductors of the layout",
                 do="correct the range; what was found beyond the layout has a row of its own")  # fmt: skip
    return []


def read_headings(fields: Fields, sheet: Sheet, columns: list[str]) -> list[tuple[str, str]]:
    """Return name and unit of each heading; a heading that cannot be read has no name, and its cells are passed."""
    headings: list[tuple[str, str]] = []
    for index, heading in enumerate(columns):
        path: Path = (sheet.section, "columns", index)
        name, unit = _heading(fields, sheet, path, heading)
        if name and any(name == other for other, _ in headings):
            do = "take one of the two out"
            fields.wrong(path, found=f"the column '{name}' a second time", needed="each column once", do=do)
        headings.append((name, unit))
    return headings


def refuse_bare_column(fields: Fields, place: Path, heading: str, dimension: Dimension, number: int | Decimal) -> None:
    """Note that the numbers below a heading have no unit, with the first of them."""
    fields.wrong(
        place,
        found=f"the heading '{heading}' without a unit, above the bare number {number}",
        needed=f"{dimension.words} with its unit",
        do=f"write {heading} {dimension.unit}, if that is the unit of the column",
    )


def _heading(fields: Fields, sheet: Sheet, path: Path, heading: str) -> tuple[str, str]:
    if heading in sheet.columns or heading == AT:
        return heading, ""
    name, unit = parse_heading(heading)
    known = name if name in sheet.columns else _column_before(heading, sheet.columns)
    cell = sheet.columns.get(known)
    if cell is None:
        fields.unknown(path, name, sheet.columns, f"a column of `{sheet.section}:`")
    elif cell.asked and unit:
        return name, unit
    elif cell.dimension is None:
        needed = f"no unit: {known} is not a quantity"
        fields.wrong(path, found=f"the heading '{heading}'", needed=needed, do=f"write {known}")
    elif cell.or_else is not None and is_of(1, unit, cell.or_else):
        return name, unit
    else:
        return _checked_unit(fields, path, heading, known, cell.dimension, unit)
    return "", ""


def _checked_unit(
    fields: Fields, path: Path, heading: str, name: str, dimension: Dimension, unit: str
) -> tuple[str, str]:
    try:
        parse_number_with_unit(1, unit or heading.removeprefix(name).strip(), dimension)
    except QuantityProblem as problem:
        found = problem.found.removeprefix("1 ")
        written = unit or heading.removeprefix(name).strip()
        near = near_spellings(written, dimension) if not any(dimensions_of(written)) else ()
        do = f"write {name} {near[0] if len(near) == 1 else dimension.unit}"
        do += "" if len(near) == 1 else ", if that is the unit of the column"
        needed = f"the unit of {dimension.words}"
        fields.wrong(path, found=f"the heading '{heading}': {found}", needed=needed, do=do)
        return "", ""
    return name, unit


def _column_before(heading: str, columns: Mapping[str, Cell]) -> str:
    """Return the column whose name a heading begins with, or ""."""
    return next((name for name in columns if heading.startswith(name + " ")), "")
