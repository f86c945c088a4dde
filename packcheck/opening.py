"""A file on disk -> the pack it draws, or the build it records together with the layout it names."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from packcheck.document import Document, read_document
from packcheck.errors import InputProblems, nearest_name
from packcheck.pack.model import Pack
from packcheck.pack.reading import read_pack
from packcheck.record.model import Record
from packcheck.record.reading import read_record

_OTHERS = {
    "rule": "a rule, which `packcheck rules test FOLDER` tests",
    "profile": "a shop profile, which goes after --profile",
}


@dataclass(frozen=True)
class Opened:
    """What a file held: the pack, the record if it is one, and the SHA-256 of every file read, by role and name."""

    file: str
    pack: Pack
    record: Record | None
    hashes: tuple[tuple[str, str, str], ...]


def open_file(path: Path) -> Opened:
    """Read a layout, or a record and the layout beside it.

    Raises
    ------
    InputProblems : the file is neither, or one of the two files has mistakes.
    """
    document = read_document(path)
    if not _is_record(document):
        return Opened(document.file, read_pack(document), None, (("layout", document.file, _sha256(path)),))
    layout_path = _layout_path(document, path)
    pack = _read_layout(layout_path, _stamp(layout_path))
    if pack is None:
        raise InputProblems([
            document.problem(
                ("layout",), found=f"'{document.root['layout']}', which is no layout",
                needed="the file name of the layout this pack was built to",
                why="a record can only be judged against its layout",
                do="name the file that begins with layout: 1",
            )
        ])  # fmt: skip
    record = read_record(document, pack)
    hashes = (("layout", pack.file, _sha256(layout_path)), ("record", document.file, _sha256(path)))
    return Opened(document.file, pack, record, hashes)


@lru_cache(maxsize=4)
def _read_layout(path: Path, stamp: tuple[int, int]) -> Pack | None:
    """Return the pack that a file draws, None when it is no layout; read again only when the file has changed."""
    del stamp
    layout = read_document(path)
    return read_pack(layout) if "layout" in layout.root and not _is_record(layout) else None


def _stamp(path: Path) -> tuple[int, int]:
    """Return when a file was last written and its size; zeros when it cannot be asked, which reading will explain."""
    try:
        state = path.stat()
    except (OSError, ValueError):
        return 0, 0
    return state.st_mtime_ns, state.st_size


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
        raise InputProblems(
            [
                document.problem(
                    ("layout",),
                    found="no name of a layout file" if name is None else f"'{name}'",
                    needed="the file name of the layout this pack was built to, as in `layout: skerry-24.yaml`",
                    why="a record can only be judged against its layout",
                    do="write its name, with .yaml at the end",
                )
            ]
        )
    layout = path.parent / name
    if not _is_file(layout):
        beside = sorted(entry.name for entry in path.parent.glob("*.yaml") if entry != path)
        near = nearest_name(name, beside)
        raise InputProblems(
            [
                document.problem(
                    ("layout",),
                    found=f"'{name}', which is not there",
                    needed="a layout file beside this record",
                    why="a record can only be judged against its layout",
                    do=f"did you mean '{near}'?" if near else "put the layout into the same folder",
                )
            ]
        )
    return layout


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name too long for the file system, or with a zero byte in it
        return False


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
