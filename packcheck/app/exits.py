"""How a command ends: what is printed where, and with which exit code."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TextIO

from packcheck.files.problems import InputProblems, WrongUsage

FINE, BROKEN, USAGE, OPEN, UNREAD, DEFECT, STOPPED = 0, 1, 2, 3, 4, 5, 130
WORST_FIRST = (DEFECT, UNREAD, BROKEN, OPEN, FINE)

_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO})
"""What the system says when something cannot be printed, and no fault of packcheck's is in it."""
_PLAIN = str.maketrans({
    "−": "-", "·": ".", "Ω": "ohm", "µ": "u", "μ": "u", "±": "+/-", "…": "...", "²": "2", "°": "deg", "–": "-",
    "×": "x", "≤": "<=", "≥": ">=", "√": "sqrt", "“": '"', "”": '"', "’": "'",
})  # fmt: skip


def worst(codes: Iterable[int]) -> int:
    """Return the worst exit code of several files, in the order 5, 4, 1, 3, 0.

    Examples
    --------
    >>> worst([0, 3, 1]), worst([1, 4]), worst([])
    (1, 4, 0)
    """
    return min(codes, key=WORST_FIRST.index, default=FINE)


def end_well(command: Callable[[], int]) -> int:
    """Run a command and return its exit code; whatever it raises becomes a message and a code, never a traceback."""
    try:
        return command()
    except InputProblems as wrong:
        from packcheck.render.problems import render_problems

        _complain(render_problems(wrong.problems, width=width_of(sys.stderr), colour=colours(sys.stderr)))
        return UNREAD
    except WrongUsage as wrong:
        _complain(f"packcheck: {printable(str(wrong))}\n")
        return USAGE
    except KeyboardInterrupt:
        _complain("packcheck: stopped; nothing was judged\n")
        return STOPPED
    except OSError as wrong:
        if wrong.errno not in _NO_ROOM:
            _complain(f"packcheck: {defect_report(wrong)}\n")
            return DEFECT
        _drop(sys.stdout)
        _complain(f"packcheck: cannot print: {wrong.strerror}\n")
        return USAGE
    except Exception as fault:
        _complain(f"packcheck: {defect_report(fault)}\n")
        return DEFECT


def _complain(text: str) -> None:
    """Say what went wrong where errors go; when that place is full or closed too, the exit code has to say it."""
    with suppress(WrongUsage):
        say(text, sys.stderr)


def printable(text: str, *, lines: bool = False) -> str:
    """Return a text that cannot steer a terminal: control characters spelled out, line ends kept if ``lines``."""
    from packcheck.render.page import printable as spelled

    return "\n".join(map(spelled, text.split("\n"))) if lines else spelled(text)


def defect_report(fault: BaseException) -> str:
    """Return what to send to the maintainers about a fault of packcheck's own: what, and where in the code."""
    from packcheck import __version__

    where = "outside packcheck"
    trace = fault.__traceback__
    while trace is not None:
        code = trace.tb_frame.f_code
        if "packcheck" in Path(code.co_filename).parts:
            where = f"{Path(code.co_filename).name} line {trace.tb_lineno}, in {code.co_name}"
        trace = trace.tb_next
    message = printable(" ".join(str(fault).split()))[:300]
    return (
        f"a fault of packcheck itself, not of the pack: nothing was judged. Please report it with the file that"
        f" shows it. [{type(fault).__name__}: {message}; {where}; packcheck {__version__}]"
    )


def say(text: str, stream: TextIO | None = None) -> None:
    """Write text and flush; a reader that has gone away is no fault, and a poor encoding gets plainer signs.

    Raises
    ------
    WrongUsage : it cannot be written: the disk is full, or there is nowhere to write to.
    """
    stream = stream or sys.stdout
    if stream is None:
        raise WrongUsage("there is nowhere to print to: the output is closed")
    try:
        try:
            stream.write(text)
        except UnicodeEncodeError:
            encoding = stream.encoding or "ascii"
            stream.write(text.translate(_PLAIN).encode(encoding, "replace").decode(encoding))
        stream.flush()
    except BrokenPipeError:
        _drop(stream)
    except OSError as error:
        _drop(stream)
        raise WrongUsage(f"cannot print the answer: {error.strerror}") from error


def _drop(stream: TextIO) -> None:
    """Point the stream's file at nowhere, so that the interpreter does not complain when it closes it."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def width_of(stream: TextIO | None) -> int:
    """Return the columns to write for: what COLUMNS says, else those of the terminal in front of us, else 80.

    In a pipe the terminal is the one that errors or the keyboard belong to.
    """
    asked = os.environ.get("COLUMNS", "")
    if asked.isascii() and asked.isdecimal() and int(asked) > 0:
        return int(asked)
    for one in (stream, sys.stderr, sys.stdin):
        with suppress(AttributeError, OSError, ValueError):
            if one is not None and one.isatty() and (columns := os.get_terminal_size(one.fileno()).columns) > 0:
                return columns
    from packcheck.render.page import USUAL_WIDTH

    return USUAL_WIDTH


def look_of(output: Path | None) -> tuple[int, bool]:
    """Return the columns that an answer is written for and whether in colour: to a file, or where None to people."""
    return (100, False) if output else (width_of(sys.stdout), colours(sys.stdout))


def colours(stream: TextIO | None) -> bool:
    """Return whether colour may be used: a terminal, and NO_COLOR not set to anything."""
    return (
        stream is not None and stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    )
