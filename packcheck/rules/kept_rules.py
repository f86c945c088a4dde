"""The rules that come with packcheck, kept as they were read, beside the bytecode that Python keeps of this module.

Python's own way with modules, and no more trust than it has: the same folder, the same switches (``-B``,
``PYTHONPYCACHEPREFIX``), written whole or not at all.  What is kept holds only as long as every rule file has the bytes
it was read from, and the code that read it is as it was; else the files are read again.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from functools import lru_cache
from importlib.util import cache_from_source
from pathlib import Path

from packcheck.files.memory import collection_held_off
from packcheck.files.problems import WrongUsage
from packcheck.rules.catalogue import Table
from packcheck.rules.rule import Rule
from packcheck.rules.rule_folder import Stamp, rule_files

_PACKAGE = Path(__file__).resolve().parents[1]
_READ_BY = ("files", "files/document", "files/quantities", "rules", "facts/tables")
"""Where the code lies that a rule file is read by."""


def load_shipped(folder: Path, tables: Mapping[str, Table]) -> tuple[Rule, ...]:
    """Return the rules of a folder without their examples, as ``load_rules`` does, from what is kept if it holds.

    Files that did not change since they were last read in this process are not looked into again.

    Raises
    ------
    InputProblems : with every problem of every file.
    """
    return _load(tuple(rule_files(folder)), folder, tuple(tables.items()))


@lru_cache(maxsize=2)
def _load(files: tuple[Stamp, ...], folder: Path, tables: tuple[tuple[str, Table], ...]) -> tuple[Rule, ...]:
    code = tuple(sorted(_stamps()))
    rules = _kept(code)
    if rules is not None and {rule.file: rule.sha256 for rule in rules} == _hashes([name for name, _, _ in files]):
        return rules
    from packcheck.rules.library import load_rules

    rules = load_rules([folder], dict(tables), with_examples=False)
    _keep(code, rules)
    return rules


def kept_file() -> Path:
    """Return where the rules are kept: one file for each version of Python, as for the bytecode of a module."""
    return Path(cache_from_source(str(_PACKAGE / "rules" / "shipped.py"))).with_suffix(".rules")


def _stamps() -> Iterator[Stamp]:
    """Yield name, time and size of every module that takes part in reading a rule."""
    for room in _READ_BY:
        for entry in os.scandir(_PACKAGE / room):
            if entry.name.endswith(".py"):
                state = entry.stat()
                yield f"{room}/{entry.name}", state.st_mtime_ns, state.st_size


def _hashes(files: Iterable[str]) -> dict[str, str]:
    """Return the SHA-256 of each file as it is now; nothing where one cannot be read."""
    try:
        return {file: _sha256(file) for file in files}
    except OSError:
        return {}


def _sha256(file: str) -> str:
    with open(file, "rb", buffering=0) as stream:
        return hashlib.sha256(stream.read()).hexdigest()


def _kept(code: tuple[Stamp, ...]) -> tuple[Rule, ...] | None:
    """Return the rules that this code has kept; None where there are none, or none that can be taken."""
    try:
        with collection_held_off(), kept_file().open("rb") as stream:
            return pickle.load(stream) if pickle.load(stream) == code else None
    except Exception:  # whatever a damaged file leads to: then the rules are read
        return None


def _keep(code: tuple[Stamp, ...], rules: tuple[Rule, ...]) -> None:
    if sys.dont_write_bytecode:
        return
    from packcheck.files.whole_file import write_whole

    with suppress(WrongUsage, OSError):
        kept_file().parent.mkdir(parents=True, exist_ok=True)
        write_whole(kept_file(), pickle.dumps(code, 5) + pickle.dumps(rules, 5))
