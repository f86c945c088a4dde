"""The options that several commands have, each said once, and what a shell offers for a value that is typed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

Completer = Callable[[str], list[str]]


def from_words(*words: str) -> Completer:
    """Return what offers those of the words that begin as typed."""

    def offered(incomplete: str) -> list[str]:
        return [word for word in words if word.startswith(incomplete)]

    return offered


def gates(incomplete: str) -> list[str]:
    """Offer the gates, hyphens for blanks: a shell takes a blank for the end of the word."""
    from packcheck.rules.findings import GATES

    return from_words(*(gate.value.replace(" ", "-") for gate in GATES))(incomplete.lower().replace(" ", "-"))


def rule_names(incomplete: str) -> list[str]:
    """Offer the names of the rules that come with packcheck, which their files have."""
    from packcheck.files.shipped import shipped_folder

    return from_words(*sorted(file.stem for file in shipped_folder("rules").rglob("*.yaml")))(incomplete)


def fault_names(incomplete: str) -> list[str]:
    """Offer the names of the faults of the library."""
    from packcheck.simulate.faults.library import BY_NAME

    return from_words(*sorted(BY_NAME))(incomplete)


Layout = Annotated[
    Path | None, typer.Option("--layout", metavar="FILE", help="The layout of a record, where it is not beside it.")
]
Everything = Annotated[bool, typer.Option("--all", help="Cut no list short.")]
TextOrJson = Annotated[
    str, typer.Option("--format", metavar="FORMAT", autocompletion=from_words("text", "json"), help="text or json.")
]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that packcheck did not write.")]
Output = Annotated[
    Path | None, typer.Option("-o", "--output", metavar="FILE", help="Write to a file, whole or not at all.")
]
ShopProfile = Annotated[
    Path | None, typer.Option("--profile", metavar="FILE", help="Shop profile: adopted limits, waivers.")
]
RulesFolder = Annotated[
    list[Path] | None, typer.Option("--rules", metavar="FOLDER", help="Rules of your own; may be given again.")
]
UpToGate = Annotated[
    str,
    typer.Option(
        "--gate", metavar="GATE", autocompletion=gates, help="'fit bars', 'plug in', 'close contactors' or 'release'."
    ),
]
