"""What the parts of a condition are, number, text or truth, and what numbers with units make together."""

from __future__ import annotations

import ast
from collections.abc import Sequence

from packcheck.files.frozen import dataclass
from packcheck.rules import terms, units

ANY = None
"""The unit of a bare 0, which agrees with every unit."""


@dataclass(frozen=True)
class Number:
    """A number, its unit, and whether only numbers written in the rule stand in it (``bare``)."""

    term: terms.NumberTerm
    unit: units.Unit | None = units.PLAIN
    bare: bool = False


@dataclass(frozen=True)
class Text:
    """A text."""

    term: terms.TextTerm


@dataclass(frozen=True)
class Truth:
    """A condition."""

    term: terms.TruthTerm


Part = Number | Text | Truth


def product(left: Number, right: Number) -> Number:
    """Return one number times another."""
    unit = units.multiply_units(left.unit or units.PLAIN, right.unit or units.PLAIN)
    return Number(terms.Product(left.term, right.term), unit, left.bare and right.bare)


def quotient(left: Number, right: Number) -> Number:
    """Return one number over another."""
    unit = units.divide_units(left.unit or units.PLAIN, right.unit or units.PLAIN)
    return Number(terms.Quotient(left.term, right.term), unit, left.bare and right.bare)


def total(left: Number, right: Number, *, less: bool = False) -> Number:
    """Return one number and another of its unit, or one less the other; two temperatures differ by kelvins."""
    second = terms.Negative(right.term) if less else right.term
    first = left.term.terms if isinstance(left.term, terms.Sum) else (left.term,)
    unit = right.unit if left.unit is ANY else left.unit
    if less and left.unit == right.unit == units.CELSIUS:
        unit = units.KELVIN
    return Number(terms.Sum((*first, second)), unit, left.bare and right.bare)


def extreme(numbers: Sequence[Number], *, greatest: bool) -> Number:
    """Return the greatest or the least of several numbers of one unit."""
    unit = next((number.unit for number in numbers if number.unit is not ANY), ANY)
    term = terms.Extreme(greatest, tuple(number.term for number in numbers))
    return Number(term, unit, all(number.bare for number in numbers))


def in_order(left: Number, operator: ast.cmpop, right: Number) -> terms.TruthTerm | None:
    """Return the condition that ``<``, ``<=``, ``>`` or ``>=`` states; None for any other operator."""
    match operator:
        case ast.LtE():
            return terms.AtMost(left.term, right.term)
        case ast.Lt():
            return terms.Below(left.term, right.term)
        case ast.GtE():
            return terms.AtMost(right.term, left.term)
        case ast.Gt():
            return terms.Below(right.term, left.term)
    return None


def kind_of(part: Part) -> str:
    """Return what a part is, with its article."""
    return {Number: "a number", Text: "a text", Truth: "a condition"}[type(part)]


def same(left: Part, right: Part) -> terms.TruthTerm:
    """Return the condition that two texts, or two conditions, are alike."""
    if isinstance(left, Text) and isinstance(right, Text):
        return terms.SameText(left.term, right.term)
    assert isinstance(left, Truth)
    assert isinstance(right, Truth)
    both = terms.All((left.term, right.term))
    return terms.AnyOf((both, terms.All((terms.Not(left.term), terms.Not(right.term)))))
