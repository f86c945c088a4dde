"""The command ``packcheck coverage``: which faults the rules of a layout would find, and what they would miss."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, open_layout, rules_and_profile
from packcheck.app.exits import FINE
from packcheck.app.options import Force, Output, RulesFolder, from_words

BAR = 40
"""Width of the progress bar in characters."""


def coverage(
    layout: Annotated[Path, typer.Argument(metavar="LAYOUT", help="A layout.")],
    format: Annotated[
        str,
        typer.Option(metavar="FORMAT", autocompletion=from_words("text", "json", "html"), help="text, json or html."),
    ] = "text",
    places: Annotated[int, typer.Option(metavar="COUNT", help="Places of each fault to try; 0 tries all.")] = 0,
    jobs: Annotated[int, typer.Option(metavar="COUNT", help="Processes that share the work.")] = 0,
    rules: RulesFolder = None,
    output: Output = None,
    force: Force = False,
) -> int:
    """Put every fault of the library at every place of a layout, and say which of them the rules find.

    \b
    Example:
      packcheck coverage layouts/plover-16/plover-16.yaml --format html --output coverage.html
    """
    form = one_of("format", format, ("text", "json", "html"))
    from packcheck.app.teaching.coverage_page import render_coverage_page
    from packcheck.app.teaching.coverage_text import render_coverage, render_coverage_json
    from packcheck.files.shipped import shipped_folder
    from packcheck.lessons.coverage import cover

    text, pack = open_layout(layout)
    if rules:
        rules_and_profile(rules, None)  # which tests the examples of rules of one's own
    folders = (shipped_folder("rules"), *(rules or ()))
    shown = _bar if sys.stderr.isatty() else None
    found = cover(text, folders, most=places or None, jobs=jobs or os.cpu_count() or 1, progress=shown)
    if form == "text":
        answer = render_coverage(found)
    elif form == "json":
        answer = render_coverage_json(found, version=__version__)
    else:
        answer = render_coverage_page(found, pack, version=__version__)
    deliver(answer, output, [layout], force=force)
    return FINE


def _bar(done: int, total: int) -> None:
    """Show how far the trials are, on the terminal alone."""
    filled = BAR * done // max(1, total)
    end = "\n" if done >= total else ""
    sys.stderr.write(f"\r[{'#' * filled}{'.' * (BAR - filled)}] {done} of {total}{end}")
    sys.stderr.flush()
