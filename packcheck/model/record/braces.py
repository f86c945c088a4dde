"""Rows and cells that are written out in braces, with their word, time, person and instrument; and what to write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from packcheck.files.fields import Fields, Path, written
from packcheck.files.problems import nearest_name
from packcheck.model.pack.model import Pack
from packcheck.model.record.circumstances import Taken, read_taken
from packcheck.model.record.sheets import AS_DRAWN, IS, NOT_FITTED, NOT_TAKEN, TAKEN_KEYS, RowRead, Sheet


def is_told(item: Any) -> bool:
    """Return whether a cell holds anything; `none` is what was not recorded."""
    if isinstance(item, dict):
        item = item.get(IS, "")
    return item is not None and item != NOT_TAKEN


def word_written_out(fields: Fields, sheet: Sheet, row: RowRead, item: Any) -> str:
    """Return the word that a row in braces says it is, empty where it says `none` or (and a problem) no such word."""
    if not is_told(item):
        return ""
    if item in sheet.words:
        return str(item)
    found = f"'{written(item).strip(chr(39))}', which is no word for a row of `{sheet.section}:`"
    fields.wrong((*row.path, IS), found=found, needed=f"one of: {', '.join(sheet.words)}", do=write_row(sheet, item))
    return ""


def read_own(
    fields: Fields, path: Path, name: str, item: Mapping[str, Any], pack: Pack, instruments: Any, over: Taken
) -> Taken | None:
    """Return when, by whom and with what a cell in braces was taken; None (and a problem) where it cannot be read."""
    within = IS in item and not isinstance(item[IS], Mapping)
    strange = next((key for key in item if key not in (IS, *TAKEN_KEYS)), None)
    if strange is not None or not within:
        found = f"'{strange}' in the braces of a cell" if within else "a mapping without `is:`"
        place, is_key = ((*path, str(strange)), True) if within else (path, False)
        needed = "what the cell is, with at, by, with and state where these are its own"
        do = "write it as {is: sound, at: 2026-10-05 11:20, by: MK}"
        fields.wrong(place, found=found, needed=needed, do=do, key=is_key)
        return None
    own = {key: item[key] for key in TAKEN_KEYS if key in item}
    return read_taken(fields, path, own, pack, (name,), instruments, over)


def refuse_contradiction(fields: Fields, row: RowRead) -> None:
    """Note a row that says at once that a thing is not there, or as drawn, and something else about it."""
    drawn = [column for column in ("lands", "over", "to") if row.word == AS_DRAWN and column in row.cells]
    beside = row.cells if row.word == NOT_FITTED else drawn
    for column in list(beside)[:1]:
        needed, do = "one of the two", "take out what is not so"
        fields.wrong(row.places[column], found=f"`{row.word}`, and {column} beside it", needed=needed, do=do, key=True)


def write_row(sheet: Sheet, value: object) -> str:
    """Return what to do about a row that is neither cells nor one of the words of its table."""
    if isinstance(value, bool) and {"on", "off"} <= set(sheet.words):
        return f"write {'on' if value else 'off'}: another program took the word for {written(value)}"
    near = nearest_name(str(value), sheet.words)
    if near and (near != NOT_FITTED or str(value).lower().startswith("no")):  # 'fitted' is near it, and its opposite
        return f"did you mean '{near}'?"
    if AS_DRAWN in sheet.words and isinstance(value, (str, bool)):
        return "write as drawn where it is as the layout has it, not fitted where it is missing; else fill in its cells"
    if not sheet.columns:
        return "write one of these"
    return "write [..., ...] in the order of columns:, or {column: value}"
