"""Grids of a filled workbook or CSV file -> the document that the same record in YAML would be, with its origins."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from packcheck.files.document import Document, MarkedMapping
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.tables import Grid, read_grids
from packcheck.model.record.cell_blocks import Block, Line, read_blocks
from packcheck.model.record.cell_tables import PACK_KEYS, SHAPES, SHEETS, WITH
from packcheck.model.record.cell_values import Values, put, sequence_of
from packcheck.model.record.sheets import IS, TAKEN_KEYS


def document_of_table(content: bytes, file: str) -> Document:
    """Return a record that was filled in as a table as the document of the same record in YAML.

    Raises
    ------
    InputProblems : everything that is wrong with the table, each with sheet and cell.
    """
    grids = read_grids(content, file)
    return Document(file, _Builder(file).root(grids), (), hashlib.sha256(content).hexdigest())


class _Builder:
    """Puts the blocks of all sheets together as one record."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.values = Values(self.problems)

    def root(self, grids: Sequence[Grid]) -> MarkedMapping:
        """Return the record."""
        version, blocks = read_blocks(self.file, grids, self.problems)
        root = MarkedMapping(Origin(self.file))
        if version:
            put(root, "record", int(version.number) if version.number.isdigit() else version.text, version.origin)
        by_section: dict[str, list[Block]] = {}
        for block in blocks:
            by_section.setdefault(block.section, []).append(block)
        for section in SHAPES:
            if section in by_section:
                self._section(root, section, by_section[section])
        if self.problems:
            raise InputProblems(self.problems)
        return root

    def _section(self, root: MarkedMapping, section: str, blocks: list[Block]) -> None:
        at = blocks[0].origin
        lines = [line for block in blocks for line in block.lines]
        if section == "pack":
            self._pack(root, at, lines)
        elif section == "people":
            held = MarkedMapping(at)
            for name, line in {line.name: line for line in lines}.items():
                put(held, name, str(self.values.row("people", line).get("did") or ""), line.origin)
            put(root, section, held, at)
        elif section == "notes":
            found = [self.values.row(section, line) for line in lines]
            put(root, section, sequence_of([row["note"] for row in found if row.get("note")], at), at)
        elif not SHAPES[section].of_names:
            put(root, section, sequence_of([self._full(section, line) for line in lines], at), at)
        elif section == "clamp":
            self._clamp(root, blocks)
        elif section == "instruments":
            held = MarkedMapping(at)
            for line in lines:
                put(held, line.name, self._full(section, line), line.origin)
            put(root, section, held, at)
        else:
            self._table(root, section, blocks)

    def _full(self, section: str, line: Line) -> MarkedMapping:
        """Return the cells of a row that hold anything."""
        row = self.values.row(section, line)
        kept = MarkedMapping(line.origin)
        for key, value in row.items():
            if value is not None:
                put(kept, key, value, row.key_mark[key], row.value_mark[key])
        return kept

    def _pack(self, root: MarkedMapping, at: Origin, lines: list[Line]) -> None:
        of = MarkedMapping(at)
        for line in lines:
            cell = next((cell for _, cell in line.cells if cell.text), None)
            if line.name not in PACK_KEYS:
                self.problems.append(Problem(line.origin, f"'{line.name}'", f"one of: {', '.join(PACK_KEYS)}",
                                             do="write it under notes"))  # fmt: skip
            elif cell is not None:
                whole = line.name == "revision" and cell.number.isdigit()
                value = int(cell.number) if whole else cell.text
                held = root if line.name in ("layout", "extra") else of
                put(held, line.name, value, line.origin, cell.origin)
        put(root, "of", of, of.mark)

    def _clamp(self, root: MarkedMapping, blocks: list[Block]) -> None:
        clamp = MarkedMapping(blocks[0].origin)
        for block in blocks:
            for line in block.lines:
                row = self._full("clamp", line)
                for key in ("length", "torque"):
                    if key in row:
                        put(clamp, key, row[key], row.key_mark[key], row.value_mark[key])
            taken = self.values.taken(block.taken, block.origin)
            if taken:
                put(clamp, "taken", taken, taken.mark)
        if clamp:
            put(root, "clamp", clamp, clamp.mark)

    def _table(self, root: MarkedMapping, section: str, blocks: list[Block]) -> None:
        """Put the rows of one table together; what all its blocks say of how they were taken is said once."""
        table = MarkedMapping(blocks[0].origin)
        takens = [self.values.taken(block.taken, block.origin) for block in blocks if block.lines]
        shared = takens[0] if takens and all(taken == takens[0] for taken in takens) else None
        if shared:
            put(table, "taken", shared, shared.mark)
        filled = [block for block in blocks if block.lines]
        for block, taken in zip(filled, takens, strict=True):
            for line in block.lines:
                row = self.values.row(section, line)
                if shared is None:
                    _take(row, taken)
                if line.name in table:
                    self._join(table, line, row)
                else:
                    put(table, line.name, row, line.origin)
        for name, row in table.items():
            if name != "taken":
                table[name] = _in_short(row, has_words=bool(SHEETS[section].words))
        put(root, section, table, table.mark)

    def _join(self, table: MarkedMapping, line: Line, later: MarkedMapping) -> None:
        """Add to a row what a later table tells of the same name: at another time, maybe by somebody else."""
        row = table[line.name]
        own = MarkedMapping(line.origin)
        for key in TAKEN_KEYS:
            if later.get(key) is not None and later[key] != row.get(key):
                put(own, key, later[key], later.value_mark[key])
        for key, value in later.items():
            if key in TAKEN_KEYS:
                continue
            if value is not None and row.get(key) is not None:
                first = row.value_mark[key].within
                self.problems.append(
                    Problem(later.value_mark[key], f"{key} of {line.name} a second time; the first is in {first}",
                            "each reading once", "a second reading never overwrites the first",
                            "take one of the two out, or put the second into the table again")
                )  # fmt: skip
            elif value is not None or key not in row:
                told = _with_own(value, own, key, later.value_mark[key])
                put(row, key, told, later.key_mark[key], later.value_mark[key])


def _with_own(value: object, own: MarkedMapping, key: str, at: Origin) -> object:
    """Return a cell with its own time, person and instrument, where they are not those of its row."""
    if not own or value is None or isinstance(value, MarkedMapping):
        return value
    cell = MarkedMapping(at)
    put(cell, IS, value, at)
    for name, said in own.items():
        instrument = said.get(key) if name == WITH and isinstance(said, dict) else said
        if instrument is not None:
            put(cell, name, instrument, own.value_mark[name])
    return cell


def _take(row: MarkedMapping, taken: MarkedMapping) -> None:
    """Give a row what its block says of how it was taken, where it says nothing itself."""
    for key, value in taken.items():
        if key == WITH and isinstance(value, dict) and isinstance(row.get(key), dict):
            both = MarkedMapping(row.value_mark[key])
            for name, said in {**value, **row[key]}.items():
                put(both, name, said, row.value_mark[key])
            put(row, key, both, row.key_mark[key])
        elif key not in row:
            put(row, key, value, taken.key_mark[key], taken.value_mark[key])


def _in_short(row: MarkedMapping, *, has_words: bool) -> object:
    """Return a row that says nothing but one word as that word."""
    told = {key for key, value in row.items() if value is not None}
    if has_words and row.get(IS) is not None and told == {IS}:
        return row[IS]
    if has_words and row.get(IS) is not None:
        untold = [key for key, value in row.items() if value is None and key not in TAKEN_KEYS]
        for key in untold:
            del row[key]
    return row
