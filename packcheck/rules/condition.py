"""A condition as a function of one row's facts: it holds, it does not, or the facts leave it open.

A row's facts are intervals, so a comparison has three answers: ``a <= b`` holds at every value the facts allow, at
none (``False``), or at some (``None``).  What is missing is (-inf, inf), or open for a flag or a text; ``and``,
``or`` and ``not`` are those of three-valued logic.

Readings can be taken in two ways.  *Widened*, a reading of an unfit instrument counts as (-inf, inf): such an
instrument proves nothing.  *As read*, it counts as what it shows, so that what it shows broken stays broken.

A comparison that adds, multiplies or divides takes numbers as the decimals they were written as and reckons with
``Fraction``, so that a limit met to the last digit is met.  Floats, a little widened for their rounding, are asked
first: what they call certain is certain.  One that only compares needs no more than floats.
"""

from __future__ import annotations

from collections.abc import Callable

from packcheck.rules import terms
from packcheck.rules.catalogue import Value
from packcheck.rules.intervals import Interval, IntervalOf, Number, Values, interval_of

Truth = bool | None
Condition = Callable[[Values, bool], Truth]
"""``condition(values, widened)``: True, False, or None for what the facts leave open."""


def condition_of(term: terms.TruthTerm) -> Condition:
    """Return the condition that a term states."""
    match term:
        case terms.Truth(value):
            return lambda _values, _widened: value
        case terms.ColumnTerm(name):
            return _flag(name)
        case terms.Not(part):
            return _not(condition_of(part))
        case terms.All(parts):
            return _every(tuple(map(condition_of, parts)), False)
        case terms.AnyOf(parts):
            return _every(tuple(map(condition_of, parts)), True)
        case terms.SameText(left, right):
            return _same(_text(left), _text(right))
        case terms.OneOf(text, words):
            return _one_of(_text(text), frozenset(words))
    roughly = comparison(term, exact=False)
    return _settled(roughly, comparison(term, exact=True)) if terms.has_arithmetic(term) else roughly


def open_columns_of(term: terms.TruthTerm) -> Callable[[Values], tuple[str, ...]]:
    """Return a function to the columns read by the innermost parts that leave a condition open, unfit ones widened."""
    holds = condition_of(term)
    match term:
        case terms.All(parts) | terms.AnyOf(parts):
            inner = [open_columns_of(part) for part in parts]
        case terms.Not(part):
            inner = [open_columns_of(part)]
        case _:
            names = tuple(column.name for column in terms.columns_within(term))
            return lambda values: names if holds(values, True) is None else ()
    return lambda values: tuple(n for part in inner for n in part(values)) if holds(values, True) is None else ()


def comparison(term: terms.AtMost | terms.Below | terms.Equal, exact: bool) -> Condition:
    """Return a comparison of two numbers as a condition; it reckons with fractions, or with floats a little widened."""
    left, right = interval_of(term.left, exact), interval_of(term.right, exact)
    if isinstance(term.right, terms.Constant):
        return _against(term, left, right({}, False)[0])
    match term:
        case terms.AtMost():
            return lambda values, widened: _at_most(left(values, widened), right(values, widened))
        case terms.Below():
            return lambda values, widened: _below(left(values, widened), right(values, widened))
    return lambda values, widened: _equal(left(values, widened), right(values, widened))


def _against(term: terms.AtMost | terms.Below | terms.Equal, left: IntervalOf, number: Number) -> Condition:
    """Return the comparison of a number with one that is the same on every row."""

    def at_most(values: Values, widened: bool) -> Truth:
        low, high = left(values, widened)
        return True if high <= number else None if low <= number else False

    def below(values: Values, widened: bool) -> Truth:
        low, high = left(values, widened)
        return True if high < number else None if low < number else False

    def equal(values: Values, widened: bool) -> Truth:
        return _equal(left(values, widened), (number, number))

    return at_most if isinstance(term, terms.AtMost) else below if isinstance(term, terms.Below) else equal


# -- conditions --------------------------------------------------------------------------------------------------------


def _settled(roughly: Condition, exactly: Condition) -> Condition:
    def holds(values: Values, widened: bool) -> Truth:
        answer = roughly(values, widened)
        return exactly(values, widened) if answer is None else answer

    return holds


def _flag(name: str) -> Condition:
    def holds(values: Values, _widened: bool) -> Truth:
        flag = values.get(name)
        return None if flag is None else bool(flag)

    return holds


def _not(part: Condition) -> Condition:
    def holds(values: Values, widened: bool) -> Truth:
        answer = part(values, widened)
        return None if answer is None else not answer

    return holds


def _every(parts: tuple[Condition, ...], decisive: bool) -> Condition:
    """Return the conjunction (``decisive`` False) or the disjunction (True): one decisive part settles it."""

    if len(parts) == 2:
        return _both(*parts, decisive)

    def holds(values: Values, widened: bool) -> Truth:
        settled: Truth = not decisive
        for part in parts:
            answer = part(values, widened)
            if answer is decisive:
                return decisive
            if answer is None:
                settled = None
        return settled

    return holds


def _both(first: Condition, second: Condition, decisive: bool) -> Condition:
    """Return the same of two parts, as most conditions have."""

    def holds(values: Values, widened: bool) -> Truth:
        one = first(values, widened)
        if one is decisive:
            return decisive
        other = second(values, widened)
        return other if other is decisive or other is None else one

    return holds


def _text(term: terms.TextTerm) -> Callable[[Values], Value]:
    if isinstance(term, terms.Word):
        word = term.text
        return lambda _values: word
    name = term.name
    return lambda values: values.get(name)


def _same(left: Callable[[Values], Value], right: Callable[[Values], Value]) -> Condition:
    def holds(values: Values, _widened: bool) -> Truth:
        a, b = left(values), right(values)
        return None if a is None or b is None else a == b

    return holds


def _one_of(text: Callable[[Values], Value], words: frozenset[str]) -> Condition:
    def holds(values: Values, _widened: bool) -> Truth:
        found = text(values)
        return None if found is None else found in words

    return holds


def _at_most(a: Interval, b: Interval) -> Truth:
    return True if a[1] <= b[0] else None if a[0] <= b[1] else False


def _below(a: Interval, b: Interval) -> Truth:
    return True if a[1] < b[0] else None if a[0] < b[1] else False


def _equal(a: Interval, b: Interval) -> Truth:
    if a[1] <= b[0] and b[1] <= a[0]:
        return True
    return None if a[0] <= b[1] and b[0] <= a[1] else False
