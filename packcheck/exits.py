"""How a command ends: what is printed where, and with which exit code."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TextIO

from packcheck.errors import InputProblems, WrongUsage

FINE, BROKEN, USAGE, OPEN, UNREAD, DEFECT, STOPPED = 0, 1, 2, 3, 4, 5, 130
WORST_FIRST = (DEFECT, UNREAD, BROKEN, OPEN, FINE)

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

        say(render_problems(wrong.problems, width=width_of(sys.stderr), colour=colours(sys.stderr)), sys.stderr)
        return UNREAD
    except WrongUsage as wrong:
        say(f"packcheck: {wrong}\n", sys.stderr)
        return USAGE
    except KeyboardInterrupt:
        say("packcheck: stopped; nothing was judged\n", sys.stderr)
        return STOPPED
    except Exception as fault:
        say(f"packcheck: {defect_report(fault)}\n", sys.stderr)
        return DEFECT


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
    message = " ".join(str(fault).split())[:300]
    return (
        f"a fault of packcheck itself, not of the pack: nothing was judged. Please report it with the file that"
        f" shows it. [{type(fault).__name__}: {message}; {where}; packcheck {__version__}]"
    )


def say(text: str, stream: TextIO | None = None) -> None:
    """Write text and flush; a reader that has gone away is no fault, and a poor encoding gets plainer signs."""
    stream = stream or sys.stdout
    try:
        try:
            stream.write(text)
        except UnicodeEncodeError:
            encoding = stream.encoding or "ascii"
            stream.write(text.translate(_PLAIN).encode(encoding, "replace").decode(encoding))
        stream.flush()
    except BrokenPipeError:
        _drop(stream)


def _drop(stream: TextIO) -> None:
    """Point the stream's file at nowhere, so that the interpreter does not complain when it closes it."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def width_of(stream: TextIO) -> int:
    """Return the columns of the terminal behind a stream; 100 when there is none."""
    return shutil.get_terminal_size((100, 24)).columns if stream.isatty() else 100


def colours(stream: TextIO) -> bool:
    """Return whether colour may be used: a terminal, and NO_COLOR not set to anything."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
