"""What people type after a command -> gates, rules, profiles, and where the answer goes.

What is heavy is imported inside the functions, so that ``--help`` answers at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from packcheck.errors import WrongUsage, nearest_name
from packcheck.exits import say

if TYPE_CHECKING:
    from packcheck.findings import Gate
    from packcheck.rules.profile import Profile
    from packcheck.rules.rule import Rule


def rules_and_profile(folders: Sequence[Path] | None, profile: Path | None) -> tuple[tuple[Rule, ...], Profile | None]:
    """Return the rules that come with packcheck and those of the folders, and the shop profile if one is named."""
    from packcheck.document import read_document
    from packcheck.facts.tables import table_by_name
    from packcheck.rules.library import load_rules
    from packcheck.rules.profile import read_profile
    from packcheck.shipped import shipped_folder

    shipped = shipped_folder("rules")
    own = [folder for folder in folders or () if folder.resolve() != shipped.resolve()]
    rules = load_rules([shipped, *own], table_by_name())
    if profile is None:
        return rules, None
    from packcheck.adopting import check_values

    document = read_document(profile)
    shop = read_profile(document, rules)
    check_values(document, shop)
    return rules, shop


def gate_named(text: str) -> Gate:
    """Return the gate of this name; hyphens may stand for blanks."""
    from packcheck.findings import GATES, Gate

    return Gate(one_of("gate", text.strip().lower().replace("-", " "), tuple(gate.value for gate in GATES)))


def one_of(what: str, name: str, known: Sequence[str]) -> str:
    """Return the name if it is known.

    Raises
    ------
    WrongUsage : it is not; with the nearest known name.
    """
    if name in known:
        return name
    near = nearest_name(name, known)
    listed = f"one of: {', '.join(known)}" if len(known) <= 8 else f"`packcheck {what}s list` prints them all"
    raise WrongUsage(f"no {what} '{name}'; " + (f"did you mean '{near}'?" if near else listed))


def deliver(text: str, output: Path | None) -> None:
    """Print a text, or write it to a file, whole or not at all."""
    if output is None:
        say(text)
        return
    from packcheck.whole_file import write_whole

    write_whole(output, text)
