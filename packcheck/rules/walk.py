"""Walk a condition over one row, exactly: does it surely hold, possibly hold, and which part leaves it open?

This is the second road to the answer that :mod:`packcheck.rules.compile` writes as SQL.  Where a condition adds,
multiplies or divides, numbers are taken as the decimals they were written as and reckoned with ``Fraction``, so that
a limit met to the last digit is met.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import inf, isinf
from typing import NamedTuple

from packcheck.files.problems import OwnFault
from packcheck.rules import terms
from packcheck.rules.catalogue import Measured, Value
from packcheck.rules.findings import Outcome

Number = float | Fraction
Interval = tuple[Number, Number]
_ANYTHING: Interval = (-inf, inf)


class Answer(NamedTuple):
    """Whether a condition holds at every value that the facts allow, and whether it holds at any."""

    surely: bool
    possibly: bool


_OPEN = Answer(False, True)


class RowAnswer(NamedTuple):
    """How a rule comes out on one row.

    ``lacking`` are the columns whose datum is missing or was read with an unfit instrument, ``wide`` those whose
    reading leaves the condition open; both empty unless the outcome is unproven or undecided.
    """

    outcome: Outcome
    lacking: tuple[str, ...] = ()
    wide: tuple[str, ...] = ()


@dataclass(frozen=True)
class Walk:
    """One row's values, and how to take them.

    ``widened``: a reading of an unfit instrument counts as unknown.  ``exact``: reckon with fractions.
    """

    values: Mapping[str, Value]
    widened: bool = True
    exact: bool = False

    def answer(self, term: terms.TruthTerm) -> Answer:
        """Return whether a condition surely and possibly holds."""
        match term:
            case terms.Truth(value):
                return Answer(value, value)
            case terms.ColumnTerm(name):
                flag = self.values.get(name)
                return _OPEN if flag is None else Answer(bool(flag), bool(flag))
            case terms.Not(part):
                surely, possibly = self.answer(part)
                return Answer(not possibly, not surely)
            case terms.All(parts):
                answers = [self.answer(part) for part in parts]
                return Answer(all(a.surely for a in answers), all(a.possibly for a in answers))
            case terms.AnyOf(parts):
                answers = [self.answer(part) for part in parts]
                return Answer(any(a.surely for a in answers), any(a.possibly for a in answers))
            case terms.SameText(left, right):
                return self._text_answer(self._text(left), (self._text(right),))
            case terms.OneOf(text, words):
                return self._text_answer(self._text(text), words)
        return self._comparison(term)

    def open_columns(self, term: terms.TruthTerm) -> Iterator[str]:
        """Yield the columns read by the innermost parts that leave a condition open."""
        surely, possibly = self.answer(term)
        if surely or not possibly:
            return
        match term:
            case terms.All(parts) | terms.AnyOf(parts):
                for part in parts:
                    yield from self.open_columns(part)
            case terms.Not(part):
                yield from self.open_columns(part)
            case _:
                yield from (column.name for column in terms.columns_within(term))

    def lacks(self, column: str) -> bool:
        """Return whether a column has no value, or only one that proves nothing."""
        value = self.values.get(column)
        return value is None or (isinstance(value, Measured) and not value.fit)

    # -- comparisons ---------------------------------------------------------------------------------------------

    def _comparison(self, term: terms.AtMost | terms.Below | terms.Equal) -> Answer:
        (a_low, a_high), (b_low, b_high) = self.interval(term.left), self.interval(term.right)
        if isinstance(term, terms.Below):
            return Answer(a_high < b_low, a_low < b_high)
        if isinstance(term, terms.AtMost):
            return Answer(a_high <= b_low, a_low <= b_high)
        return Answer(a_high <= b_low and b_high <= a_low, a_low <= b_high and b_low <= a_high)

    def _text(self, term: terms.TextTerm) -> str | None:
        if isinstance(term, terms.Word):
            return term.text
        value = self.values.get(term.name)
        return None if value is None else str(value)

    def _text_answer(self, text: str | None, words: tuple[str | None, ...]) -> Answer:
        if text is None or None in words:
            return _OPEN
        return Answer(text in words, text in words)

    # -- numbers -------------------------------------------------------------------------------------------------

    def interval(self, term: terms.NumberTerm) -> Interval:
        """Return the least and the greatest value that a number can have."""
        match term:
            case terms.ColumnTerm(name):
                return self._reading(self.values.get(name))
            case terms.Constant(value):
                return self._taken(value), self._taken(value)
            case terms.Negative(inner):
                low, high = self.interval(inner)
                return -high, -low
            case terms.Absolute(inner):
                low, high = self.interval(inner)
                return max(low, -high, 0), max(-low, high)
            case terms.Extreme(greatest, parts):
                pick = max if greatest else min
                ends = zip(*(self.interval(part) for part in parts), strict=True)
                low, high = (pick(end) for end in ends)
                return low, high
            case terms.Sum(parts):
                lows, highs = zip(*(self.interval(part) for part in parts), strict=True)
                return _added(lows, -inf), _added(highs, inf)
            case terms.Product(left, right):
                return _product(self.interval(left), self.interval(right))
            case terms.Quotient(left, right):
                return _quotient(self.interval(left), self.interval(right))
        raise OwnFault(f"a limit without its number: {term}")

    def _reading(self, value: Value) -> Interval:
        if value is None:
            return _ANYTHING
        if isinstance(value, Measured):
            if self.widened and not value.fit:
                return _ANYTHING
            return self._taken(value.low), self._taken(value.high)
        if isinstance(value, str):
            raise OwnFault(f"a number column holds the text {value!r}")
        return self._taken(value), self._taken(value)

    def _taken(self, value: float) -> Number:
        """Return a float as the decimal it is written as, or unchanged where nothing is reckoned."""
        rounded = float(value)
        return Fraction(repr(rounded)) if self.exact and not isinf(rounded) else rounded


def judge_row(
    where: terms.TruthTerm, require: terms.TruthTerm, values: Mapping[str, Value], exact: bool = True
) -> RowAnswer:
    """Return how a rule with these conditions comes out on one row.

    ``exact`` may be False, which is quicker, where the conditions neither add nor multiply nor divide.
    A reading of an unfit instrument proves nothing met and nothing inapplicable; what it shows broken is broken.
    """
    widened = Walk(values, widened=True, exact=exact)
    applies, holds = widened.answer(where), widened.answer(require)
    if not applies.possibly:
        return RowAnswer(Outcome.NOT_APPLICABLE)
    if holds.surely:
        return RowAnswer(Outcome.MET if applies.surely else Outcome.NOT_APPLICABLE)
    as_read = Walk(values, widened=False, exact=exact)
    if not as_read.answer(require).possibly and as_read.answer(where).surely:
        return RowAnswer(Outcome.BROKEN)
    return _open_row(widened, where, require)


def _open_row(walk: Walk, where: terms.TruthTerm, require: terms.TruthTerm) -> RowAnswer:
    columns = tuple(dict.fromkeys([*walk.open_columns(where), *walk.open_columns(require)]))
    lacking = tuple(column for column in columns if walk.lacks(column))
    if lacking:
        return RowAnswer(Outcome.UNPROVEN, lacking)
    wide = tuple(column for column in columns if _is_wide(walk.values.get(column)))
    return RowAnswer(Outcome.UNDECIDED, (), wide or columns)


def _is_wide(value: Value) -> bool:
    return isinstance(value, Measured) and value.low < value.high


def _added(ends: tuple[Number, ...], unknown: float) -> Number:
    infinite = {end for end in ends if isinstance(end, float) and isinf(end)}
    if len(infinite) == 2:
        return unknown
    return infinite.pop() if infinite else sum(ends)


def _product(left: Interval, right: Interval) -> Interval:
    corners = [a * b if a and b else 0 for a in left for b in right]
    return min(corners), max(corners)


def _quotient(above: Interval, below: Interval) -> Interval:
    if below[0] <= 0 <= below[1]:
        return _ANYTHING
    corners = [_divided(a, b) for a in above for b in below]
    return min(corners), max(corners)


def _divided(above: Number, below: Number) -> Number:
    if isinstance(below, float) and isinf(below):
        return 0
    return above / below
