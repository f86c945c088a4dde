"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from packcheck.files.problems import WrongUsage


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
