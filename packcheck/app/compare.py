"""The command ``packcheck compare``: a record held against an earlier one of the same pack."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, read_besides, rules_and_profile
from packcheck.app.exits import BROKEN, FINE, OPEN, colours, width_of
from packcheck.app.options import Force, Layout, Output, RulesFolder, ShopProfile, from_words
from packcheck.files.problems import WrongUsage
from packcheck.rules.findings import Outcome

if TYPE_CHECKING:
    from packcheck.judging.comparing import Comparison
    from packcheck.model.opening import Opened


def compare(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The later record of a pack.")],
    earlier: Annotated[Path, typer.Argument(metavar="EARLIER", help="An earlier record of the same pack.")],
    format: Annotated[str, typer.Option(autocompletion=from_words("text", "json"), help="text or json.")] = "text",
    everything: Annotated[bool, typer.Option("--all", help="Cut no list short.")] = False,
    profile: ShopProfile = None,
    rules: RulesFolder = None,
    layout: Layout = None,
    output: Output = None,
    force: Force = False,
) -> int:
    """Say what became worse between two records of one pack: charge lost, joints risen, isolation fallen.

    \b
    Exit codes: 0 nothing worse than it may, 1 something is, 3 left open, or nothing was read both times.

    \b
    Example:
      packcheck compare layouts/skerry-24/clean-sk-0417.yaml layouts/skerry-24/clean-sk-0417.yaml
    """
    form = one_of("format", format, ("text", "json"))
    from packcheck.judging.comparing import compare as hold_against

    held_to, shop = rules_and_profile(rules, profile)
    opened, before = _opened(record, layout), _opened(earlier, layout)
    assert opened.record is not None
    assert before.record is not None
    found = hold_against(opened.record, before.record, held_to, shop)
    code = _code(found)
    if form == "json":
        from packcheck.render.comparison import render_comparison_json

        text = render_comparison_json(found, version=__version__, code=code)
    else:
        from packcheck.render.comparison import render_comparison

        inked, width = not output and colours(sys.stdout), 100 if output else width_of(sys.stdout)
        text = render_comparison(found, width=width, colour=inked, everything=everything)
    read = [name for one in (opened, before) for _, name, _ in one.hashes]
    deliver(text, output, [*read, *read_besides(held_to, shop)], force=force)
    return code


def _opened(file: Path, layout: Path | None) -> Opened:
    from packcheck.model.opening import open_file

    opened = open_file(file, layout)
    if opened.record is None:
        raise WrongUsage(f"{file} is a layout; name two records of one pack")
    return opened


def _code(found: Comparison) -> int:
    held = [finding for finding in found.judgement.findings if not finding.waived]
    if any(finding.outcome is Outcome.BROKEN for finding in held):
        return BROKEN
    judged = any(tally.judged for tally in found.judgement.tallies)
    return OPEN if held or not judged else FINE
