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

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from math import inf, isinf

from packcheck.files.problems import OwnFault
from packcheck.rules import terms
from packcheck.rules.catalogue import Measured, Value

Values = Mapping[str, Value]
Truth = bool | None
Condition = Callable[[Values, bool], Truth]
"""``condition(values, widened)``: True, False, or None for what the facts leave open."""
Number = float | Fraction
Interval = tuple[Number, Number]
IntervalOf = Callable[[Values, bool], Interval]
"""``interval(values, widened)``: the least and the greatest value a number can have."""

_ANYTHING: Interval = (-inf, inf)
_ROUNDING = 4e-16
"""What one operation on floats may lose, as a share of what goes in: two units in the last place."""
_TINY, _GREATEST = 1e-300, 1e308


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
    match term:
        case terms.AtMost():
            return lambda values, widened: _at_most(left(values, widened), right(values, widened))
        case terms.Below():
            return lambda values, widened: _below(left(values, widened), right(values, widened))
    return lambda values, widened: _equal(left(values, widened), right(values, widened))


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


# -- numbers -----------------------------------------------------------------------------------------------------------


def interval_of(term: terms.NumberTerm, exact: bool) -> IntervalOf:
    """Return a number as a function to the least and the greatest value it can have; ``exact`` takes fractions."""
    match term:
        case terms.ColumnTerm(name):
            return _reading(name, exact)
        case terms.Constant(value):
            taken = _taken(value) if exact else value
            return lambda _values, _widened: (taken, taken)
        case terms.Negative(inner):
            return _of_one(interval_of(inner, exact), lambda i: (-i[1], -i[0]))
        case terms.Absolute(inner):
            return _of_one(interval_of(inner, exact), lambda i: (max(i[0], -i[1], 0), max(-i[0], i[1])))
        case terms.Extreme(greatest, parts):
            return _extreme(max if greatest else min, [interval_of(part, exact) for part in parts])
        case terms.Sum(parts):
            return _sum([interval_of(part, exact) for part in parts], exact)
        case terms.Product(left, right):
            return _of_two(interval_of(left, exact), interval_of(right, exact), _product if exact else _rough_product)
        case terms.Quotient(left, right):
            return _of_two(interval_of(left, exact), interval_of(right, exact), _quotient if exact else _rough_quotient)
    raise OwnFault(f"a limit without its number: {term}")


def _reading(name: str, exact: bool) -> IntervalOf:
    def interval(values: Values, widened: bool) -> Interval:
        value = values.get(name)
        if value is None:
            return _ANYTHING
        if isinstance(value, Measured):
            if widened and not value.fit:
                return _ANYTHING
            low, high = value.low, value.high
        elif isinstance(value, str | bool):
            raise OwnFault(f"the number column {name} holds {value!r}")
        else:
            low = high = value
        if not low <= high:
            raise OwnFault(f"the column {name} holds {value!r}, which is no interval")
        return (_taken(low), _taken(high)) if exact else (low, high)

    return interval


def _taken(value: float) -> Number:
    """Return a float as the decimal it is written as; what is infinite stays so."""
    return value if isinf(value) else Fraction(Decimal(repr(float(value))))


def _of_one(inner: IntervalOf, of: Callable[[Interval], Interval]) -> IntervalOf:
    return lambda values, widened: of(inner(values, widened))


def _of_two(left: IntervalOf, right: IntervalOf, of: Callable[[Interval, Interval], Interval]) -> IntervalOf:
    return lambda values, widened: of(left(values, widened), right(values, widened))


def _extreme(pick: Callable[..., Number], parts: list[IntervalOf]) -> IntervalOf:
    def interval(values: Values, widened: bool) -> Interval:
        lows, highs = zip(*(part(values, widened) for part in parts), strict=True)
        return pick(lows), pick(highs)

    return interval


def _sum(parts: list[IntervalOf], exact: bool) -> IntervalOf:
    def interval(values: Values, widened: bool) -> Interval:
        lows, highs = zip(*(part(values, widened) for part in parts), strict=True)
        low, high = _added(lows, -inf), _added(highs, inf)
        return (low, high) if exact else (_lower(low, _size(lows)), _higher(high, _size(highs)))

    return interval


def _added(ends: tuple[Number, ...], unknown: float) -> Number:
    infinite = {end for end in ends if isinstance(end, float) and isinf(end)}
    if len(infinite) == 2:
        return unknown
    return infinite.pop() if infinite else sum(ends)


def _product(left: Interval, right: Interval) -> Interval:
    corners: list[Number] = [a * b if a and b else 0 for a in left for b in right]
    return min(corners), max(corners)


def _rough_product(left: Interval, right: Interval) -> Interval:
    low, high = _product(left, right)
    return _lower(low, _magnitude(low)), _higher(high, _magnitude(high))


def _rough_quotient(above: Interval, below: Interval) -> Interval:
    low, high = _quotient(above, below)
    return _lower(low, _magnitude(low)), _higher(high, _magnitude(high))


def _size(ends: tuple[Number, ...]) -> Number:
    """Return what the rounding of a sum is a share of."""
    return len(ends) * sum(_magnitude(end) for end in ends if not isinf(end))


def _magnitude(number: Number) -> Number:
    return -number if number < 0 else number


def _lower(end: Number, size: Number) -> Number:
    return end if end == -inf else min(end - _ROUNDING * size - _TINY, _GREATEST)


def _higher(end: Number, size: Number) -> Number:
    return end if end == inf else max(end + _ROUNDING * size + _TINY, -_GREATEST)


def _quotient(above: Interval, below: Interval) -> Interval:
    if below[0] <= 0 <= below[1]:
        return _ANYTHING
    corners: list[Number] = [_divided(a, b) for a in above for b in below]
    return min(corners), max(corners)


def _divided(above: Number, below: Number) -> Number:
    if isinstance(below, float) and isinf(below):
        return 0
    return above / below
