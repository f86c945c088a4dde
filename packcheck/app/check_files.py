"""``packcheck check`` from its options to its answer: which files, judged where, told how."""

from __future__ import annotations

import glob
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from packcheck.app.arguments import deliver, read_besides
from packcheck.app.exits import look_of, printable, say, worst
from packcheck.app.formats import Form, Told, whole
from packcheck.app.many import HeldTo, Order, is_worth_processes, judge_here, judge_on_all_cores
from packcheck.render.paragraph import Choice
from packcheck.rules.findings import Gate
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

MOST_IN_FULL = 12
"""How many files are told in full below the table; of more, the table stands alone unless all is asked for."""
_PATTERN = frozenset("*?[")
_BAR = 30


def judge_each(
    named: Sequence[str], held_to: tuple[tuple[Rule, ...], Profile | None], gate: Gate, layout: Path | None,
    form: str, choice: Choice, output: Path | None, *, force: bool,
) -> int:  # fmt: skip
    """Judge every file that is named, tell what was found, and return the exit code of the worst."""
    files = [file for name in named for file in files_of(name)]
    width, inked = look_of(output)
    in_full = len(files) <= MOST_IN_FULL or choice.everything
    wanted = Form(form, width, inked, choice, len(files) > 1, in_full)
    order = Order(HeldTo(*held_to), gate, layout, wanted)
    if not wanted.several:
        order = replace(order, patience_s=0.0)
    told = judged(files, order)
    read = [*(file for one in told for file in one.files), *read_besides(*held_to)]
    deliver(whole(told, wanted, held_to[0]), output, read, force=force)
    if output:
        say("".join(f"{printable(one.line.file)}: {one.line.words}\n" for one in told))
    return worst(one.line.code for one in told)


def judged(files: Sequence[str], order: Order) -> list[Told]:
    """Return what is told of each file, judged on all cores where that is sooner, with a bar on a terminal."""
    with _progress(len(files)) as bar:
        if is_worth_processes(files):
            return judge_on_all_cores(files, order, bar.advance)
        return list(judge_here(files, order, bar.advance))


def files_of(name: str) -> list[str]:
    """Return the files that a name means: those of a pattern that no shell has replaced, or the name itself."""
    if not _PATTERN & set(name) or Path(name).exists():
        return [name]
    return sorted(glob.glob(name, recursive=True)) or [name]


class Progress:
    """How many files are judged, as a bar on the terminal that errors go to; silent elsewhere."""

    def __init__(self, total: int, *, is_shown: bool) -> None:
        self._total, self._done, self._is_shown, self._lock = total, 0, is_shown, threading.Lock()

    def advance(self, count: int) -> None:
        """Count files that are judged, and draw the bar anew."""
        with self._lock:
            self._done += count
            if self._is_shown:
                filled = _BAR * self._done // self._total
                drawn = f"\r[{'#' * filled}{'.' * (_BAR - filled)}] {self._done:,} of {self._total:,} files"
                say(drawn, sys.stderr)

    def wipe(self) -> None:
        """Take the bar away, so that what follows begins at the left of its line."""
        if self._is_shown:
            say(f"\r{' ' * (_BAR + 40)}\r", sys.stderr)


@contextmanager
def _progress(files: int) -> Iterator[Progress]:
    """Show a bar while several files are judged in front of somebody."""
    bar = Progress(files, is_shown=files > 1 and sys.stderr is not None and sys.stderr.isatty())
    try:
        yield bar
    finally:
        bar.wipe()
