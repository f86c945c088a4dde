"""Write a file whole or not at all, and over none that was read, nor without leave one that is not ours."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path

from packcheck.files.problems import WrongUsage

SQLITE_MARK = int.from_bytes(b"pchk")
"""The application id of an SQLite file that packcheck wrote."""
DRAWING_MARK = "packcheck drawing of "
"""What the first comment of a drawing begins with; the name of the pack follows."""
PAGE_MARK = "packcheck "
"""What the generator of a page is named; the version follows."""
_LAST_LINE = re.compile(rb"\n(?:# )?Written by packcheck [0-9][^\n]*\n\Z")
_SARIF = re.compile(rb'\A\{\s*"\$schema": "[^"]*sarif[^"]*",.*?"driver": \{\s*"name": "packcheck"', re.DOTALL)
_JUNIT = re.compile(rb'\A<\?xml [^>]*>\n<testsuites name="packcheck" ')
_JSON = re.compile(rb'\A\{\s*"(packcheck (report|exposure)"|\$schema":[^\n]*\s*"title": "packcheck )')
_SQLITE = re.compile(rb"\ASQLite format 3\0.{52}" + re.escape(SQLITE_MARK.to_bytes(4)), re.DOTALL)
_DRAWING = re.compile(rb"\A<svg [^>]*><!-- " + DRAWING_MARK.encode() + rb"(.*?) -->", re.DOTALL)
_PAGE = re.compile(
    rb'\A<!DOCTYPE html>\n<html lang="en"><head>.*?<meta name="generator" content="' + PAGE_MARK.encode(), re.DOTALL
)
_ENDS = 4096


def write_whole(path: Path, content: str | bytes) -> None:
    """Write ``content`` to ``path`` so that a reader sees either the old file or the whole new one.

    Raises
    ------
    WrongUsage : the folder does not exist or may not be written to, or ``path`` is a folder.
    """
    payload = content.encode("utf-8", "backslashreplace") if isinstance(content, str) else content
    build_whole(path, lambda draft: draft.write_bytes(payload))


def build_whole(path: Path, build: Callable[[Path], object]) -> None:
    """Let ``build`` write a draft beside ``path``, then put the draft in its place in one step.

    The draft lies in the same folder, so that the last step is a rename; it is gone if anything fails.

    Raises
    ------
    WrongUsage : the folder does not exist or may not be written to, or ``path`` is a folder.
    """
    try:
        path = Path(os.path.realpath(path))
        if path.is_symlink():
            raise WrongUsage(f"{path} is a link that leads to itself; name a file to write to")
        if path.exists() and not path.is_file():
            raise WrongUsage(f"{path} is a folder or a device; name a file to write to")
        handle, name = tempfile.mkstemp(prefix=".packcheck.", suffix=".part", dir=path.parent)
    except (OSError, ValueError) as error:
        raise WrongUsage(f"cannot write to the folder {path.parent}: {getattr(error, 'strerror', error)}") from error
    os.close(handle)
    draft = Path(name)
    try:
        build(draft)
        _give_usual_rights(draft, path)
        _flush(draft)
        draft.replace(path)
    except OSError as error:
        raise WrongUsage(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        draft.unlink(missing_ok=True)


def remove(path: Path) -> None:
    """Take a file away.

    Raises
    ------
    WrongUsage : it cannot be.
    """
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise WrongUsage(f"cannot take away {path}: {error.strerror}") from error


def _give_usual_rights(draft: Path, path: Path) -> None:
    """Give the draft the rights of the file it replaces, or those of any new file."""
    if path.exists():
        draft.chmod(path.stat().st_mode & 0o777)
        return
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)


def _flush(draft: Path) -> None:
    with draft.open("rb+") as stream:
        os.fsync(stream.fileno())


def signed(text: str, version: str) -> str:
    """Return a text for people with the last line that tells who wrote it; of YAML that line is a comment."""
    return f"{text}\n{'# ' if text.startswith('# ') else ''}Written by packcheck {version}\n"


def refuse_replacing(path: Path, read: Iterable[str | Path] = (), *, force: bool = False) -> None:
    """Refuse to write over a file that was read, and without ``force`` over one that packcheck did not write.

    Raises
    ------
    WrongUsage : it would; the message says what to do instead.
    """
    if any(_same(path, other) for other in read):
        raise WrongUsage(f"{path} was read for this answer and is not written over; name another file")
    if not force and not is_ours(path):
        raise WrongUsage(f"{path} is there, and packcheck did not write it; name another file, or add --force")


def is_ours(path: Path) -> bool:
    """Return whether writing to a path loses nothing: nothing is there, an empty file, or one that packcheck wrote."""
    try:
        with path.open("rb") as stream:
            head = stream.read(_ENDS)
            stream.seek(max(0, os.fstat(stream.fileno()).st_size - _ENDS))
            tail = stream.read(_ENDS)
    except (OSError, ValueError):
        return True  # not there, a folder or not to be read: writing will say so
    begins = any(mark.match(head) for mark in (_JSON, _SARIF, _JUNIT, _SQLITE, _DRAWING, _PAGE))
    return not head or begins or bool(_LAST_LINE.search(b"\n" + tail))


def drawn_pack(path: Path) -> str | None:
    """Return the name of the pack that a drawing shows, None for any other file."""
    try:
        with path.open("rb") as stream:
            found = _DRAWING.match(stream.read(_ENDS))
    except OSError:
        return None
    return found[1].decode("utf-8", "replace") if found else None


def _same(path: Path, other: str | Path) -> bool:
    try:
        return os.path.samefile(path, other)
    except (OSError, ValueError):
        return False
