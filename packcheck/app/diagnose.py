"""The command ``packcheck diagnose``: what could explain readings that do not fit, and what to measure next."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, open_record, read_for
from packcheck.app.exits import BROKEN, FINE, OPEN, look_of
from packcheck.app.options import Everything, Force, Layout, Output, TextOrJson


def diagnose(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The record of a build.")],
    format: TextOrJson = "text",
    everything: Everything = False,
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

    opened, build = open_record(record, layout, "the record of a build of it")
    answer = explain(build)
    code = OPEN if not answer.observed else BROKEN if answer.misfits else FINE
    if form == "json":
        from packcheck.render.diagnosis_json import render_diagnosis_json

        text = render_diagnosis_json(answer, build, version=__version__, code=code)
    else:
        from packcheck.render.diagnosis_text import render_diagnosis

        width, inked = look_of(output)
        text = render_diagnosis(answer, build, width=width, colour=inked, everything=everything)
    deliver(text, output, read_for(opened), force=force)
    return code
