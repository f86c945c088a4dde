"""The command ``packcheck next``: the next stage of the work alone, with places and torques."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.arguments import deliver, gate_named, open_record, read_for, rules_and_profile
from packcheck.app.draw import drawing_of
from packcheck.app.exits import colours, say, width_of
from packcheck.app.options import Force, Layout, ShopProfile


def next_stage(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The record of a build under way.")],
    gate: Annotated[str, typer.Option(metavar="GATE", help="Up to which gate: 'fit bars' to 'release'.")] = "release",
    profile: ShopProfile = None,
    layout: Layout = None,
    drawing: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also draw the pack as recorded, this stage highlighted (SVG).")
    ] = None,
    force: Force = False,
) -> int:
    """Print what to record next: one stage of the work, with torques and places.

    \b
    Exit codes are those of `check` up to the gate; none is permission to energize.

    \b
    Example:
      packcheck next layouts/plover-16/pl-0061-bench-1.yaml
    """
    wanted = gate_named(gate)
    from packcheck.judging.check import check_opened
    from packcheck.judging.report import exit_code
    from packcheck.model.record.work_done import stage_in_hand
    from packcheck.render.next_stage import render_next

    rules, shop = rules_and_profile(None, profile)
    opened, build = open_record(record, layout, "the record of a build of it")
    report = check_opened(opened, rules, wanted, shop)
    if drawing:
        text = drawing_of(opened, report, rules, stage_in_hand(opened.pack, build))
        deliver(text, drawing, read_for(opened, rules, shop), force=force)
    say(render_next(report, width=width_of(sys.stdout), colour=colours(sys.stdout)))
    return exit_code(report.judgement)
