"""The commands ``packcheck show``, ``facts`` and ``schema``: what a file says, before anything is judged."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from packcheck.app.arguments import deliver, one_of, read_for, rules_and_profile
from packcheck.app.exits import FINE, printable, say, width_of
from packcheck.app.options import Force, Layout, Output

KINDS = ("layout", "record", "rule", "profile", "report", "exposure", "diagnosis", "arrangement", "comparison")


def show(
    layout: Annotated[Path, typer.Argument(metavar="LAYOUT", help="A layout.")],
    output: Output = None,
    force: Force = False,
) -> int:
    """Print a layout with every position, joint, tap and part written out.

    \b
    Example:
      packcheck show layouts/skerry-24/skerry-24.yaml
    """
    from packcheck.model.opening import open_file
    from packcheck.render.expanded import render_expanded

    opened = open_file(layout)
    deliver(render_expanded(opened.pack, width=width_of(sys.stdout)), output, read_for(opened), force=force)
    return FINE


def facts(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A layout or a record.")],
    output: Annotated[Path, typer.Option("--output", metavar="FILE", help="SQLite file to write.")],
    profile: Annotated[Path | None, typer.Option(metavar="FILE", help="Shop profile: adopted limits.")] = None,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Write the facts that rules see to an SQLite file that anyone can query.

    \b
    Example:
      packcheck facts layouts/skerry-24/skerry-24.yaml --output facts.sqlite
    """
    from packcheck.facts.build import build_facts
    from packcheck.facts.of_predicted import predicted_rows
    from packcheck.facts.store import write_store
    from packcheck.facts.tables import TABLES
    from packcheck.files.whole_file import refuse_replacing
    from packcheck.judging.adopting import adopted_by
    from packcheck.model.opening import open_file

    _, shop = rules_and_profile(None, profile) if profile else ((), None)
    opened = open_file(file, layout)
    refuse_replacing(output, read_for(opened, (), shop), force=force)
    built = dict(build_facts(opened.pack, opened.record, adopted_by(shop)))
    if opened.record is not None:
        built["predicted"] = tuple(predicted_rows(opened.record))
    write_store(output, built, TABLES)
    say(f"{printable(str(output))}: {sum(len(rows) for rows in built.values())} rows in {len(TABLES)} tables\n")
    return FINE


def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help=", ".join(KINDS))],
    output: Output = None,
    force: Force = False,
) -> int:
    """Print the JSON Schema of a kind of file, for an editor.

    \b
    Example:
      packcheck schema layout --output layout.schema.json
    """
    from packcheck.files.shipped import schema_folder

    name = one_of("kind of file", kind, KINDS)
    deliver((schema_folder() / f"{name}.json").read_text(encoding="utf-8"), output, force=force)
    return FINE
