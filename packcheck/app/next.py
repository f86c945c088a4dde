"""The command ``packcheck next``: the next stage of the work alone, with places and torques."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.arguments import LAYOUT_HELP, gate_named, rules_and_profile
from packcheck.app.exits import colours, say, width_of
from packcheck.files.problems import WrongUsage


def next_stage(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The record of a build under way.")],
    gate: Annotated[str, typer.Option(help="Up to which gate: 'fit bars' to 'release'.")] = "release",
    profile: Annotated[Path | None, typer.Option(metavar="FILE", help="Shop profile: adopted limits, waivers.")] = None,
    layout: Annotated[Path | None, typer.Option("--layout", metavar="FILE", help=LAYOUT_HELP)] = None,
) -> int:
    """Print what to record next: one stage of the work, with torques and places.

    \b
    Exit codes are those of `check` up to the gate; none is permission to energize.

    \b
    Example:
      packcheck next layouts/tern-96/tn-0012-before-the-bars.yaml
    """
    wanted = gate_named(gate)
    from packcheck.judging.check import check_file
    from packcheck.judging.report import exit_code
    from packcheck.render.next_stage import render_next

    rules, shop = rules_and_profile(None, profile)
    report = check_file(record, rules=rules, gate=wanted, profile=shop, layout=layout)
    if report.about.kind == "layout":
        raise WrongUsage(f"{record} is a layout; name the record of a build of it")
    say(render_next(report, width=width_of(sys.stdout), colour=colours(sys.stdout)))
    return exit_code(report.judgement)
