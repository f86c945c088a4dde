"""The command ``packcheck check``: layouts and records judged up to a gate."""

from __future__ import annotations

from os.path import isfile
from typing import Annotated

import typer

from packcheck.app.arguments import gate_named, one_of, rules_and_profile
from packcheck.app.options import Force, Layout, Output, RulesFolder, ShopProfile, UpToGate, from_words
from packcheck.files.memory import collection_held_off

FORMATS = ("text", "json", "jsonl", "html", "sarif", "junit", "markdown")


def check(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Layouts or records; - is standard input.")],
    gate: UpToGate = "plug in",
    format: Annotated[
        str,
        typer.Option(
            metavar="FORMAT",
            autocompletion=from_words(*FORMATS),
            help="text, json, jsonl, html, sarif, junit or markdown.",
        ),
    ] = "text",
    profile: ShopProfile = None,
    rules: RulesFolder = None,
    output: Output = None,
    brief: Annotated[bool, typer.Option("--brief", help="One line per finding.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Cut no list short; count every rule.")] = False,
    watch: Annotated[bool, typer.Option("--watch", help="Judge again at every change, until Ctrl-C.")] = False,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Judge layouts or recorded builds up to a gate.

    \b
    Example:
      packcheck check layouts/skerry-24/skerry-24.yaml --gate "plug in"
    """
    wanted, form = gate_named(gate), one_of("format", format, FORMATS)
    if watch:
        from packcheck.app.watching import keep_judging

        again = (files, gate, format, profile, rules, output, brief, everything, False, layout, force)
        return keep_judging(lambda: check(*again), files, [*(rules or []), profile], layout)
    # One file is told before there is garbage worth a search; many could fill the memory with it.
    with collection_held_off(len(files) == 1 and isfile(files[0])):
        from packcheck.app.check_files import judge_each
        from packcheck.render.paragraph import Choice

        held_to = rules_and_profile(rules, profile)
        return judge_each(files, held_to, wanted, layout, form, Choice(brief, everything), output, force=force)
