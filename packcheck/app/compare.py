"""The command ``packcheck compare``: a record held against an earlier one of the same pack."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, open_record, read_for, rules_and_profile
from packcheck.app.exits import BROKEN, FINE, OPEN, look_of
from packcheck.app.options import Everything, Force, Layout, Output, RulesFolder, ShopProfile, TextOrJson
from packcheck.rules.findings import Outcome

if TYPE_CHECKING:
    from packcheck.judging.comparing import Comparison


def compare(
    record: Annotated[Path, typer.Argument(metavar="RECORD", help="The later record of a pack.")],
    earlier: Annotated[Path, typer.Argument(metavar="EARLIER", help="An earlier record of the same pack.")],
    format: TextOrJson = "text",
    everything: Everything = False,
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
    (opened, now), (older, before) = (
        open_record(file, layout, "two records of one pack") for file in (record, earlier)
    )
    found = hold_against(now, before, held_to, shop)
    code = _code(found)
    if form == "json":
        from packcheck.render.comparison import render_comparison_json

        text = render_comparison_json(found, version=__version__, code=code)
    else:
        from packcheck.render.comparison import render_comparison

        width, inked = look_of(output)
        text = render_comparison(found, width=width, colour=inked, everything=everything)
    deliver(text, output, [*read_for(opened, held_to, shop), *read_for(older)], force=force)
    return code


def _code(found: Comparison) -> int:
    held = [finding for finding in found.judgement.findings if not finding.waived]
    if any(finding.outcome is Outcome.BROKEN for finding in held):
        return BROKEN
    judged = any(tally.judged for tally in found.judgement.tallies)
    return OPEN if held or not judged else FINE
