"""A file that a record names: its SHA-256, and whether it is a picture.

Only in the record's own folder or below, of bounded size, never a device.

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
_STARTS = (
    b"\xff\xd8\xff",  # JPEG: ITU-T T.81, annex B
    b"\x89PNG\r\n\x1a\n",  # ISO/IEC 15948, 5.2
    b"II", b"MM",  # TIFF 6.0, section 2, and what cameras write raw after its manner
    b"GIF8", b"BM", b"%PDF-",
)  # fmt: skip
"""How pictures, and scanned sheets, start; standards from memory."""


class Hashed(NamedTuple):
    """The SHA-256 of a file in small letters; "" where it was not read, and why not; the bytes read; if a picture's."""

    sha256: str
    why_not: str = ""
    size: int = 0
    is_picture: bool = False


def is_plain_path(name: str) -> bool:
    """Return whether a name is that of a file in a folder or below it, on every system.

    >>> [is_plain_path(name) for name in ("a.jpg", "photos/a.jpg", "../a.jpg", "/a.jpg", "C:a.jpg", "b/../../a.jpg")]
    [True, True, False, False, False, False]
    """
    path = PurePosixPath(name)
    odd = any(sign in name for sign in "\\:\0") or not name.isprintable()
    return bool(name) and not odd and not path.is_absolute() and ".." not in path.parts and path.name != ""


def starts_a_picture(start: bytes) -> bool:
    """Return whether bytes are the first of a picture as cameras, telephones and scanners write them.

    >>> [starts_a_picture(one) for one in (b"\\xff\\xd8\\xff", b"RIFF....WEBP", b"....ftypheic", b"", b"layout: a")]
    [True, True, True, False, False]
    """
    is_webp, is_heif = start[:4] == b"RIFF" and start[8:12] == b"WEBP", start[4:8] == b"ftyp"
    return start.startswith(_STARTS) or is_webp or is_heif


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
        digest, read, start = hashlib.sha256(), 0, b""
        while chunk := os.read(handle, _CHUNK):
            read += len(chunk)
            if read > most:
                return Hashed("", f"is larger than {most // 2**20} MB", read)
            start = start or chunk[:12]
            digest.update(chunk)
    finally:
        os.close(handle)
    return Hashed(digest.hexdigest(), "", read, starts_a_picture(start))
