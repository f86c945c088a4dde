"""A record as YAML, one table after the other, a row a line; what is said for people stands behind it as a comment."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from packcheck.model.record.cell_tables import SHEETS, WITH, is_of_taking
from packcheck.model.record.sheets import AT, IS, NOT_TAKEN
from packcheck.model.record.to_blocks import Block, Column, Line
from packcheck.render.sheets.cells import flow

_WHEN_AND_WHO = "add at: 2026-10-05 08:40 and by: MK"


def as_yaml(blocks: Iterable[Block], remarks: Iterable[str] = ()) -> str:
    """Return blocks as the text of a record; blocks of one table are written as one."""
    by_section: dict[str, list[Block]] = {}
    for block in blocks:
        by_section.setdefault(block.section, []).append(block)
    lines = [f"# {remark}" for remark in remarks] + ["record: 1"]
    for section, parts in by_section.items():
        lines += _section(section, parts)
    return "\n".join(lines) + "\n"


def _section(section: str, parts: Sequence[Block]) -> Iterator[str]:
    first, rows = parts[0], [line for part in parts for line in part.lines]
    if section == "pack":
        yield from _pack(rows)
    elif section == "people":
        held = {line.name: line.cells.get("did") or "" for line in rows}
        yield f"people: {flow(held)}" + ("" if rows else f"    # {first.title}, as {{MK: fitter}}")
    elif section == "clamp":
        spec = {**_full(first.columns, rows[0], blank=True), "taken": _taken(first.taken)}
        yield from ("", _with_comment(f"clamp: {flow({key: value for key, value in spec.items() if value})}", rows[0]))
    elif section in SHEETS:
        yield from ("", f"{section}:", *_table(_joined(parts)))
    elif not rows:
        empty = ": , ".join(column.name for column in first.columns)
        yield from ("", f"# {section}:", f"#   - {{{empty}: }}" + (f"    # {first.title}" if first.title else ""))
    elif section == "notes":
        yield from ("", "notes:", *(f"  - {flow(line.cells.get('note') or '')}" for line in rows))
    else:
        listed = section != "instruments"
        yield from ("", f"{section}:" + (f"    # {first.title}" if first.title else ""))
        for line in rows:
            body = flow(_full(first.columns, line))
            yield f"  - {body}" if listed else f"  {flow(line.name)}: {body}"


def _pack(rows: Sequence[Line]) -> Iterator[str]:
    held = {line.name: line.cells["value"] for line in rows if line.cells.get("value") is not None}
    beside = {line.name: text for line in rows for text in line.beside.values() if text}
    yield f"layout: {flow(held.get('layout'))}"
    of = {key: held[key] for key in ("name", "revision", "pack", "sha256") if key in held}
    asked = [f"{key}: {beside[key]}" for key in ("pack", "sha256") if key in beside and key not in held]
    yield f"of: {flow(of)}" + (f"    # add {'; '.join(asked)}" if asked else "")
    if "extra" in held:
        yield f"extra: {flow(held['extra'])}"
    elif "extra" in beside:
        yield f"# extra: {beside['extra']}"


def _joined(parts: Sequence[Block]) -> list[Block]:
    """Return the parts of a table so that each name stands in one row: what is told of it later stands behind."""
    joined: list[Block] = []
    for part in parts:
        later = {line.name: line for line in part.lines}
        for index, block in enumerate(joined):
            again = [line.name for line in block.lines if line.name in later]
            if again:
                columns = (*block.columns, *(c for c in part.columns if c not in block.columns))
                lines = tuple(_both(line, later.pop(line.name, None)) for line in block.lines)
                joined[index] = replace(block, columns=columns, lines=lines)
        if later or not part.lines:
            joined.append(replace(part, lines=tuple(later.values())))
    return joined


def _both(line: Line, later: Line | None) -> Line:
    return line if later is None else replace(line, cells={**line.cells, **later.cells})


def _table(parts: Sequence[Block]) -> Iterator[str]:
    """Yield one table: its largest block in brackets beneath headings, every other row in braces."""
    shared = dict(set(parts[0].taken.items()).intersection(*(part.taken.items() for part in parts[1:])))
    taken = {key: value for key, value in parts[0].taken.items() if key in shared}
    main = max(parts, key=lambda part: (any(c.name != IS for c in part.columns), len(part.lines)))
    timed = all(line.cells.get(AT) is not None for line in main.lines)
    columns = [c for c in main.columns if (c.name == AT and timed) or not is_of_taking(c.name)]
    columns = [] if any(c.name == IS for c in columns) else columns
    if columns:
        yield f"  columns: {flow([column.heading for column in columns])}"
    said = _taken(taken)
    if said:
        yield f"  taken: {flow(said)}" + (f"    # {_WHEN_AND_WHO}" if taken.get(AT) == "" else "")
    elif taken:
        yield "  # taken: {at: 2026-10-05 08:40, by: MK}"
    wide = max((len(flow(line.name)) for part in parts for line in part.lines), default=0) + 1
    stage = ""
    for part in parts:
        own = _taken({key: value for key, value in part.taken.items() if key not in taken})
        if part.stage != stage:
            stage = part.stage
            yield f"  # {stage}"
        for line in part.lines:
            body = _row(part, line, columns if part.columns == main.columns else [], own)
            yield _with_comment(f"  {flow(line.name) + ':':<{wide}} {body}", line)


def _with_comment(text: str, line: Line) -> str:
    beside = "; ".join(f"{key} {said}" for key, said in line.beside.items() if said)
    return f"{text}    # {beside}" if beside else text


def _row(part: Block, line: Line, columns: Sequence[Column], taken: Mapping[str, Any]) -> str:
    """Return one row: in brackets where it fits the headings, as a word alone, or in braces."""
    told = [key for key, value in line.cells.items() if value is not None]
    timed = any(column.name == AT for column in columns)
    fits = not taken and all(not is_of_taking(key) or (key == AT and timed) for key in told)
    if columns and fits and (AT in told) == timed:
        cells = (line.cells.get(column.name) for column in columns)
        return flow([NOT_TAKEN if value is None else value for value in cells])
    full = _full(part.columns, line, blank=True)
    if not taken and full.keys() == {IS} and full[IS] != NOT_TAKEN:
        return flow(full[IS])
    return flow({**full, **taken, **{key: full[key] for key in taken if key in full}})


def _full(columns: Sequence[Column], line: Line, *, blank: bool = False) -> dict[str, Any]:
    """Return a row by column, every number with its unit; what nobody filled in as `none`, or left out."""
    full: dict[str, Any] = {}
    by_column: dict[str, Any] = {}
    for column in columns:
        value = line.cells.get(column.name)
        if column.name.startswith(f"{WITH} ") and value is not None:
            by_column[column.name.removeprefix(f"{WITH} ")] = value
        elif value is not None:
            bare = column.unit and isinstance(value, int | Decimal)
            null = column.name == AT and value == NOT_TAKEN
            full[column.name] = None if null else f"{flow(value)} {column.unit}" if bare else value
        elif blank and not is_of_taking(column.name):
            full[column.name] = NOT_TAKEN
    return full | ({WITH: by_column} if by_column else {})


def _taken(taken: Mapping[str, str]) -> dict[str, Any]:
    """Return how a table was taken, without what nobody filled in."""
    said = {key: value for key, value in taken.items() if value}
    by_column = {key.removeprefix(f"{WITH} "): value for key, value in said.items() if key.startswith(f"{WITH} ")}
    plain = {key: value for key, value in said.items() if not key.startswith(f"{WITH} ")}
    return plain | ({WITH: by_column} if by_column else {})
