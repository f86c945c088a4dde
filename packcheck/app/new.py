"""The command ``packcheck new``: a first layout from a few answers."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from packcheck.app.exits import FINE, printable, say
from packcheck.app.options import Force, Output
from packcheck.files.problems import WrongUsage

_Answer = TypeVar("_Answer", str, int)


def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the layout, without blanks.")],
    output: Output = None,
    modules: Annotated[int | None, typer.Option(metavar="NUMBER", help="Modules in series in each string.")] = None,
    chemistry: Annotated[
        str | None, typer.Option(metavar="WORD", help="What the cells are made of: NiMH, LFP ...")
    ] = None,
    cells: Annotated[int | None, typer.Option(metavar="NUMBER", help="Cells in series in a module.")] = None,
    parallel: Annotated[int | None, typer.Option(metavar="NUMBER", help="Modules in parallel in each group.")] = None,
    strings: Annotated[int | None, typer.Option(metavar="NUMBER", help="Strings in parallel.")] = None,
    posts: Annotated[str | None, typer.Option(metavar="WHERE", help="'one face' or 'two faces'.")] = None,
    joint: Annotated[str | None, typer.Option(metavar="KIND", help="'stud' with a nut, or 'screw'.")] = None,
    thread: Annotated[str | None, typer.Option(metavar="SIZE", help="Thread of the posts, M4 to M12.")] = None,
    disconnect: Annotated[str | None, typer.Option(metavar="WHERE", help="'middle' of a string, or its 'end'.")] = None,
    fuse: Annotated[int | None, typer.Option(metavar="AMPERES", help="Rated current of the fuse of a string.")] = None,
    force: Force = False,
) -> int:
    """Write a first layout: whole, so that check reads it, with a TODO on every number that is assumed.

    \b
    What is not given as an option is asked on a terminal, and else taken as usual; modules and chemistry never are.

    \b
    Example:
      packcheck new gull-12 --modules 12 --chemistry LFP
    """
    import re

    from packcheck.model.scaffold.text import scaffold_text
    from packcheck.model.scaffold.wanted import Wanted

    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,63}", name):
        raise WrongUsage(f"found '{name}', needed a name of letters, digits, hyphens, dots and underscores")
    given = {"cells": cells, "thread": thread}
    wanted = Wanted(
        name,
        modules=_asked("Modules in series", modules, None, "--modules"),
        chemistry=_asked("Chemistry (NiMH, NMC, LFP, AGM ...)", chemistry, None, "--chemistry"),
        cells=_asked("Cells in series in a module", cells, 1, "--cells"),
        parallel=_asked("Modules in parallel in a group", parallel, 1, "--parallel"),
        strings=_asked("Strings in parallel", strings, 1, "--strings"),
        faces=_asked("Posts on one face or two faces", posts, "two faces", "--posts"),
        joint=_asked("Joints with a stud or a screw", joint, "stud", "--joint"),
        thread=_asked("Thread of the posts", thread, "M6", "--thread"),
        disconnect=_asked("Disconnect in the middle or at the end", disconnect, "middle", "--disconnect"),
        fuse_a=_asked("Fuse of a string, in amperes", fuse, 80, "--fuse"),
        assumed=frozenset(key for key, value in given.items() if value is None and not _someone_there()),
    )
    text = scaffold_text(wanted)
    if output is None:
        say(text)
        return FINE
    _write(output, text, force=force)
    file = printable(str(output))
    assumed = text.count("# TODO ")
    say(f"{file}: {assumed} lines are assumed and marked TODO; `packcheck check {file}` holds until none is\n")
    return FINE


def _asked(question: str, given: _Answer | None, usual: _Answer | None, option: str) -> _Answer:
    """Return what was given, else what is answered on a terminal, else what is usual.

    Raises
    ------
    WrongUsage : nothing was given, nobody can be asked, and nothing is usual.
    """
    if given is not None:
        return given
    if _someone_there():
        is_number = isinstance(usual, int) or option == "--modules"
        read = _read(option.removeprefix("--"), is_number=is_number)
        answer: _Answer = typer.prompt(question, default=usual, value_proc=read, err=True)
        return answer
    if usual is None:
        raise WrongUsage(f"{option} is needed where nobody can be asked")
    return usual


def _read(option: str, *, is_number: bool) -> Callable[[str], str | int]:
    """Return what reads an answer; one that is of no use is refused at once, and asked for again."""
    from packcheck.model.scaffold.wanted import wrong_answer

    def read(answer: str) -> str | int:
        text = str(answer).strip()
        if is_number and not (text.isascii() and text.isdigit()):
            raise typer.BadParameter(f"found '{text}', needed a whole number, without a unit")
        value = int(text) if is_number else text
        if wrong := wrong_answer(option, value):
            raise typer.BadParameter(wrong)
        return value

    return read


def _someone_there() -> bool:
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stderr))


def _write(output: Path, text: str, *, force: bool) -> None:
    """Write a layout, over no other file without leave: an engineer works on from it.

    Raises
    ------
    WrongUsage : something is there.
    """
    from packcheck.files.whole_file import write_whole

    if not force and output.is_file() and output.stat().st_size:
        raise WrongUsage(f"{output} is there; name another file, or add --force")
    write_whole(output, text)
