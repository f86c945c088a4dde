"""The command line: which command is meant, and how it ends.

Of the commands only the one that is named is imported and built, so that it, and ``--help``, answers at once.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any

import typer

from packcheck import __version__
from packcheck.app.exits import FINE, STOPPED, USAGE, end_well, printable, say
from packcheck.files.problems import nearest_name

COMMANDS = {
    "check": ("check.check", "Judge layouts or recorded builds up to a gate."),
    "next": ("next.next_stage", "Print what to record next, one stage of the work."),
    "sheet": ("sheet.sheet", "Make a blank record to fill in; turn one into another form."),
    "bench": ("bench.command.bench", "Serve a page in which a record is filled in."),
    "diagnose": ("diagnose.diagnose", "Say what could explain readings that do not fit."),
    "reread": ("reread.reread", "Draw at random what is read a second time."),
    "compare": ("compare.compare", "Say what became worse between two records."),
    "release": ("release.release", "Write a release sheet for two people to sign."),
    "new": ("new.new", "Write a first layout."),
    "show": ("show.show", "Print everything that a layout says."),
    "draw": ("draw.draw", "Draw a layout, or a record as judged."),
    "exposure": ("exposure.exposure", "Show what can be bridged at each step of the work."),
    "arrange": ("arrange.arrange", "Choose which tested modules go where."),
    "coverage": ("coverage.coverage", "Tell which faults of a layout the rules would find."),
    "facts": ("show.facts", "Write the facts that rules see to an SQLite file."),
    "rules": ("rules.rules_app", "List the rules, show one, test a folder."),
    "lesson": ("lesson.lesson_app", "Make cases for teaching, mark answers."),
    "schema": ("show.schema", "Print the JSON Schema of a kind of file."),
}
"""Each command: where it is defined, and what it does in words short enough for the list of all."""

_NOT_A_NUMBER = re.compile(r"Invalid value for '(\S+)': '(.*)' is not a valid (int|float)\.", re.DOTALL)
"""How the library that reads options tells of a number that is none."""
COMPLETION = "_PACKCHECK_COMPLETE"
"""What a shell sets when it asks how a line could go on."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code."""
    return end_well(lambda: _invoke(list(arguments)))


def application(arguments: Sequence[str]) -> typer.Typer:
    """Return the command line with the command that the arguments begin with; with every one where none is named."""
    app = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False,
        help="Check a battery pack's layout and its recorded build before the service disconnect goes in.\n\n"
        "Exit codes: 0 no rule broken, 1 something broken, 3 only undecided or unproven, 4 a file could not be read,"
        " 2 wrong usage, 5 a fault of packcheck itself. No exit code is permission to energize.",
    )  # fmt: skip
    app.callback()(packcheck)
    is_listed = list(arguments) in ([], ["--help"]) and COMPLETION not in os.environ
    for name in [arguments[0]] if arguments and arguments[0] in COMMANDS else COMMANDS:
        where, words = COMMANDS[name]
        found = _only_listed if is_listed else command(where)
        if isinstance(found, typer.Typer):
            app.add_typer(found, name=name, short_help=words)
        else:
            app.command(name, short_help=words)(found)
    return app


def command(where: str) -> Callable[..., int] | typer.Typer:
    """Return the function of a command, or a group of commands, from where it is defined."""
    module, _, name = where.rpartition(".")
    found: Callable[..., int] | typer.Typer = getattr(import_module(f"packcheck.app.{module}"), name)
    return found


def _print_version(wanted: bool) -> None:
    if wanted:
        say(f"packcheck {__version__}\n")
        raise typer.Exit


def packcheck(
    version: Annotated[
        bool, typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    """Take what stands before the command."""


def _only_listed() -> int:
    """Stand in the list of commands, where none of them is run."""
    return USAGE


def _invoke(arguments: list[str]) -> int:
    try:
        code: Any = application(arguments)(arguments, standalone_mode=False, prog_name="packcheck")
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
    if not_a_number := _NOT_A_NUMBER.fullmatch(message):
        option, found, kind = not_a_number.groups()
        message = f"{option}: found '{found}', needed a {'whole ' if kind == 'int' else ''}number"
    option, context = getattr(wrong, "option_name", None), getattr(wrong, "ctx", None)
    if option and context is not None:
        known = [name for parameter in context.command.params for name in parameter.opts if name.startswith("-")]
        near = nearest_name(option, known)
        message = f"no option '{option}'; " + (f"did you mean '{near}'?" if near else f"one of: {', '.join(known)}")
    return f"packcheck: {message}\nTry: {context.command_path if context else 'packcheck'} --help\n"
