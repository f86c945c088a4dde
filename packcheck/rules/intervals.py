"""A number of a condition as a function of one row's facts: the least and the greatest value it can have.

Numbers are taken as the decimals they were written as and reckoned with as fractions, or as floats that are a little
widened for their rounding.
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
Number = float | Fraction
Interval = tuple[Number, Number]
IntervalOf = Callable[[Values, bool], Interval]
"""``interval(values, widened)``: the least and the greatest value a number can have."""

_ANYTHING: Interval = (-inf, inf)
_ROUNDING = 4e-16
"""What one operation on floats may lose, as a share of what goes in: two units in the last place."""
_TINY, _GREATEST = 1e-300, 1e308
_NO_NUMBERS = (str, bool)


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
        elif isinstance(value, _NO_NUMBERS):
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
    if left[0] >= 0 <= right[0]:
        return (left[0] * right[0] if left[0] and right[0] else 0), (left[1] * right[1] if left[1] and right[1] else 0)
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
