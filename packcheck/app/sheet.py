"""The command ``packcheck sheet``: a blank record of a layout to fill in, or a record in another kind of file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck.app.arguments import one_of, read_for
from packcheck.app.exits import FINE, printable, say
from packcheck.app.options import Force, Layout, Output
from packcheck.files.problems import WrongUsage

if TYPE_CHECKING:
    from packcheck.model.opening import Opened

KINDS = ("yaml", "xlsx", "csv", "paper")
_KIND_OF = {".yaml": "yaml", ".yml": "yaml", ".xlsx": "xlsx", ".csv": "csv", ".html": "paper", ".htm": "paper"}


def sheet(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A layout, for a blank record; or a record.")],
    kind: Annotated[str, typer.Option("--as", metavar="KIND", help="yaml, xlsx, csv or paper; else by --output.")] = "",
    output: Output = None,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Make a blank record of a layout to fill in, or turn a record into another kind of file.

    A record that was filled in as YAML, XLSX or CSV goes straight into `packcheck check`.

    \b
    Example:
      packcheck sheet layouts/skerry-24/skerry-24.yaml --output record.xlsx
    """
    ending = output.suffix.casefold() if output else ".yaml"
    form = one_of("kind of sheet", kind or _KIND_OF.get(ending, ending), KINDS)
    if form == "xlsx" and output is None:
        raise WrongUsage("a workbook goes to a file: add --output record.xlsx")
    from packcheck.files.whole_file import refuse_replacing, write_whole
    from packcheck.model.opening import open_file

    opened = open_file(file, layout)
    content = _content(opened, form)
    if output is None:
        say(content.removeprefix("\ufeff") if isinstance(content, str) else "")
        return FINE
    refuse_replacing(output, read_for(opened), force=force)
    write_whole(output, content)
    about = "record of " + opened.record.serial if opened.record else "blank record of " + opened.pack.name
    say(f"{printable(str(output))}: {printable(about)}\n")
    return FINE


def _content(opened: Opened, form: str) -> str | bytes:
    from packcheck.judging.blank import blank_record
    from packcheck.model.record.to_blocks import lay_out

    pack = opened.pack
    if opened.record is None:
        blank = blank_record(pack)
        blocks, remarks = blank.blocks, blank.remarks
    elif form == "paper":
        raise WrongUsage("paper is for a layout: this record is filled in already")
    else:
        blocks, remarks = lay_out(opened.root), ()
    if form == "paper":
        from packcheck.render.sheets.paper import paper

        return paper(pack, blocks, remarks)
    if form == "xlsx":
        from packcheck.render.sheets.workbook import workbook

        return workbook(blocks, remarks, tuple(pack.states))
    if form == "csv":
        from packcheck.render.sheets.separated import separated

        return separated(blocks, remarks)
    from packcheck.render.sheets.text import as_yaml

    return as_yaml(blocks, remarks)
