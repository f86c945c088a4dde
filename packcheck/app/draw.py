"""The command ``packcheck draw``: a layout, or a record as judged, as one SVG drawing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck.app.arguments import deliver, gate_named, read_for, rules_and_profile
from packcheck.app.exits import printable, say
from packcheck.app.options import Force, Layout, Output, RulesFolder, ShopProfile, UpToGate
from packcheck.files.problems import WrongUsage

NARROWEST, USUAL, BROADEST = 320, 1250, 10_000
"""Widths of a sheet that can be asked for [px]."""

if TYPE_CHECKING:
    from packcheck.judging.report import Report
    from packcheck.model.opening import Opened
    from packcheck.model.pack.order import Stage
    from packcheck.rules.rule import Rule


def draw(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A layout or a record; - is standard input.")],
    output: Output = None,
    gate: UpToGate = "plug in",
    step: Annotated[
        str, typer.Option(metavar="NUMBER", help="Step of the layout's order to highlight; of a record, the next one.")
    ] = "",
    width: Annotated[int, typer.Option(metavar="PIXELS", help="Width of the sheet; 390 suits a phone.")] = USUAL,
    profile: ShopProfile = None,
    rules: RulesFolder = None,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Draw a layout, or a record as judged: each face to scale, the current path, findings where they are.

    \b
    Exit codes are those of check, for the same file and gate.

    \b
    Example:
      packcheck draw layouts/skerry-24/skerry-24.yaml --output skerry-24.svg
    """
    wanted = gate_named(gate)
    if not NARROWEST <= width <= BROADEST:
        raise WrongUsage(f"--width: found {width}, needed {NARROWEST} to {BROADEST} pixels")
    from packcheck.judging.check import check_opened
    from packcheck.judging.report import exit_code
    from packcheck.model.opening import open_file

    held_to, shop = rules_and_profile(rules, profile)
    opened = open_file(file, layout)
    stage = _stage(opened, step)
    report = check_opened(opened, held_to, wanted, shop)
    text = drawing_of(opened, report, held_to, stage, asked=bool(step), width=width)
    deliver(text, output, read_for(opened, held_to, shop), force=force)
    if output:
        say(f"{printable(str(output))}: drawing of {printable(report.about.pack_id or opened.pack.name)}\n")
    return exit_code(report.judgement)


def drawing_of(
    opened: Opened, report: Report, rules: Sequence[Rule], stage: Stage | None, *, asked: bool = False,
    width: int = USUAL,
) -> str:  # fmt: skip
    """Return the SVG of a file as judged, a stage of the work highlighted."""
    from packcheck.render.drawing.report import draw_report

    table_of = {rule.name: rule.each for rule in rules}
    return draw_report(opened.pack, opened.record, report, table_of, stage, asked=asked, width=width)


def _stage(opened: Opened, step: str) -> Stage | None:
    """Return the stage to highlight: the one that was asked for, of a record else the one it has come to.

    Raises
    ------
    WrongUsage : the layout's order has no such step.
    """
    from packcheck.model.pack.order import read_order
    from packcheck.model.record.work_done import stage_in_hand

    if not step:
        return stage_in_hand(opened.pack, opened.record) if opened.record else None
    stages = read_order(opened.pack).stages if opened.pack.order else ()
    found = [stage for stage in stages if step in (stage.number, stage.step)]
    if not found:
        known = ", ".join(stage.number for stage in stages) or "none: it states no order"
        raise WrongUsage(f"no step '{step}' in the order of the layout; it has {known}")
    return found[0]._replace(number=step, items=tuple(item for stage in found for item in stage.items))
