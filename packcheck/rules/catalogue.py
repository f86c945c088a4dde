"""The shape of facts: tables, columns, and the rows that builders fill.

A fact table holds one row per subject (one joint, one module ...).  A column is one of four kinds:

``measured``  an interval: what a reading, with its uncertainty, allows.  Absent: nobody recorded it.
``number``    an exact number (from the layout, a count, a limit).  Absent: nobody stated it.
``flag``      True, False, or None when what was recorded leaves it open.
``text``      a word or a name.  None: nobody recorded it.

Units are one per quantity, and part of the column's name (``torque_n_m``).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Literal, NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin

SOLVED = "solved network"
"""The source of columns that a solution of the network fills."""

Kind = Literal["measured", "number", "flag", "text"]


class Measured(NamedTuple):
    """A reading as an interval in the column's unit.

    ``low`` and ``high`` include the instrument's uncertainty.  ``fit`` is False when the instrument cannot
    prove anything met (out of calibration, or not named); ``unfit_because`` then says why, and ``instrument`` which.
    ``written`` is the reading as it stands in the record, where the interval is of that one reading.
    """

    low: float
    high: float
    fit: bool = True
    unfit_because: str = ""
    instrument: str = ""
    written: str = ""


class Datum(NamedTuple):
    """Something a person can go and record: what, where, with which kind of instrument, on which face."""

    what: str
    place: str
    instrument: str = ""
    face: str = ""


@dataclass(frozen=True)
class Column:
    """One column of a fact table.

    ``unit`` is the symbol printed after a value ("" for none); ``meaning`` is one sentence; ``source`` says where
    the value comes from ("layout", "record", "layout and record", or a formula's name).  ``datum`` is the recorded
    thing at the root of this column, in words ("torque"); empty for what the layout states.  ``instrument`` is the
    kind of instrument that reads it.  ``proof``: a flag that is True once something shows it and open until then, since
    nothing that can be recorded makes it false.
    """

    name: str
    kind: Kind
    meaning: str
    source: str
    unit: str = ""
    datum: str = ""
    instrument: str = ""
    proof: bool = False


@dataclass(frozen=True)
class Table:
    """One fact table: ``subject`` is the text column that names a row's subject."""

    name: str
    meaning: str
    subject: str
    columns: tuple[Column, ...]

    def __hash__(self) -> int:
        """Return the hash of the name: tables are keys of caches, and few."""
        return hash(self.name)

    @cached_property
    def column_by_name(self) -> dict[str, Column]:
        """Return the columns by their names."""
        return {column.name: column for column in self.columns}

    def values_of(self, row: Row) -> Mapping[str, Value]:
        """Return a row's values; the subject's name stands in its column in any case."""
        return row.values if row.values.get(self.subject) else {**row.values, self.subject: row.subject}


Value = Measured | float | int | bool | str | None


class Without(NamedTuple):
    """What a row would hold if the faults of some parts did nothing to its numbers: the values that then differ."""

    parts: frozenset[str]
    values: Mapping[str, Value]


_NONE_MISSING: Mapping[str, Datum] = MappingProxyType({})


class Row(NamedTuple):
    """One subject's facts.

    ``values`` maps column names to values; a column that is absent or None is not recorded.
    ``missing`` names, per column, the datum to go and record where the column's default words are not exact enough.
    ``touches`` are the names of the parts this row is about: causes and consequences meet in them.
    ``place`` is the subject in words, with the planned polarity or the two places beside it.
    ``origin`` is where it was recorded or drawn, for the report.
    ``reckoned`` are the columns held against what the record itself predicts: a rule that one of them breaks follows
    only from the parts of a ``without`` under which it is not broken.
    """

    subject: str
    values: Mapping[str, Value]
    missing: Mapping[str, Datum] = _NONE_MISSING
    touches: frozenset[str] = frozenset()
    place: str = ""
    face: str = ""
    origin: Origin | None = None
    reckoned: frozenset[str] = frozenset()
    without: tuple[Without, ...] = ()


Facts = Mapping[str, tuple[Row, ...]]
