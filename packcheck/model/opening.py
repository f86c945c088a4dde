"""A file, or its bytes -> the pack it draws, or the build it records together with its layout."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from packcheck.files.document import Document, parse_document, read_bytes, shown_name
from packcheck.files.frozen import dataclass
from packcheck.files.problems import InputProblems, Problem, WrongUsage, nearest_name
from packcheck.files.tables import is_table
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.record.from_document import read_record
from packcheck.model.record.model import Record
from packcheck.model.record.taken_tests import look_for_photos

_OTHERS = {
    "rule": "a rule, which `packcheck rules test FOLDER` tests",
    "profile": "a shop profile, which goes after --profile",
}
_NAME_OF_LAYOUT = "the file name of the layout this pack was built to"


class Text(NamedTuple):
    """The bytes of a layout, and what they are called in messages."""

    content: bytes
    name: str


@dataclass(frozen=True)
class Opened:
    """What a file held: the pack, the record if it is one, and the SHA-256 of every file read, by role and name.

    ``root`` is the file as data.
    """

    file: str
    pack: Pack
    record: Record | None
    hashes: tuple[tuple[str, str, str], ...]
    root: Mapping[str, Any] = field(default_factory=dict)


def open_file(path: Path, layout: Path | None = None, *, photos: bool = True) -> Opened:
    """Read a layout, or a record and its layout.

    Parameters
    ----------
    path : the file; ``-`` is standard input.
    layout : the layout of a record, where it is not the one the record names, in its own folder or below.
    photos : the photos that the record names are looked for, and hashed.

    Raises
    ------
    InputProblems : the file is neither, or one of the two files has mistakes.
    """
    document = _document_of(read_bytes(path), shown_name(path))
    opened = _opened(document, layout is not None, lambda: _text_of(layout or _layout_path(document, path)))
    return _with_photos(opened, path.parent) if photos else opened


def open_bytes(content: bytes, name: str, layout: Text | None = None) -> Opened:
    """Read a layout, or a record and its layout, from their bytes; no file is looked at.

    Parameters
    ----------
    content : the bytes, of which the hash is given.
    name : what they are called in messages.
    layout : the layout of a record.

    Raises
    ------
    InputProblems : the bytes are neither, a record comes without its layout, or one of the two has mistakes.
    """
    document = _document_of(content, name)
    return _opened(document, layout is not None, lambda: layout or _without_layout(document))


def open_layout(layout: Text) -> Pack:
    """Return what the bytes of a layout draw.

    Raises
    ------
    InputProblems : they are neither a layout nor a record, or have mistakes.
    WrongUsage : they are a record.
    """
    document = _document_of(*layout)
    if _is_record(document):
        raise WrongUsage(f"{document.file} is a record; name the layout that its pack is built to")
    return read_pack(document)


def open_document(document: Document, layout: Text, folder: Path | None = None) -> Opened:
    """Read a record that is a document already, with the bytes of its layout.

    Parameters
    ----------
    document, layout : the two.
    folder : where the photos lie that it names; no file is looked at where it is left out.

    Raises
    ------
    InputProblems : it is no record of that layout, or has mistakes.
    """
    opened = _opened(document, True, lambda: layout)
    return _with_photos(opened, folder) if folder else opened


def _with_photos(opened: Opened, folder: Path) -> Opened:
    """Return what was opened with the hashes of the photos that its record names."""
    record = opened.record
    return opened if record is None else replace(opened, record=look_for_photos(record, folder))


def _opened(document: Document, is_named: bool, layout_of: Callable[[], Text]) -> Opened:
    """Return what a document and, for a record, the layout beside it hold; ``is_named``: someone named a layout."""
    if not _is_record(document):
        if is_named:
            raise InputProblems([_no_record(document)])
        return Opened(document.file, read_pack(document), None, (("layout", document.file, document.sha256),),
                      document.root)  # fmt: skip
    layout = layout_of()
    pack, sha256 = _read_layout(layout)
    if pack is None:
        found = layout.name if is_named else document.root["layout"]
        raise _no_layout(document, f"'{found}', which is no layout", _NAME_OF_LAYOUT,
                         "name the file that begins with layout: 1")  # fmt: skip
    record = read_record(document, pack)
    hashes = (("layout", pack.file, sha256), ("record", document.file, document.sha256))
    return Opened(document.file, pack, record, hashes, document.root)


def _document_of(content: bytes, name: str) -> Document:
    """Return what a file holds: YAML, or a record that was filled in as a table."""
    if not is_table(content, name):
        return parse_document(content, name)
    from packcheck.model.record.from_cells import document_of_table

    return document_of_table(content, name)


def _text_of(path: Path) -> Text:
    return Text(read_bytes(path), shown_name(path))


@lru_cache(maxsize=4)
def _read_layout(text: Text) -> tuple[Pack | None, str]:
    """Return the pack that a text draws, None when it is no layout, and its SHA-256; the same bytes are read once."""
    layout = parse_document(*text)
    drawn = "layout" in layout.root and not _is_record(layout)
    return read_pack(layout) if drawn else None, layout.sha256


def _no_record(document: Document) -> Problem:
    return document.problem(
        ("layout",), key=True, found="a layout, and another layout named beside it", needed="a record with its layout",
        do="leave out --layout, or name the record",
    )  # fmt: skip


def _without_layout(document: Document) -> Text:
    raise _no_layout(document, "a record without its layout", "the layout that this pack was built to",
                     "send the layout with it")  # fmt: skip


def _no_layout(
    document: Document, found: str, needed: str, do: str, why: str = "a record can only be judged against its layout"
) -> InputProblems:
    """Return that a record comes without the layout that it needs."""
    return InputProblems([document.problem(("layout",), found=found, needed=needed, why=why, do=do)])


def _is_record(document: Document) -> bool:
    """Return whether the document says it is a record; refuse it when it is no layout either."""
    root = document.root
    if "record" in root:
        return True
    if "layout" in root:
        return False
    for kind, words in _OTHERS.items():
        if kind in root:
            needed, do = "a layout or a record", "name a layout or a record to check"
            raise InputProblems([document.problem((kind,), key=True, found=words, needed=needed, do=do)])
    first = next(iter(root), "")
    near = next((kind for name in root for kind in [nearest_name(name, ("layout", "record"))] if kind), None)
    raise InputProblems(
        [
            document.problem(
                (first,) if first else (),
                key=True,
                found="a file that does not say what it is",
                needed="`layout: 1` or `record: 1` on a line of its own",
                do=f"did you mean '{near}'?" if near else "write it as the first line",
            )
        ]
    )


def _layout_path(document: Document, path: Path) -> Path:
    """Return where the layout that a record names lies; it is looked for beside the record."""
    name = document.root.get("layout")
    if not isinstance(name, str) or not name:
        found = "no name of a layout file" if name is None else f"'{name}'"
        needed = f"{_NAME_OF_LAYOUT}, as in `layout: skerry-24.yaml`"
        raise _no_layout(document, found, needed, "write its name, with .yaml at the end")
    layout = path.parent / name
    if not _lies_within(layout, path.parent):
        found = f"'{name}', which lies outside this record's folder"
        needed = "a layout in the record's own folder or below"
        why = "a record sent by somebody else must not choose which of your files is read"
        raise _no_layout(document, found, needed, "put the layout beside the record, or name it with --layout", why)
    if not _is_file(layout):
        near = nearest_name(name, _beside(path))
        do = f"did you mean '{near}'?" if near else "put the layout into the same folder"
        raise _no_layout(document, f"'{name}', which is not there", "a layout file beside this record", do)
    return layout


def _lies_within(path: Path, folder: Path) -> bool:
    """Return whether a file lies in a folder or below it, wherever links lead."""
    try:
        return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))
    except (OSError, ValueError):  # a name with a zero byte in it, which looking for it will explain
        return True


def _beside(path: Path) -> list[str]:
    """Return the names of the other files beside a record; none where the folder cannot be read."""
    try:
        return sorted(entry.name for entry in path.parent.glob("*.yaml") if entry != path)
    except OSError:
        return []


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name too long for the file system, or with a zero byte in it
        return False
