"""A second road from a condition to its answer: SQL over the stored facts, once *surely* and once *possibly*.

It shares nothing with :mod:`packcheck.rules.condition` but the tree that a condition is read into.  ``a <= b`` surely
holds where ``a_hi <= b_lo`` and possibly where ``a_lo <= b_hi``; ``not`` swaps the two; what is missing is
(-inf, inf), or open for a flag or a text, so that SQL's NULL never reaches a condition.  Floats round where a
condition adds, multiplies or divides: the SQL then answers for a slightly wider interval.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from math import inf, nextafter

from packcheck.facts.store import fill_store
from packcheck.rules import terms
from packcheck.rules.catalogue import Facts, Table

_NO_LEAST, _NO_GREATEST = "-9e999", "9e999"
_ROUNDING = 4e-16
_TINY = "1e-300"


@contextmanager
def stored(facts: Facts, tables: Iterable[Table]) -> Iterator[sqlite3.Connection]:
    """Yield a database in memory with the facts in it."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        fill_store(connection, facts, tables)
        yield connection


class SqlWriter:
    """Writes conditions over one table as SQL and gathers the constants to bind."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.parameters: list[float | str] = []
        self._place: dict[float | str, int] = {}

    def surely(self, term: terms.TruthTerm, widened: bool = True) -> str:
        """Return SQL that is 1 where the condition holds at every value the facts allow, else 0."""
        return self._truth(term, True, widened)

    def possibly(self, term: terms.TruthTerm, widened: bool = False) -> str:
        """Return SQL that is 1 where the condition holds at some value the facts allow, else 0."""
        return self._truth(term, False, widened)

    # -- conditions ----------------------------------------------------------------------------------------------

    def _truth(self, term: terms.TruthTerm, surely: bool, widened: bool) -> str:
        match term:
            case terms.Truth(value):
                return "1" if value else "0"
            case terms.ColumnTerm(name):
                return f"ifnull({self._name(name)}, {0 if surely else 1})"
            case terms.Not(part):
                return f"(NOT {self._truth(part, not surely, widened)})"
            case terms.All(parts):
                return "(" + " AND ".join(self._truth(part, surely, widened) for part in parts) + ")"
            case terms.AnyOf(parts):
                return "(" + " OR ".join(self._truth(part, surely, widened) for part in parts) + ")"
            case terms.SameText(left, right):
                return f"ifnull({self._text(left)} = {self._text(right)}, {0 if surely else 1})"
            case terms.OneOf(text, words):
                listed = ", ".join(self._bind(word) for word in words)
                return f"ifnull({self._text(text)} IN ({listed}), {0 if surely else 1})"
        return self._comparison(term, surely, widened)

    def _comparison(self, term: terms.AtMost | terms.Below | terms.Equal, surely: bool, widened: bool) -> str:
        left, right = self._bounds(term.left, widened), self._bounds(term.right, widened)
        sign = "<" if isinstance(term, terms.Below) else "<="
        near, far = (1, 0) if surely else (0, 1)
        one_way = f"({left[near]} {sign} {right[far]})"
        if not isinstance(term, terms.Equal):
            return one_way
        return f"({one_way} AND ({right[near]} <= {left[far]}))"

    def _text(self, term: terms.TextTerm) -> str:
        return self._bind(term.text) if isinstance(term, terms.Word) else self._name(term.name)

    # -- numbers: least and greatest value -------------------------------------------------------------------------

    def _bounds(self, term: terms.NumberTerm, widened: bool) -> tuple[str, str]:
        match term:
            case terms.ColumnTerm():
                return self._column(term, widened)
            case terms.Constant(value):
                return self._bind(value), self._bind(value)
            case terms.Negative(inner):
                low, high = self._bounds(inner, widened)
                return f"(-{high})", f"(-{low})"
            case terms.Absolute(inner):
                low, high = self._bounds(inner, widened)
                return f"max({low}, -{high}, 0.0)", f"max(-{low}, {high})"
            case terms.Extreme(greatest, parts):
                ends = zip(*(self._bounds(part, widened) for part in parts), strict=True)
                low, high = (f"{'max' if greatest else 'min'}({', '.join(end)})" for end in ends)
                return low, high
            case terms.Sum(parts):
                return self._sum([self._bounds(part, widened) for part in parts])
            case terms.Product(left, right):
                return self._product(self._bounds(left, widened), self._bounds(right, widened))
            case terms.Quotient(left, right):
                return self._quotient(self._bounds(left, widened), self._bounds(right, widened))
        raise AssertionError(f"a limit without its number: {term}")

    def _column(self, term: terms.ColumnTerm, widened: bool) -> tuple[str, str]:
        if term.kind == "number":
            name = self._name(term.name)
            return f"ifnull({name}, {_NO_LEAST})", f"ifnull({name}, {_NO_GREATEST})"
        low, high = self._name(term.name + "_lo"), self._name(term.name + "_hi")
        if not widened:
            return f"ifnull({low}, {_NO_LEAST})", f"ifnull({high}, {_NO_GREATEST})"
        fit = self._name(term.name + "_fit")
        return f"iif({fit}, {low}, {_NO_LEAST})", f"iif({fit}, {high}, {_NO_GREATEST})"

    def _sum(self, parts: list[tuple[str, str]]) -> tuple[str, str]:
        share = _ROUNDING * (len(parts) + 1)
        lows, highs = zip(*parts, strict=True)
        least = f"{' + '.join(lows)} - {share} * ({' + '.join(f'abs({low})' for low in lows)}) - {_TINY}"
        most = f"{' + '.join(highs)} + {share} * ({' + '.join(f'abs({high})' for high in highs)}) + {_TINY}"
        return f"ifnull({least}, {_NO_LEAST})", f"ifnull({most}, {_NO_GREATEST})"

    def _product(self, left: tuple[str, str], right: tuple[str, str]) -> tuple[str, str]:
        corners = ", ".join(f"ifnull({a} * {b}, 0.0)" for a in left for b in right)
        return _widen(f"min({corners})", f"max({corners})")

    def _quotient(self, above: tuple[str, str], below: tuple[str, str]) -> tuple[str, str]:
        corners = ", ".join(f"ifnull({a} / {b}, 0.0)" for a in above for b in below)
        bounded = f"{below[0]} > 0 OR {below[1]} < 0"
        low, high = _widen(f"min({corners})", f"max({corners})")
        return f"iif({bounded}, {low}, {_NO_LEAST})", f"iif({bounded}, {high}, {_NO_GREATEST})"

    # -- names and constants -------------------------------------------------------------------------------------

    def _name(self, column: str) -> str:
        return f'"{self.table.name}"."{column}"'

    def _bind(self, value: float | str) -> str:
        if value not in self._place:
            self.parameters.append(value)
            self._place[value] = len(self.parameters)
        return f"?{self._place[value]}"


def _widen(low: str, high: str) -> tuple[str, str]:
    down, up = nextafter(1 - _ROUNDING, -inf), nextafter(1 + _ROUNDING, inf)
    return (
        f"ifnull(min({low} * {down}, {low} * {up}) - {_TINY}, {_NO_LEAST})",
        f"ifnull(max({high} * {down}, {high} * {up}) + {_TINY}, {_NO_GREATEST})",
    )
