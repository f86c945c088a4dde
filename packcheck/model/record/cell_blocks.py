"""Grids -> blocks: where a table of a record begins in a sheet, how it was taken, its headings and its rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from packcheck.files.origin import Origin
from packcheck.files.problems import Problem, nearest_name
from packcheck.files.quantities import FACTORS, parse_heading
from packcheck.files.suggestions import known_names
from packcheck.files.tables import Cell, Grid
from packcheck.model.record.cell_tables import NAME, NUMBER, RECORD, REMARK, SHAPES, TABLE, TAKEN, Shape


class Heading(NamedTuple):
    """The heading of a column: its name and unit, where it stands, and its place in the row."""

    name: str
    unit: str
    origin: Origin
    place: int


@dataclass(frozen=True)
class Line:
    """One row of a table: its name, and the cell beneath each heading."""

    name: str
    origin: Origin
    cells: tuple[tuple[Heading, Cell], ...]


@dataclass
class Block:
    """One table as it lies in a sheet; ``taken`` are its rows of how it was taken, by key."""

    section: str
    origin: Origin
    taken: dict[str, Cell] = field(default_factory=dict)
    headings: list[Heading] | None = None
    lines: list[Line] = field(default_factory=list)


def read_blocks(file: str, grids: Sequence[Grid], problems: list[Problem]) -> tuple[Cell | None, list[Block]]:
    """Return the version that the first row states, and all tables; what is wrong goes to ``problems``."""
    version: Cell | None = None
    blocks: list[Block] = []
    for grid in grids:
        here: Block | None = None
        for row in grid.rows:
            told = [cell for cell in row if cell.text]
            first = row[0].text if row else ""
            if not told or told[0].text.startswith(REMARK):
                continue
            if first == RECORD and here is None:
                version = row[1] if len(row) > 1 else Cell("", row[0].origin)
            elif first == TABLE:
                here = _begin(row, problems)
                blocks += [here] if here.section in SHAPES else []
            elif here is None:
                problems.append(_stray(row[0] if first else told[0]))
                break
            elif here.section in SHAPES:
                _read_row(here, row, problems)
    if not blocks and not problems:
        problems.append(Problem(Origin(file), "a table that holds no record", "a sheet made by `packcheck sheet`",
                                do="make one from the layout, and fill it in"))  # fmt: skip
    return version, blocks


def _begin(row: Sequence[Cell], problems: list[Problem]) -> Block:
    cell = row[1] if len(row) > 1 else row[0]
    if cell.text not in SHAPES:
        near = nearest_name(cell.text, list(SHAPES))
        do = f"did you mean '{near}'?" if near else known_names(list(SHAPES))
        problems.append(Problem(cell.origin, f"the table '{cell.text}'", "a table of a record", do=do))
    return Block(cell.text, row[0].origin)


def _stray(cell: Cell) -> Problem:
    return Problem(cell.origin, f"'{cell.text}' before any table", f"a row that begins with `{TABLE}`",
                   "what stands here would not be judged",
                   f"put {REMARK} before what is only a remark, or delete the sheet")  # fmt: skip


def _read_row(block: Block, row: Sequence[Cell], problems: list[Problem]) -> None:
    name = row[0]
    if block.headings is None:
        if name.text.startswith(TAKEN):
            block.taken[name.text.removeprefix(TAKEN).strip()] = row[1] if len(row) > 1 else Cell("", name.origin)
        elif name.text in (NAME, NUMBER):
            block.headings = list(_headings(block.section, row, problems))
        else:
            found, needed = f"'{name.text}' above the headings", f"a row of headings that begins with `{NAME}`"
            problems.append(Problem(name.origin, found, needed, do="write the headings back as they were"))
            block.headings = []
        return
    cells = tuple((heading, row[heading.place]) for heading in block.headings if heading.place < len(row))
    beyond = [cell for cell in row[len(block.headings) + 1 :] if cell.text] if len(row) > _width(block) else []
    if beyond:
        problems.append(Problem(beyond[0].origin, f"'{beyond[0].text}' beneath no heading", "a heading above it",
                                do="move it into its column"))  # fmt: skip
    empty = [Cell("", name.origin._replace(column=h.place + 1)) for h in block.headings if h.place >= len(row)]
    missing = tuple((heading, cell) for heading, cell in zip(block.headings[len(cells) :], empty, strict=False))
    told = any(cell.text for _, cell in cells)
    if told and not name.text and SHAPES[block.section].of_names:
        problems.append(Problem(name.origin, "a row without a name", "the name of what it is about",
                                do="write its name into the first column"))  # fmt: skip
    elif told or (name.text and SHAPES[block.section].blank):
        block.lines.append(Line(name.text, name.origin, (*cells, *missing)))


def _width(block: Block) -> int:
    return 1 + max((heading.place for heading in block.headings or ()), default=0) + _HELP


_HELP = 6
"""Columns for people may stand beyond the last that is read."""


def _headings(section: str, row: Sequence[Cell], problems: list[Problem]) -> Iterator[Heading]:
    shape, seen = SHAPES[section], set[str]()
    for index, cell in enumerate(row[1:], 1):
        if not cell.text or cell.text.startswith("("):
            continue
        name, unit = _name_and_unit(shape, cell.text)
        if not shape.knows(name):
            near = nearest_name(name, shape.columns)
            do = f"did you mean '{near}'?" if near else known_names(shape.columns)
            problems.append(Problem(cell.origin, f"the column '{cell.text}'", f"a column of {section}", do=do))
        elif name in seen:
            problems.append(Problem(cell.origin, f"the column '{name}' a second time", "each column once",
                                    do="take one of the two out"))  # fmt: skip
        else:
            seen.add(name)
            yield Heading(name, unit, cell.origin, index)


def _name_and_unit(shape: Shape, heading: str) -> tuple[str, str]:
    """Return a heading's name and unit; a unit belongs to a quantity alone."""
    if shape.knows(heading):
        return heading, ""
    name, unit = parse_heading(heading)
    dimension = shape.quantities.get(name)
    others = [d for d in FACTORS if unit in FACTORS[d]]
    return (name, unit) if dimension and (unit in FACTORS[dimension] or others) else (heading, "")
