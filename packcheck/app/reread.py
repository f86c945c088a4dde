"""The command ``packcheck reread``: which readings of a record are taken again, drawn at random."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.arguments import deliver, open_record, read_for
from packcheck.app.exits import FINE, look_of
from packcheck.app.options import Force, Layout, Output
from packcheck.files.problems import WrongUsage

HIGHEST = 999_999


def reread(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="A record.")],
    number: Annotated[int, typer.Option(metavar="NUMBER", help="Draws the same again; else one is drawn.")] = 0,
    count: Annotated[int, typer.Option(metavar="COUNT", help="How many of each kind.")] = 5,
    wrong: Annotated[int, typer.Option(metavar="COUNT", help="Tell the chance for so many wrong ones.")] = 0,
    chance: Annotated[float, typer.Option(metavar="SHARE", help="Draw as many as this chance needs: 0.95.")] = 0.0,
    layout: Layout = None,
    output: Output = None,
    force: Force = False,
) -> int:
    """Draw joints, modules and readings at random, to be read again, and say how likely that finds a wrong one.

    \b
    Example:
      packcheck reread layouts/skerry-24/clean-sk-0417.yaml --number 4711 --wrong 5 --chance 0.95
    """
    if count < 1 or wrong < 0 or not 0 <= chance <= 1 or not 0 <= number <= HIGHEST:
        raise WrongUsage(f"--count from 1, --wrong from 0, --chance from 0 to 1, --number from 0 to {HIGHEST}")
    from packcheck.judging.rereading import drawn_from
    from packcheck.render.rereading import render_rereading

    opened, build = open_record(record, layout, "a record, whose readings are drawn from")
    number = number or 1 + secrets.randbelow(HIGHEST)
    drawn = drawn_from(build, number, count=count, wrong=wrong or None, chance=chance or None)
    text = render_rereading(drawn, of=build.file, number=number, width=look_of(output)[0])
    deliver(text, output, read_for(opened), force=force)
    return FINE
