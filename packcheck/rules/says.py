"""The sentences of a rule: text with names in braces, and nothing else in the braces.

``{torque_n_m}`` is the value with its unit; ``{torque_n_m:low}`` and ``{torque_n_m:high}`` are its ends and
``{torque_n_m:bare}`` is the value without its unit.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from string import Formatter
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.files.problems import nearest_name
from packcheck.files.quantities import format_interval, format_quantity
from packcheck.files.quantities.units import is_in_another_unit
from packcheck.rules.catalogue import SOLVED, Column, Measured, Row, Value

FORMS = ("", "low", "high", "bare")
PLACE = "place"
"""A name that every sentence may use: the subject's place in words."""

_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


class Slot(NamedTuple):
    """A name in braces, with the form its value is shown in."""

    name: str
    form: str


Template = tuple[str | Slot, ...]


@dataclass(frozen=True)
class TemplateProblem(Exception):
    """A sentence that cannot be filled: what was found in it, what was needed, what to do."""

    found: str
    needed: str
    do: str = ""


def read_template(text: str, known: Collection[str]) -> Template:
    """Return a sentence as its fixed texts and slots.

    Parameters
    ----------
    text : the sentence as written; a brace that is meant as one is doubled.
    known : the names of columns and limits that may stand in braces.

    Raises
    ------
    TemplateProblem : an unknown name, or anything but a name and one of ``FORMS`` inside braces.

    Examples
    --------
    >>> read_template("{joint}: {torque_n_m:low} or more", {"joint", "torque_n_m"})
    (Slot(name='joint', form=''), ': ', Slot(name='torque_n_m', form='low'), ' or more')
    """
    try:
        pieces = list(Formatter().parse(text))
    except ValueError as error:
        raise TemplateProblem(f"braces that do not match ({error})", "a name between { and }") from error
    parts: list[str | Slot] = []
    for fixed, name, form, conversion in pieces:
        if fixed:
            parts.append(fixed)
        if name is not None:
            parts.append(_slot(name, form or "", conversion, known))
    return tuple(parts)


def fill(
    template: Template, row: Row, columns: Mapping[str, Column], limits: Mapping[str, tuple[float, str]], subject: str
) -> str:
    """Return a sentence with the row's values put in.

    ``limits`` gives each limit's value and unit; ``subject`` is the column that names the row's subject.
    """
    return "".join(part if isinstance(part, str) else _shown(part, row, columns, limits, subject) for part in template)


def _slot(name: str, form: str, conversion: str | None, known: Collection[str]) -> Slot:
    if conversion or not _NAME.fullmatch(name):
        raise TemplateProblem(f"{{{name}{'!' + conversion if conversion else ''}}}", "one plain name in braces")
    if name not in known and name != PLACE:
        near = nearest_name(name, known)
        raise TemplateProblem(
            f"the name {name} in braces", "a column or a limit of this rule", f"Did you mean {near}?" if near else ""
        )
    if form not in FORMS:
        raise TemplateProblem(f"the form {form[:40]!r}", f"one of {', '.join(FORMS[1:])}, or none")
    return Slot(name, form)


def _shown(
    slot: Slot, row: Row, columns: Mapping[str, Column], limits: Mapping[str, tuple[float, str]], subject: str
) -> str:
    if slot.name in limits:
        value, unit = limits[slot.name]
        return format_quantity(value, "" if slot.form == "bare" else unit)
    column = columns.get(slot.name)
    if slot.name == subject:
        return str(row.values.get(subject) or row.subject)
    if column is None:
        return row.place or row.subject
    return value_in_words(row.values.get(slot.name), column, slot.form)


SOLVED_DIGITS = 3
"""Digits of a solved number: the resistances behind it are known no better."""


def value_in_words(value: Value, column: Column, form: str = "") -> str:
    """Return a fact as people read it: with its unit, a flag as yes or no, what is absent as such."""
    if value is None:
        return "not stated" if column.source == "layout" else "not recorded"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    unit = "" if form == "bare" else column.unit
    if not isinstance(value, Measured):
        return format_quantity(value, unit, SOLVED_DIGITS if column.source == SOLVED else None)
    if form in ("low", "high"):
        return format_quantity(value.low if form == "low" else value.high, unit)
    interval = format_interval(value.low, value.high, unit)
    return f"{value.written} ({interval})" if is_in_another_unit(value.written, unit) else interval
