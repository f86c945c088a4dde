"""What can be asked at one go: the row of the record it is told in, and its fields."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from packcheck.judging.to_do import ToDo
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record

UNITS = {
    "torque": ("N·m", "lbf·in", "lbf·ft"), "rest": ("V", "mV"), "value": ("V", "mV"), "length": ("mm", "cm"),
    "capacity": ("Ah",), "rating": ("A",), "volts": ("V",), "breaks": ("kA", "A"),
}  # fmt: skip


@dataclass(frozen=True)
class Ask:
    """One field of a question.

    ``kind``: number (with one of ``units``), count, choice (of ``choices``: what is written, what is shown), places
    (names of two places or more), date, text.  ``target`` is what it has to be, in words; ``shared``: the same answer
    may hold at many places.
    """

    column: str
    kind: str
    label: str
    units: tuple[str, ...] = ()
    choices: tuple[tuple[str, str], ...] = ()
    target: str = ""
    optional: bool = False
    shared: bool = False


@dataclass(frozen=True)
class Asked:
    """The row of the record in which something is told, and the fields of it that are asked for."""

    section: str
    subject: str
    fields: tuple[Ask, ...]
    title: str = ""
    state: str = ""
    fixed: tuple[tuple[str, str], ...] = ()
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Asking:
    """One datum of an errand at one place, on the way to a question; ``words`` is how its words were understood."""

    pack: Pack
    record: Record
    place: str
    errand: ToDo
    words: re.Match[str]

    def number(self, section: str, column: str, label: str, units: tuple[str, ...] = ()) -> Asked:
        """Ask a number with a unit at the place."""
        one = Ask(column, "number", label, units or UNITS[column], target=self.errand.target)
        return Asked(section, self.place, (one,))

    def cell(self, section: str, one: Ask) -> Asked:
        """Ask one field at the place."""
        return Asked(section, self.place, (one,))


Answer = Callable[[Asking], Asked | None]
