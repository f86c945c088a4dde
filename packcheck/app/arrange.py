"""The command ``packcheck arrange``: which of the tested modules to fit, which go together, and where."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, open_record, read_for
from packcheck.app.exits import FINE, OPEN, look_of
from packcheck.app.options import Everything, Force, Layout, Output, from_words
from packcheck.files.problems import WrongUsage


def arrange(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="A record with a shelf of tested modules.")],
    load: Annotated[float | None, typer.Option(metavar="AMPERES", help="The load to match modules for.")] = None,
    minutes: Annotated[float, typer.Option("--for", metavar="MINUTES", help="How long it flows.")] = 6.0,
    format: Annotated[
        str,
        typer.Option(
            metavar="FORMAT",
            autocompletion=from_words("text", "yaml", "json"),
            help="text, yaml (the plan alone) or json.",
        ),
    ] = "text",
    choose: Annotated[int | None, typer.Option(metavar="N", help="Take that one of the plans listed.")] = None,
    everything: Everything = False,
    layout: Layout = None,
    output: Output = None,
    force: Force = False,
) -> int:
    """Choose which tested modules to fit, which go together and where, as the plan of the layout.

    \b
    Exit codes: 0 there is a plan, 3 there are too few modules, or too little was measured of them.

    \b
    Example:
      packcheck arrange tests/samples/shelf-34.yaml --layout layouts/skerry-24/skerry-24.yaml
    """
    form = one_of("format", format, ("text", "yaml", "json"))
    if not (load is None or 0 <= load < 1e6) or not 0 < minutes < 1e6:
        raise WrongUsage("a load is 0 A or more, and flows for more than 0 minutes")
    from packcheck.matching.answer import arrange as arranged
    from packcheck.render.arrangement import headline, plan_as_yaml, render_arrangement, render_arrangement_json

    opened, build = open_record(record, layout, "a record with the modules that there are, tested")
    if choose is not None and choose < 1:
        raise WrongUsage(f"--choose takes the number of a plan, from 1; {choose} is none")
    found = arranged(build, load, minutes / 60, choose)
    most = max((len(match.choices.front) for match in found.matches), default=1)
    if choose is not None and found.plan and choose > most:
        raise WrongUsage(f"--choose takes a number from 1 to {most}: so many plans no other one beats")
    code = FINE if found.plan else OPEN
    if form == "yaml" and not found.plan:
        raise WrongUsage(headline(found))
    if form == "json":
        text = render_arrangement_json(found, version=__version__, code=code)
    elif form == "yaml":
        text = plan_as_yaml(found)
    else:
        width, inked = look_of(output)
        text = render_arrangement(found, opened.pack, width=width, colour=inked, everything=everything)
    deliver(text, output, read_for(opened), force=force)
    return code
