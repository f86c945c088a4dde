"""Everything that can go wrong, as data a reader can act on.

The tree::

    PackcheckError
    ├── InputProblems      one or more files could not be read as what they claim to be   exit 4
    ├── WrongUsage         the command line asks for something that does not exist        exit 2
    └── OwnFault           packcheck broke one of its own promises                        exit 5

A ``Problem`` is one mistake in one file.  Readers collect them all and raise them together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from itertools import islice

from packcheck.files.origin import Origin


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake in one file: where it stands, what was found, what was needed, why, what to do."""

    origin: Origin
    found: str
    needed: str
    why: str = ""
    do: str = ""
    excerpt: str = field(default="", compare=False)

    @property
    def file(self) -> str:
        """Return the file it stands in."""
        return self.origin.file

    @property
    def line(self) -> int:
        """Return the line, or the row of a table, from 1; 0 for the file as a whole."""
        return self.origin.line

    @property
    def column(self) -> int:
        """Return the column, from 1; 0 for the file as a whole."""
        return self.origin.column

    def place(self) -> str:
        """Return ``file:line:column`` or sheet and cell, or the file alone when the whole file is meant."""
        return self.origin.short()


class PackcheckError(Exception):
    """The root of all exceptions that packcheck raises on purpose."""


class InputProblems(PackcheckError):
    """One or more files cannot be read as a layout, record, rule or shop profile."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(set(problems)))
        super().__init__("; ".join(f"{p.place()}: {p.found}" for p in self.problems))


class WrongUsage(PackcheckError):
    """The command line names a thing that does not exist; the message says which and what does."""


class OwnFault(PackcheckError):
    """A promise of the program itself did not hold (a residual too large, a rule row without a subject)."""


LONGEST_COMPARED = 200
"""The longest name that is compared with others; the cost grows with the square of its length."""
_ZEROS = re.compile(r"(?<!\d)0+(?=\d)")
MOST_COMPARED = 1000
"""The most names that one name is compared with."""


def nearest_name(name: str, known: Sequence[str] | Iterable[str]) -> str | None:
    """Return the known name that looks most like ``name``, or None when none comes near."""
    if len(str(name)) > LONGEST_COMPARED:
        return None
    name, names = str(name), [str(k) for k in known]
    bare = _without_zeros(name)
    if same := next((other for other in names if _without_zeros(other) == bare), None):
        return same
    if len(names) > MOST_COMPARED:
        alike = (k for k in names if k[:1] == name[:1] and abs(len(k) - len(name)) <= 1)
        names = list(islice(alike, MOST_COMPARED))
    matches = get_close_matches(name, names, n=1, cutoff=0.6)
    return matches[0] if matches else None


def _without_zeros(name: str) -> str:
    """Return a name without the zeros before its numbers: ``P1`` of ``P01``."""
    return _ZEROS.sub("", name)
