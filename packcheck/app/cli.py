"""The command line: read files, call, print, exit.

What is heavy is imported inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import (
    deliver,
    gate_named,
    one_of,
    read_besides,
    rules_and_profile,
)
from packcheck.app.arrange import arrange
from packcheck.app.bench.command import bench
from packcheck.app.compare import compare
from packcheck.app.coverage import coverage
from packcheck.app.diagnose import diagnose
from packcheck.app.draw import draw
from packcheck.app.exits import BROKEN, FINE, STOPPED, USAGE, end_well, printable, say, width_of
from packcheck.app.exposure import exposure
from packcheck.app.lesson import lesson_app
from packcheck.app.new import new
from packcheck.app.next import next_stage
from packcheck.app.options import Force, Layout, Output, RulesFolder, ShopProfile, UpToGate
from packcheck.app.release import release
from packcheck.app.reread import reread
from packcheck.app.sheet import sheet
from packcheck.files.problems import WrongUsage, nearest_name

FORMATS = ("text", "json", "jsonl", "html", "sarif", "junit", "markdown")
KINDS = ("layout", "record", "rule", "profile", "report", "exposure", "diagnosis", "arrangement", "comparison")

app = typer.Typer(
    no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False,
    help="Check a battery pack's layout and its recorded build before the service disconnect goes in.\n\n"
    "Exit codes: 0 no rule broken, 1 something broken, 3 only undecided or unproven, 4 a file could not be read,"
    " 2 wrong usage, 5 a fault of packcheck itself. No exit code is permission to energize.",
)  # fmt: skip
rules_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="List the rules, show one, test a folder.")
app.command()(exposure)
app.command("next")(next_stage)
app.command()(draw)
app.command()(bench)
app.command()(release)
app.command()(diagnose)
app.command()(arrange)
app.command()(compare)
app.command()(reread)
app.command()(coverage)
app.command()(new)
app.command()(sheet)
app.add_typer(rules_app, name="rules")
app.add_typer(lesson_app, name="lesson")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    return end_well(lambda: _invoke(list(arguments)))


def _invoke(arguments: list[str]) -> int:
    try:
        code = app(arguments, standalone_mode=False, prog_name="packcheck")
    except typer.Abort:
        raise KeyboardInterrupt from None
    except Exception as wrong:
        if not hasattr(wrong, "format_message"):
            raise
        say(printable(_usage_message(wrong), lines=True), sys.stderr)
        return USAGE
    if code == STOPPED:
        raise KeyboardInterrupt
    return code if isinstance(code, int) else FINE


def _usage_message(wrong: Exception) -> str:
    """Return what a mistyped command line deserves: what is wrong, and the nearest name that exists."""
    message = str(wrong.format_message()) if hasattr(wrong, "format_message") else str(wrong)
    if message.startswith("Usage:"):
        return message.rstrip() + "\n"
    option, context = getattr(wrong, "option_name", None), getattr(wrong, "ctx", None)
    if option and context is not None:
        known = [name for parameter in context.command.params for name in parameter.opts if name.startswith("-")]
        near = nearest_name(option, known)
        message = f"no option '{option}'; " + (f"did you mean '{near}'?" if near else f"one of: {', '.join(known)}")
    return f"packcheck: {message}\nTry: {context.command_path if context else 'packcheck'} --help\n"


def _print_version(wanted: bool) -> None:
    if wanted:
        say(f"packcheck {__version__}\n")
        raise typer.Exit


@app.callback()
def packcheck(
    version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    """Take what stands before the command."""


@app.command()
def check(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Layouts or records; - is standard input.")],
    gate: UpToGate = "plug in",
    format: Annotated[str, typer.Option(help="text, json, jsonl, html, sarif, junit or markdown.")] = "text",
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
        return keep_judging(lambda: check(*again), files, [*(rules or []), profile, layout])
    from packcheck.app.several import judge_each
    from packcheck.render.paragraph import Choice

    return judge_each(
        files, rules_and_profile(rules, profile), wanted, layout, form, Choice(brief, everything), output, force=force
    )


@app.command()
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
    read = [name for _, name, _ in opened.hashes]
    deliver(render_expanded(opened.pack, width=width_of(sys.stdout)), output, read, force=force)
    return FINE


@app.command()
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
    from packcheck.files.replacing import refuse_replacing
    from packcheck.judging.adopting import adopted_by
    from packcheck.model.opening import open_file

    _, shop = rules_and_profile(None, profile) if profile else ((), None)
    opened = open_file(file, layout)
    refuse_replacing(output, [*(name for _, name, _ in opened.hashes), *read_besides((), shop)], force=force)
    built = dict(build_facts(opened.pack, opened.record, adopted_by(shop)))
    if opened.record is not None:
        built["predicted"] = tuple(predicted_rows(opened.record))
    write_store(output, built, TABLES)
    say(f"{printable(str(output))}: {sum(len(rows) for rows in built.values())} rows in {len(TABLES)} tables\n")
    return FINE


@app.command()
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


@rules_app.command("list")
def list_rules(rules: RulesFolder = None) -> int:
    """List every rule.

    \b
    Example:
      packcheck rules list
    """
    from packcheck.render.rules import render_rule_list

    deliver(render_rule_list(rules_and_profile(rules, None)[0], width=width_of(sys.stdout)), None)
    return FINE


@rules_app.command("show")
def show_rule(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of a rule.")], rules: RulesFolder = None
) -> int:
    """Print one rule in full: condition, limits, why, remedy, teaching, basis.

    \b
    Example:
      packcheck rules show module-reversed
    """
    from packcheck.render.rules import render_rule

    by_name = {rule.name: rule for rule in rules_and_profile(rules, None, with_examples=True)[0]}
    rule = by_name[one_of("rule", name, tuple(by_name))]
    deliver(render_rule(rule, width=width_of(sys.stdout)), None)
    return FINE


@rules_app.command("test")
def run_examples(
    folder: Annotated[Path | None, typer.Argument(metavar="[FOLDER]", help="Rules of your own.")] = None,
) -> int:
    """Run the examples that rules carry: those of a folder, or those that come with packcheck.

    \b
    Example:
      packcheck rules test rules
    """
    from packcheck.facts.tables import table_by_name
    from packcheck.rules.library import check_examples, rules_of

    everything, _ = rules_and_profile([folder] if folder else None, None, tested=False, with_examples=True)
    tested = rules_of(folder, everything) if folder else list(everything)
    wrong = [
        f"{rule.file}: {text}"
        for rule in tested
        for text in check_examples(rule, everything, table_by_name()[rule.each])
    ]
    examples = sum(len(rule.examples) for rule in tested)
    say("".join(f"{printable(text)}\n" for text in wrong))
    say(f"{examples} examples of {len(tested)} rules: {len(wrong)} wrong\n")
    if not examples:
        raise WrongUsage(f"no rule with an example in {folder or 'the rules that come with packcheck'}")
    return BROKEN if wrong else FINE
