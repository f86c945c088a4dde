"""One record under way: what it says now, and what is put into it; every entry is in the file before it is answered."""

from __future__ import annotations

import hashlib
import os
import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from packcheck.app.bench.entries import Entry, put_entries
from packcheck.files.document import CannotEdit, Editable
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem, WrongUsage
from packcheck.files.whole_file import write_whole
from packcheck.judging.check import check_opened
from packcheck.judging.report import Report
from packcheck.model.opening import Opened, Text, open_document, open_layout
from packcheck.model.pack.model import Pack
from packcheck.model.record.entering import ToldAlready, begin
from packcheck.rules.findings import Gate
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule


class Refused(Exception):
    """An entry that was not written; ``kind`` is conflict, told or wrong, the text says what to do."""

    def __init__(self, kind: str, words: str) -> None:
        self.kind, self.words = kind, words
        super().__init__(words)


@dataclass(frozen=True)
class Seen:
    """A record as it stands in the file: what its bytes read as; ``version`` is of the bytes."""

    version: str
    record: Editable
    opened: Opened


MOST_REPORTS = 4
"""How many judgements are kept, the newest ones: pages ask what has become wrong since the one that they show."""


class Desk:
    """The record of one pack on the bench.  Calls may come from several threads.

    One at a time reads or writes the file, and one judges; nobody who tells something waits for a judgement.
    """

    def __init__(self, layout: Text, path: Path, serial: str, rules: Sequence[Rule], profile: Profile | None) -> None:
        self.layout, self.path, self.rules, self.profile = layout, path, rules, profile
        self.table_of = {rule.name: rule.each for rule in rules}
        self.pack: Pack = open_layout(layout)
        self._serial = serial
        self._lock, self._judging = threading.Lock(), threading.Lock()
        self._reports: dict[str, Report] = {}
        self._seen: Seen | None = None
        self._done: dict[str, Seen] = {}
        self.told: list[tuple[str, str]] = []
        """Table and subject of what was told on this page, the last one last."""

    def seen(self) -> Seen:
        """Return the record as it stands in the file now, whoever wrote it.

        Raises
        ------
        InputProblems : it cannot be read.
        """
        with self._lock:
            return self._read()

    def tell(self, version: str, mark: str, entries: Iterable[Entry]) -> tuple[Seen, Seen]:
        """Put entries into the file; return the record before and after, neither of them judged.

        Parameters
        ----------
        version : of the record that whoever tells them has seen.
        mark : of this telling; one that comes a second time, because its answer was lost, is answered and not written.
        entries : what is told; all of them are written, or none.

        Raises
        ------
        Refused : nothing was written.
        InputProblems : the record cannot be read.
        """
        with self._lock:
            before = self._read()
            if mark and mark in self._done:
                return self._done[mark], before
            if version != before.version:
                raise Refused("conflict", CHANGED)
            after = self._written(before, entries)
            if mark:
                self._done = {**dict(list(self._done.items())[-20:]), mark: before}
            return before, after

    def judged(self, seen: Seen) -> Report:
        """Return the judgement of a record at the last gate."""
        with self._judging:
            report = self._reports.get(seen.version)
            if report is None:
                report = check_opened(seen.opened, self.rules, Gate.RELEASE, self.profile)
                self._reports = {**dict(list(self._reports.items())[1 - MOST_REPORTS :]), seen.version: report}
            return report

    def judged_before(self, version: str) -> Report | None:
        """Return the judgement of an earlier version of the record, as far as it is still known."""
        return self._reports.get(version)

    def judged_at(self, gate: Gate) -> Report:
        """Return the judgement of the record at one gate."""
        return check_opened(self.seen().opened, self.rules, gate, self.profile)

    def _written(self, before: Seen, entries: Iterable[Entry]) -> Seen:
        entries = list(entries)
        try:
            record = put_entries(before.record, entries)
            opened = open_document(record.document, self.layout, self.path.parent)
        except ToldAlready as known:
            raise Refused("told", f"{known} is in the record already. To read or look again, say why.") from known
        except CannotEdit as shape:
            raise Refused("wrong", f"This cannot be put into the file from here: {shape}. Write it there.") from shape
        except InputProblems as wrong:
            raise Refused("wrong", "; ".join(_said(problem) for problem in wrong.problems[:2])) from wrong
        write_whole(self.path, record.content)
        self._seen = Seen(version_of(record.content), record, opened)
        self.told = [*self.told[-40:], *((entry.section, entry.subject) for entry in entries[-40:])]
        return self._seen

    def _read(self) -> Seen:
        content = self._content()
        if self._seen is None or version_of(content) != self._seen.version:
            record = Editable.of(content, str(self.path))
            opened = open_document(record.document, self.layout, self.path.parent)
            self._seen = Seen(version_of(content), record, opened)
        return self._seen

    def _content(self) -> bytes:
        try:
            content = self.path.read_bytes()
        except FileNotFoundError:
            content = b""
        except OSError as wrong:
            found = f"a file that cannot be opened: {wrong.strerror}"
            problem = Problem(Origin(str(self.path)), found, "a record", "", "check its rights")
            raise InputProblems([problem]) from wrong
        return content if content.strip() else self._empty()

    def _empty(self) -> bytes:
        pack = self.pack
        return begin(layout_name(self.layout.name, self.path), pack.name, pack.revision, self._serial,
                     hashlib.sha256(self.layout.content).hexdigest())  # fmt: skip


CHANGED = (
    "Not written: the record was changed elsewhere since this page showed it, in another tab or in an editor. "
    "The page now shows it as it is; look, and enter it again if it is still to be entered."
)


def version_of(content: bytes) -> str:
    """Return the version of a record: what its bytes are."""
    return hashlib.sha256(content).hexdigest()[:16]


def layout_name(layout: str, record: Path) -> str:
    """Return how a record names its layout: from its own folder on, by the bare name where it lies elsewhere."""
    folder = Path(os.path.realpath(record.parent))
    real = Path(os.path.realpath(layout))
    return real.relative_to(folder).as_posix() if real.is_relative_to(folder) else real.name


def hold(path: Path, what: str = "bench page") -> int:
    """Keep a file for this bench page, or another writer, as long as the process lives; return its lock.

    Raises
    ------
    WrongUsage : another one has it.
    """
    lock = path.parent / f".{path.name}.bench"
    try:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as wrong:
        raise WrongUsage(f"cannot write to the folder {path.parent}: {wrong.strerror}") from wrong
    try:
        _lock_file(handle)
    except OSError as taken:
        os.close(handle)
        raise WrongUsage(f"another {what} has {path} open; close that one first") from taken
    return handle


def release(path: Path, handle: int) -> None:
    """Give a record back."""
    os.close(handle)
    (path.parent / f".{path.name}.bench").unlink(missing_ok=True)


def _lock_file(handle: int) -> None:
    if os.name == "nt":  # pragma: no cover
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _said(problem: Problem) -> str:
    do = f"; {problem.do}" if problem.do else ""
    return f"found {problem.found}, needed {problem.needed}{do}"
