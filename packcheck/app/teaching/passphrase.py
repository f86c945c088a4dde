"""The passphrase of the keys of a lesson: of a file, of the environment, or typed."""

from __future__ import annotations

import os
import warnings
from getpass import GetPassWarning
from pathlib import Path
from typing import Annotated

import typer

from packcheck.files.problems import WrongUsage

PASSPHRASE = "PACKCHECK_PASSPHRASE"
Secret = Annotated[
    Path | None, typer.Option("--passphrase", metavar="FILE", help=f"File with it; else {PASSPHRASE}, else asked for.")
]


def passphrase_of(file: Path | None) -> str:
    """Return the passphrase: of a file, of the environment, or typed; on a command line others would see it."""
    if file is not None:
        try:
            words = file.read_text(encoding="utf-8").strip()
        except (OSError, UnicodeDecodeError):
            raise WrongUsage(f"{file} cannot be read as a passphrase") from None
    else:
        words = os.environ.get(PASSPHRASE, "") or _typed()
    if len(words) < 8:
        raise WrongUsage("the passphrase has fewer than 8 characters")
    return words


def _typed() -> str:
    """Return the passphrase as it is typed, unseen; where there is no terminal to type it at, nobody is asked."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", GetPassWarning)
        try:
            return str(typer.prompt("Passphrase of the keys", hide_input=True, err=True))
        except GetPassWarning:
            typer.echo(err=True)
            raise WrongUsage(f"name --passphrase FILE or set {PASSPHRASE} where nobody can be asked") from None
