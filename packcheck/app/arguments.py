"""What people type after a command -> gates, rules, profiles, files, and where the answer goes.

What is heavy is imported inside the functions, so that ``--help`` answers at once.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from packcheck import __version__
from packcheck.app.exits import say
from packcheck.files.problems import WrongUsage, nearest_name

if TYPE_CHECKING:
    from packcheck.model.opening import Opened, Text
    from packcheck.model.pack.model import Pack
    from packcheck.model.record.model import Record
    from packcheck.rules.findings import Gate
    from packcheck.rules.profile import Profile
    from packcheck.rules.rule import Rule


def rules_and_profile(
    folders: Sequence[Path] | None, profile: Path | None, *, tested: bool = True, with_examples: bool = False
) -> tuple[tuple[Rule, ...], Profile | None]:
    """Return the rules that come with packcheck and those of the folders, and the shop profile if one is named.

    Unless told not to, the examples of a folder's rules are run first: a rule that judges them wrongly judges no pack.
    Examples are read where they are run, where a profile is held to them, or where they are asked for.
    """
    from packcheck.facts.tables import table_by_name
    from packcheck.files.document import read_document
    from packcheck.files.shipped import shipped_folder

    shipped, tables = shipped_folder("rules"), table_by_name()
    own = [folder for folder in folders or () if os.path.realpath(folder) != os.path.realpath(shipped)]
    if not (with_examples or own or profile):
        from packcheck.rules.kept_rules import load_shipped

        return load_shipped(shipped, tables), None
    from packcheck.rules.library import load_rules, require_tested

    rules = load_rules([shipped, *own], tables)
    for folder in own if tested else ():
        require_tested(folder, rules, tables)
    if profile is None:
        return rules, None
    from packcheck.judging.adopting import check_limits, check_values
    from packcheck.rules.profile import read_profile

    document = read_document(profile)
    shop = read_profile(document, rules)
    check_values(document, shop)
    check_limits(document, shop, rules, table_by_name())
    return rules, shop


def gate_named(text: str) -> Gate:
    """Return the gate of this name; hyphens may stand for blanks."""
    from packcheck.rules.findings import GATES, Gate

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


def deliver(text: str, output: Path | None, read: Iterable[str | Path] = (), *, force: bool = False) -> None:
    """Print a text, or write it to a file, whole or not at all.

    Parameters
    ----------
    text : the answer.
    output : the file to write; None prints.
    read : the files that went into the answer, which are never written over.
    force : write over a file that packcheck did not write.

    Raises
    ------
    WrongUsage : the file may not be replaced, or cannot be written.
    """
    if output is None:
        say(text)
        return
    from packcheck.files.whole_file import refuse_replacing, signed, write_whole

    refuse_replacing(output, read, force=force)
    is_data = text.startswith(("{", "<"))
    write_whole(output, text if is_data else signed(text, __version__))


def read_besides(rules: Iterable[Rule], profile: Profile | None) -> list[str]:
    """Return the files of rules and profile."""
    return [*(rule.file for rule in rules if rule.file), *([profile.file] if profile and profile.file else [])]


def read_for(opened: Opened, rules: Iterable[Rule] = (), profile: Profile | None = None) -> list[str]:
    """Return the files that went into an answer: what was opened, rules and profile."""
    return [*(file for _, file, _ in opened.hashes), *read_besides(rules, profile)]


def open_layout(file: Path) -> tuple[Text, Pack]:
    """Return the bytes of a layout under its own name, and what it draws.

    Raises
    ------
    WrongUsage : the file is a record.
    """
    from packcheck.files.document import read_bytes
    from packcheck.model.opening import Text
    from packcheck.model.opening import open_layout as read_layout

    text = Text(read_bytes(file), file.name)
    return text, read_layout(text)


def open_record(file: Path, layout: Path | None, needed: str) -> tuple[Opened, Record]:
    """Return a record as opened; ``needed`` is what to name instead of a layout.

    Raises
    ------
    WrongUsage : the file is a layout.
    """
    from packcheck.model.opening import open_file

    opened = open_file(file, layout)
    if opened.record is None:
        raise WrongUsage(f"{file} is a layout; name {needed}")
    return opened, opened.record
