"""Judge again whenever a file that went into the answer has changed."""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from os.path import basename
from pathlib import Path

from packcheck.app.exits import STOPPED, end_well, printable, say
from packcheck.files.clock import now
from packcheck.files.problems import InputProblems, WrongUsage

PAUSE_S = 0.4
"""How long [s] between two looks at the files; a file is judged once it has stood still for so long."""
MOST_NAMED = 3
"""How many of the files that changed are named."""
_HEAD = 65_536
_TEXTS = (".yaml", ".yml", ".csv")
"""Kinds of file in which a photo can be named only by a word that can be looked for."""
_LAYOUT = re.compile(r"""^layout:[ ]*["']?([^"'#\n]*[^"'#\s])""", re.MULTILINE)
_Stamp = tuple[int, int, int]
_Stamps = dict[str, _Stamp | None]


def keep_judging(
    once: Callable[[], int], files: Sequence[str], beside: Iterable[Path | None], layout: Path | None = None
) -> int:
    """Judge, and again when a file, its layout, a photo it names, a rule or the profile has changed, until stopped.

    Parameters
    ----------
    once : judges, prints, and returns the exit code.
    files : the layouts and records, or patterns of them, which a new file may come to match.
    beside : the rule folders and the profile that were named, as far as they were.
    layout : the layout of all the records, where one was named.

    Raises
    ------
    WrongUsage : standard input is among the files: it never changes.
    """
    from packcheck.app.check_files import files_of
    from packcheck.files.shipped import shipped_folder

    if "-" in files:
        raise WrongUsage("--watch looks at files; standard input is none")
    named = (*(path for path in (*beside, layout) if path is not None), shipped_folder("rules"))

    def paths() -> Iterator[Path]:
        yield from named
        for file in (Path(file) for name in files for file in files_of(name)):
            yield file
            yield from _beside(file, layout)

    return watch(once, paths)


def watch(once: Callable[[], int], paths: Callable[[], Iterable[Path]], *, pause_s: float = PAUSE_S) -> int:
    """Call ``once``, and again whenever one of the paths has changed, until stopped; return what it returned last.

    Parameters
    ----------
    once : returns an exit code; what it raises is told as at the end of a command, and ends nothing.
    paths : files and folders to look at; of a folder all that lies in it.
    pause_s : between two looks [s].
    """
    code = STOPPED
    try:
        while True:
            seen = _stamps(paths())
            code = end_well(once)
            if code == STOPPED:
                return code
            say("watching; Ctrl-C ends it\n", sys.stderr)
            changed = _next_change(paths, seen, pause_s)
            say(f"\n--- {now():%H:%M:%S}: {printable(changed)} changed, judged again\n\n")
    except KeyboardInterrupt:
        say("\nno longer watched; what stands above is the last answer\n", sys.stderr)
        return code


def _next_change(paths: Callable[[], Iterable[Path]], seen: _Stamps, pause_s: float) -> str:
    """Wait until something has changed and stands still again; return the names of what changed."""
    while True:
        time.sleep(pause_s)
        current = _stamps(paths())
        if current == seen:
            continue
        before: _Stamps = {}
        while before != current:
            time.sleep(pause_s)
            before, current = current, _stamps(paths())
        differing = [name for name in {**seen, **current} if seen.get(name) != _stamp(Path(name))]
        if differing:
            return ", ".join(basename(name) for name in differing[:MOST_NAMED])


def _beside(record: Path, layout: Path | None) -> Iterator[Path]:
    """Yield the layout and the photos that a record names beside it."""
    layouts = [*_layout_of(record)]
    yield from layouts
    stamps = tuple(_stamp(path) for path in (record, layout or record, *layouts))
    yield from (photo for photo in _photos_of(record, layout, stamps) if not photo.is_dir())


@lru_cache(maxsize=4096)
def _photos_of(record: Path, layout: Path | None, _stamps: tuple[_Stamp | None, ...]) -> tuple[Path, ...]:
    """Return the photos that a record names, read anew when it or its layout has another stamp."""
    from packcheck.files.document import read_bytes
    from packcheck.model.opening import open_file

    try:
        if record.suffix.lower() in _TEXTS and b"file" not in read_bytes(record):
            return ()
        told = open_file(record, layout, photos=False).record
    except (OSError, ValueError, InputProblems):
        return ()
    tests = told.tests.values() if told else ()
    return tuple(dict.fromkeys(record.parent / one.file for one in tests if one.file))


def _layout_of(record: Path) -> Iterator[Path]:
    """Yield the layout that a record names beside it, if it names one."""
    try:
        with record.open(encoding="utf-8", errors="replace") as file:
            found = _LAYOUT.search(file.read(_HEAD))
    except (OSError, ValueError):
        return
    if found:
        yield record.parent / found[1]


def _stamps(paths: Iterable[Path]) -> _Stamps:
    """Return time, size and number of each file, those in folders too; None for one that is not there."""
    return {str(file): _stamp(file) for path in paths for file in _files(path)}


def _files(path: Path) -> Iterator[Path]:
    try:
        yield from sorted(path.rglob("*.yaml")) if path.is_dir() else (path,)
    except (OSError, ValueError):
        yield path


def _stamp(path: Path) -> _Stamp | None:
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
