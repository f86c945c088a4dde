"""What the page sends -> entries of the record, every part of it checked for its kind; nothing else is let through."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from packcheck.files import clock
from packcheck.files.document import Editable
from packcheck.model.record.entering import Told, append, describe, enter, enter_again, state
from packcheck.model.record.sheets import SHEETS

DESCRIBED = ("people", "instruments")
LISTED = ("work", "notes")
LONGEST = 500
"""Most characters of one text that is told."""


class NotAnEntry(ValueError):
    """Something that no page of ours sends."""


@dataclass(frozen=True)
class Entry(Told):
    """One entry: what is told, and for a second look why, and what was put in new before it."""

    why: str = ""
    replaced: str = ""


def entries_of(data: Mapping[str, Any]) -> list[Entry]:
    """Return the entries that a page sent: one for each subject.

    Raises
    ------
    NotAnEntry : it is none.
    """
    section = _text(data, "section")
    if section not in (*SHEETS, *DESCRIBED, *LISTED, "extra"):
        raise NotAnEntry(f"there is no {section!r} in a record")
    cells = data.get("cells", {})
    if not isinstance(cells, Mapping) or not cells or len(cells) > 20:
        raise NotAnEntry("an entry tells something")
    told = {_plain(key): _value(value) for key, value in cells.items()}
    subjects = data.get("subjects")
    if not isinstance(subjects, list) or not 1 <= len(subjects) <= 1000:
        raise NotAnEntry("an entry is about something")
    when = _text(data, "at") or f"{clock.now():%Y-%m-%d %H:%M}"
    rest = {key: _text(data, key) for key in ("by", "instrument", "state", "why", "replaced")}
    return [Entry(section, _plain(subject), told, when, **rest) for subject in subjects]


def put_entries(record: Editable, entries: Iterable[Entry]) -> Editable:
    """Return the record with the entries in it.

    Raises
    ------
    ToldAlready, CannotEdit : as ``enter``; none of them is put in then.
    """
    for entry in entries:
        record = _put(record, entry)
    return record


def _put(record: Editable, entry: Entry) -> Editable:
    cells = dict(entry.cells)
    if entry.section == "extra":
        return state(record, "extra", str(cells.get("extra", "")))
    if entry.section == "people":
        return describe(record, "people", entry.subject, str(cells.get("did", "")))
    if entry.section == "instruments":
        return describe(record, "instruments", entry.subject, cells)
    if entry.section == "notes":
        return append(record, "notes", str(cells.get("note", "")))
    if entry.section == "work":
        return append(record, "work", {"at": entry.at, "by": entry.by, **cells})
    if entry.section == "joints" and "recheck" in cells:
        cells["recheck at"] = entry.at
    subject = str(cells.pop("name", "")) if entry.section == "tools" and not entry.subject else entry.subject
    told = replace(entry, subject=subject, cells=cells)
    return enter_again(record, told, entry.why, entry.replaced) if entry.why else enter(record, told)


def _value(value: Any) -> Any:
    if isinstance(value, list) and 1 <= len(value) <= 200:
        return [_plain(item) for item in value]
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    return _plain(value)


def _text(data: Mapping[str, Any], key: str) -> str:
    return _plain(data[key]) if key in data else ""


def _plain(value: Any) -> str:
    """Return a text of one line that people can read."""
    if not isinstance(value, str) or len(value) > LONGEST:
        raise NotAnEntry("a text of at most 500 characters is told")
    return " ".join("".join(sign if sign.isprintable() else " " for sign in value).split())
