"""The parts of a rule's condition after it has been read: a small typed tree, data only.

A *number term* stands for an interval, a *truth term* for yes, no or open, a *text term* for a word.
Every comparison is brought to one of three shapes (``a <= b``, ``a < b``, ``a == b``); every name has been found.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, cast

from packcheck.files.frozen import dataclass
from packcheck.rules.catalogue import Kind


@dataclass(frozen=True)
class ColumnTerm:
    """The value of one column of the rule's fact table."""

    name: str
    kind: Kind


@dataclass(frozen=True)
class Constant:
    """An exact number, rounded once to the nearest float."""

    value: float


@dataclass(frozen=True)
class LimitTerm:
    """A number named under the rule's ``limits``; a shop profile may give it another value."""

    name: str


@dataclass(frozen=True)
class Negative:
    """The number with the other sign."""

    term: NumberTerm


@dataclass(frozen=True)
class Sum:
    """All terms added."""

    terms: tuple[NumberTerm, ...]


@dataclass(frozen=True)
class Product:
    """Two factors multiplied."""

    left: NumberTerm
    right: NumberTerm


@dataclass(frozen=True)
class Quotient:
    """One number divided by another; unbounded where the lower one can be zero."""

    left: NumberTerm
    right: NumberTerm


@dataclass(frozen=True)
class Absolute:
    """The distance of a number from zero."""

    term: NumberTerm


@dataclass(frozen=True)
class Extreme:
    """The least or the greatest of two or more numbers."""

    greatest: bool
    terms: tuple[NumberTerm, ...]


@dataclass(frozen=True)
class Word:
    """A text written in the rule."""

    text: str


@dataclass(frozen=True)
class Truth:
    """True or False as written in the rule."""

    value: bool


@dataclass(frozen=True)
class AtMost:
    """The left number is less than or equal to the right one."""

    left: NumberTerm
    right: NumberTerm


@dataclass(frozen=True)
class Below:
    """The left number is less than the right one."""

    left: NumberTerm
    right: NumberTerm


@dataclass(frozen=True)
class Equal:
    """Two exact numbers are equal."""

    left: NumberTerm
    right: NumberTerm


@dataclass(frozen=True)
class SameText:
    """Two texts are the same, letter for letter."""

    left: TextTerm
    right: TextTerm


@dataclass(frozen=True)
class OneOf:
    """A text is one of the words listed."""

    text: TextTerm
    words: tuple[str, ...]


@dataclass(frozen=True)
class All:
    """Every part holds."""

    parts: tuple[TruthTerm, ...]


@dataclass(frozen=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[TruthTerm, ...]


@dataclass(frozen=True)
class Not:
    """The part does not hold."""

    part: TruthTerm


NumberTerm = ColumnTerm | Constant | LimitTerm | Negative | Sum | Product | Quotient | Absolute | Extreme
TextTerm = ColumnTerm | Word
TruthTerm = ColumnTerm | Truth | AtMost | Below | Equal | SameText | OneOf | All | AnyOf | Not
Term = NumberTerm | TextTerm | TruthTerm


def terms_within(term: Term) -> Iterator[Term]:
    """Yield the term itself and every term inside it, outermost first."""
    yield term
    for part in parts_of(term):
        yield from terms_within(part)


def columns_within(term: Term) -> tuple[ColumnTerm, ...]:
    """Return the columns that a term reads, each once, in the order they are written."""
    return tuple(dict.fromkeys(part for part in terms_within(term) if isinstance(part, ColumnTerm)))


def has_arithmetic(term: Term) -> bool:
    """Return whether a term adds, multiplies or divides, so that floats would round."""
    return any(isinstance(part, Sum | Product | Quotient) for part in terms_within(term))


def bind_limits(term: TruthTerm, values: Mapping[str, float]) -> TruthTerm:
    """Return the condition with every named limit replaced by its number."""
    return cast("TruthTerm", _bound(term, values))


def parts_of(term: Term) -> Iterator[Term]:
    """Yield the terms directly inside a term."""
    for value in vars(term).values():
        for part in value if isinstance(value, tuple) else (value,):
            if is_dataclass(part):
                yield part  # type: ignore[misc]


def _bound(term: Any, values: Mapping[str, float]) -> Any:
    if isinstance(term, LimitTerm):
        return Constant(values[term.name])
    if isinstance(term, tuple):
        return tuple(_bound(part, values) for part in term)
    if not is_dataclass(term) or isinstance(term, type):
        return term
    return replace(term, **{field.name: _bound(getattr(term, field.name), values) for field in fields(term)})
