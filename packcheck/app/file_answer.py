"""What became of one file of a run: judged, not readable, given up, or a fault of packcheck."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from packcheck.app.exits import DEFECT, UNREAD, defect_report
from packcheck.files.frozen import dataclass
from packcheck.files.problems import InputProblems, Problem
from packcheck.judging.check import Judged
from packcheck.judging.report import Report, exit_code
from packcheck.render.terminal import verdict_words

PATIENCE_S = 60.0
"""Processor time [s] after which one of several files is given up; 10,000 modules take a tenth of it."""


@dataclass(frozen=True)
class Answer:
    """What became of one file: exactly one of ``judged``, ``problems`` and ``defect`` is there."""

    file: str
    judged: Judged | None = None
    problems: tuple[Problem, ...] = ()
    defect: str = ""

    @property
    def report(self) -> Report | None:
        """Return the answer to a file that was judged."""
        return self.judged.report if self.judged else None

    @property
    def code(self) -> int:
        """Return the exit code of this file alone."""
        if self.report is not None:
            return exit_code(self.report.judgement)
        return UNREAD if self.problems else DEFECT

    @property
    def files(self) -> tuple[str, ...]:
        """Return the files that were read for it."""
        if self.report is not None:
            return (self.file, *(source.file for source in self.report.sources))
        return (self.file, *dict.fromkeys(problem.file for problem in self.problems))

    @property
    def words(self) -> str:
        """Return the answer in one line."""
        if self.report is not None:
            return verdict_words(self.report)
        return "NOT JUDGED: it cannot be read" if self.problems else "NOT JUDGED: a fault of packcheck itself"


class _GivenUpError(BaseException):
    """A file took longer than anybody waits; no handler of ordinary errors may swallow it."""


def answer_of(file: str, check: Callable[[str], Judged], patience_s: float = 0.0) -> Answer:
    """Return what became of one file; whatever it raises is its own answer, so that the others are judged.

    Parameters
    ----------
    file : the file.
    check : judges it.
    patience_s : the processor time [s] after which it is given up; 0 waits for ever.
    """
    try:
        with _given_up_after(patience_s):
            return Answer(file, judged=check(file))
    except InputProblems as wrong:
        return Answer(file, problems=wrong.problems)
    except _GivenUpError:
        return Answer(file, defect=f"given up after {patience_s:g} s of processor time; check this file by itself")
    except Exception as fault:
        return Answer(file, defect=defect_report(fault))


@contextmanager
def _given_up_after(seconds: float) -> Iterator[None]:
    """Raise after so much processor time [s], where the system has a timer for it and this is the main thread."""
    is_main = threading.current_thread() is threading.main_thread()
    if not seconds or not is_main or not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGPROF, _give_up)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def _give_up(*_: object) -> None:
    raise _GivenUpError
