"""The SHA-256 of a file that a record names: only in the record's own folder or below, of bounded size, never a device.

A record that somebody sent must not choose which other files are read, nor keep the program busy.
"""

from __future__ import annotations

import hashlib
import os
import stat
from pathlib import Path, PurePosixPath
from typing import NamedTuple

MOST_BYTES = 64 * 2**20
"""More than a camera makes of one picture; common practice, no source."""
_CHUNK = 2**20


class Hashed(NamedTuple):
    """The SHA-256 of a file in small letters; "" where it was not read, and why not; and how many bytes were read."""

    sha256: str
    why_not: str = ""
    size: int = 0


def is_plain_path(name: str) -> bool:
    """Return whether a name is that of a file in a folder or below it, on every system.

    >>> [is_plain_path(name) for name in ("a.jpg", "photos/a.jpg", "../a.jpg", "/a.jpg", "C:a.jpg", "b/../../a.jpg")]
    [True, True, False, False, False, False]
    """
    path = PurePosixPath(name)
    odd = any(sign in name for sign in "\\:\0") or not name.isprintable()
    return bool(name) and not odd and not path.is_absolute() and ".." not in path.parts and path.name != ""


def hash_beside(folder: Path, name: str, most: int = MOST_BYTES) -> Hashed:
    """Return the hash of a file of a folder or below, wherever links lead; whatever is wrong with it is said.

    Parameters
    ----------
    folder, name : where it is.
    most : bytes of it that are read at the most.
    """
    if not is_plain_path(name):
        return Hashed("", "is no name of a file beside the record")
    try:
        home = os.path.realpath(folder)
        path = os.path.realpath(os.path.join(home, name))
        if not Path(path).is_relative_to(home):
            return Hashed("", "leads out of the record's folder")
        return _hash_of(path, most)
    except FileNotFoundError:
        return Hashed("", "is not there")
    except (OSError, ValueError) as error:
        return Hashed("", f"could not be read: {getattr(error, 'strerror', None) or error}")


def _hash_of(path: str, most: int) -> Hashed:
    """Return the hash of a plain file; a pipe or a device is not waited for, and no link is followed any more."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(path, flags)
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return Hashed("", "is no plain file")
        digest, read = hashlib.sha256(), 0
        while chunk := os.read(handle, _CHUNK):
            read += len(chunk)
            if read > most:
                return Hashed("", f"is larger than {most // 2**20} MB", read)
            digest.update(chunk)
    finally:
        os.close(handle)
    return Hashed(digest.hexdigest(), "", read)
