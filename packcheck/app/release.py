"""The command ``packcheck release``: a sheet that two people sign, and what has changed since."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck.app.arguments import read_for, rules_and_profile
from packcheck.app.exits import printable, say
from packcheck.app.options import Force, Layout, Output, RulesFolder, ShopProfile
from packcheck.files.problems import WrongUsage

if TYPE_CHECKING:
    from packcheck.judging.report import Source


def release(
    record: Annotated[Path | None, typer.Argument(metavar="[RECORD]", help="The record of a finished build.")] = None,
    output: Output = None,
    signatory: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Who signs, of the record's people; given twice for two. Else left blank."),
    ] = None,
    verify: Annotated[
        Path | None, typer.Option("--verify", metavar="SHEET", help="Say what has changed since a sheet was made.")
    ] = None,
    profile: ShopProfile = None,
    rules: RulesFolder = None,
    layout: Layout = None,
    force: Force = False,
) -> int:
    """Write a release sheet for two people to sign, made only of a record that breaks no rule at gate release.

    \b
    Exit codes are those of check at gate release; with --verify 0 for all the same, 1 for a change, 3 where something
    that is needed to tell is missing. None is permission to energize.

    \b
    Example:
      packcheck release layouts/plover-16/clean-pl-0052.yaml
    """
    if verify is not None:
        from packcheck.app.verify import verify_sheet

        if output or signatory:
            raise WrongUsage("--verify writes nothing and asks nobody to sign; leave out --output and --signatory")
        return verify_sheet(verify, record, profile, rules, layout)
    if record is None or str(record) == "-":
        raise WrongUsage("name the file of a record: `packcheck release RECORD -o SHEET`")
    return _make(record, output, signatory or [], profile, rules, layout, force=force)


def _make(
    path: Path, output: Path | None, names: list[str], profile: Path | None, rules: list[Path] | None,
    layout: Path | None, *, force: bool,
) -> int:  # fmt: skip
    from packcheck.files.clock import now
    from packcheck.judging.releasing import release_of, signatories_of
    from packcheck.judging.report import exit_code
    from packcheck.model.opening import open_file
    from packcheck.render.first_screen import verdict_words
    from packcheck.render.release_sheet import render_release, render_signing

    held_to, shop = rules_and_profile(rules, profile)
    opened = open_file(path, layout)
    found = release_of(opened, held_to, shop)
    code = exit_code(found.report.judgement)
    if not found.may_be_made or opened.record is None:
        words = printable(f"NOT RELEASED, no sheet is made: {path}: {verdict_words(found.report)}")
        say(f"{words}\n`packcheck check {printable(str(path))} --gate release` says why.\n", sys.stderr)
        return code
    signing = signatories_of(opened.record, names)
    sources = named_for(output.parent if output else Path(), found.report.sources)
    body = render_release(found, made=now().isoformat(" ", "minutes"), sources=sources)
    text = body + render_signing(body, found, signing)
    if output is None:
        say(text)
        return code
    _write(output, text, read_for(opened, held_to, shop), force=force)
    say(printable(f"{output}: release sheet of {found.report.about.pack_id}, for two people to sign") + "\n")
    return code


def named_for(folder: Path, sources: tuple[Source, ...]) -> tuple[Source, ...]:
    """Return the files as a sheet in a folder names them: from there, where they lie in it or below; else as given."""
    home = folder.resolve()
    named = []
    for source in sources:
        path = Path(source.file).resolve()
        is_below = source.role != "rules" and path.is_relative_to(home)
        named.append(replace(source, file=printable(path.relative_to(home).as_posix())) if is_below else source)
    return tuple(named)


def _write(output: Path, text: str, read: list[str], *, force: bool) -> None:
    """Write a sheet, over no other file: a sheet is kept, and so is whatever else is there.

    Raises
    ------
    WrongUsage : something is there, and ``force`` was not given; or it was read for this sheet.
    """
    from packcheck.files.whole_file import refuse_replacing, write_whole

    refuse_replacing(output, read, force=True)
    if not force and output.is_file() and output.stat().st_size:
        raise WrongUsage(f"{output} is there, and a signed sheet is not written over; name another, or add --force")
    write_whole(output, text)
