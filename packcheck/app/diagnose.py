"""The command ``packcheck diagnose``: what could explain readings that do not fit, and what to measure next."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of
from packcheck.app.exits import BROKEN, FINE, OPEN, colours, width_of
from packcheck.app.options import Force, Layout, Output, from_words
from packcheck.files.problems import WrongUsage


def diagnose(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The record of a build.")],
    format: Annotated[str, typer.Option(autocompletion=from_words("text", "json"), help="text or json.")] = "text",
    everything: Annotated[bool, typer.Option("--all", help="Cut no list short.")] = False,
    layout: Layout = None,
    output: Output = None,
    force: Force = False,
) -> int:
    """Say what could explain readings that do not fit, and the next measurement.

    \b
    Exit codes: 0 the record predicts every reading, 1 it does not, 3 there is no reading. None permits anything.

    \b
    Example:
      packcheck diagnose layouts/skerry-24/clean-sk-0417.yaml
    """
    form = one_of("format", format, ("text", "json"))
    from packcheck.diagnosis.answer import diagnose as explain
    from packcheck.model.opening import open_file

    opened = open_file(record, layout)
    if opened.record is None:
        raise WrongUsage(f"{record} is a layout; name the record of a build of it")
    answer = explain(opened.record)
    code = OPEN if not answer.observed else BROKEN if answer.misfits else FINE
    read = [name for _, name, _ in opened.hashes]
    if form == "json":
        from packcheck.render.diagnosis_json import render_diagnosis_json

        text = render_diagnosis_json(answer, opened.record, version=__version__, code=code)
    else:
        from packcheck.render.diagnosis_text import render_diagnosis

        width = 100 if output else width_of(sys.stdout)
        inked = not output and colours(sys.stdout)
        text = render_diagnosis(answer, opened.record, width=width, colour=inked, everything=everything)
    deliver(text, output, read, force=force)
    return code
