"""The command ``packcheck exposure``: short-circuit exposure through the work."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, read_for, rules_and_profile
from packcheck.app.exits import look_of, printable, say
from packcheck.app.options import Force, Layout, Output, from_words
from packcheck.files.problems import WrongUsage

if TYPE_CHECKING:
    from packcheck.exposure.answer import Answer
    from packcheck.exposure.exposed import Asked
    from packcheck.model.record.model import Record
    from packcheck.rules.findings import Finding


def exposure(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A layout or a record.")],
    tool: Annotated[
        list[str] | None,
        typer.Option(metavar="LENGTH", help="Length of a tool, e.g. '150 mm' (the usual one); may be given again."),
    ] = None,
    external: Annotated[str, typer.Option(metavar="RESISTANCE", help="What the bridge itself adds.")] = "1 mΩ",
    earthed: Annotated[str, typer.Option(metavar="NODE", help="Reckon with this node joined to earth by a leak.")] = "",
    caps: Annotated[
        str, typer.Option(metavar="WHICH", help="'planned', or 'off': every cap of an open face taken off.")
    ] = "planned",
    proposed: Annotated[
        bool, typer.Option("--proposed", help="Show the proposed order, not the layout's own.")
    ] = False,
    teardown: Annotated[bool, typer.Option("--teardown", help="Take a finished pack apart instead.")] = False,
    format: Annotated[
        str,
        typer.Option(
            metavar="FORMAT",
            autocompletion=from_words("text", "json", "yaml"),
            help="text, json, or yaml: the proposed order, to be pasted.",
        ),
    ] = "text",
    output: Output = None,
    drawings: Annotated[
        Path | None,
        typer.Option("--drawings", metavar="FOLDER", help="Write SVG sheets and step cards to this folder."),
    ] = None,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Show what can be bridged at each step of the work, and the order that keeps it lowest.

    \b
    Exit codes: 0, 1 if the work told by a record broke something, 3 if some of it was not recorded. None permits work.

    \b
    Example:
      packcheck exposure layouts/skerry-24/skerry-24.yaml --tool "150 mm"
    """
    form = one_of("format", format, ("text", "json", "yaml"))
    asked = _asked(tool, external, earthed, one_of("choice of caps", caps, ("planned", "off")))
    from packcheck.exposure.answer import exit_code, work_out
    from packcheck.model.opening import open_file

    opened = open_file(file, layout)
    answer = work_out(opened.pack, opened.record, asked, proposed=proposed, backwards=teardown)
    answer = replace(answer, findings=_findings(opened.record))
    if drawings is not None:
        from packcheck.render.exposure_drawing import write_drawings

        count = write_drawings(answer, drawings, force=force)
        say(f"{printable(str(drawings))}: {count} drawings\n", sys.stderr)
    deliver(_written(answer, form, output), output, read_for(opened), force=force)
    return exit_code(answer)


def _written(answer: Answer, form: str, output: Path | None) -> str:
    if form == "json":
        from packcheck.render.exposure_json import render_exposure_json

        return render_exposure_json(answer, version=__version__)
    if form == "yaml":
        from packcheck.render.exposure_order import render_order

        return render_order(answer)
    from packcheck.render.exposure_text import render_exposure

    width, inked = look_of(output)
    return render_exposure(answer, width=width, colour=inked)


def _findings(record: Record | None) -> tuple[Finding, ...]:
    from packcheck.judging.recorded_work import judge_work

    return judge_work(record, rules_and_profile((), None)[0]) if record else ()


def _asked(tools: list[str] | None, external: str, earthed: str, caps: str) -> Asked:
    from packcheck.exposure.exposed import USUAL_TOOL_MM, Asked
    from packcheck.files.quantities import Dimension

    lengths = tuple(_above_zero("--tool", text, Dimension.LENGTH) for text in tools or ()) or (USUAL_TOOL_MM,)
    return Asked(lengths, _above_zero("--external", external, Dimension.RESISTANCE), earthed, caps == "planned")


def _above_zero(option: str, text: str, dimension: object) -> float:
    from packcheck.files.quantities import Dimension, QuantityProblem, parse_quantity

    assert isinstance(dimension, Dimension)
    try:
        value = float(parse_quantity(text, dimension))
    except QuantityProblem as wrong:
        raise WrongUsage(f"{option}: found {wrong.found}, needed {wrong.needed}") from wrong
    if value <= 0:
        raise WrongUsage(f"{option}: found {text}, needed a value above zero")
    return value
