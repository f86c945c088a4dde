"""A rule made ready: its limits put in, its two conditions turned into functions, and how it comes out on one row."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, lru_cache
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.rules import terms
from packcheck.rules.catalogue import Column, Measured, Table, Value
from packcheck.rules.condition import Condition, condition_of, open_columns_of
from packcheck.rules.findings import Outcome
from packcheck.rules.intervals import Values
from packcheck.rules.rule import Rule


class RowAnswer(NamedTuple):
    """How a rule comes out on one row.

    ``lacking`` are the columns whose datum is missing or was read with an unfit instrument, ``wide`` those whose
    reading leaves the condition open; both empty unless the outcome is unproven or undecided.
    """

    outcome: Outcome
    lacking: tuple[str, ...] = ()
    wide: tuple[str, ...] = ()


MET, BROKEN, NOT_APPLICABLE = map(RowAnswer, (Outcome.MET, Outcome.BROKEN, Outcome.NOT_APPLICABLE))


class Columns(dict[str, list[Value]]):
    """The columns of a table's rows by name, each gathered when a rule first reads it."""

    def __init__(self, rows: Sequence[Values]) -> None:
        self.rows = rows

    def __missing__(self, name: str) -> list[Value]:
        self[name] = [values.get(name) for values in self.rows]
        return self[name]


@dataclass(frozen=True)
class CompiledRule:
    """A rule ready to be judged.

    ``where`` and ``require`` are its conditions with every limit replaced by its number, ``applies`` and ``holds``
    the same as functions; ``limits`` gives the number and unit of each limit, for what is said.  ``columns`` are the
    table's columns by name, ``reads`` the names of those that the conditions read.
    """

    rule: Rule
    table: Table
    where: terms.TruthTerm
    require: terms.TruthTerm
    applies: Condition
    holds: Condition
    limits: Mapping[str, tuple[float, str]]
    columns: Mapping[str, Column]
    reads: tuple[str, ...]

    def answers(self, columns: Columns) -> list[RowAnswer]:
        """Return how the rule comes out on each row; rows alike in all that it reads are answered once."""
        if not self.reads:
            return [self.answer(values) for values in columns.rows]
        read = [columns[name] for name in self.reads]
        unlike = dict(zip(zip(*read, strict=True), columns.rows, strict=True))
        answer_to = {key: self.answer(values) for key, values in unlike.items()}
        return list(map(answer_to.__getitem__, zip(*read, strict=True)))

    def answer(self, values: Values) -> RowAnswer:
        """Return how the rule comes out on one row: ``MET``, ``BROKEN``, ``NOT_APPLICABLE`` itself, or an open answer.

        A reading of an unfit instrument proves nothing met and nothing inapplicable; what it shows broken is broken.
        """
        applies = self.applies(values, True)
        if applies is False:
            return NOT_APPLICABLE
        holds = self.holds(values, True)
        if holds is True:
            return MET if applies else NOT_APPLICABLE
        if self.holds(values, False) is False and self.applies(values, False) is True:
            return BROKEN
        return self._open(values)

    @cached_property
    def _asked(self) -> tuple[Callable[[Values], tuple[str, ...]], ...]:
        return open_columns_of(self.where), open_columns_of(self.require)

    def _open(self, values: Values) -> RowAnswer:
        columns = tuple(dict.fromkeys(column for part in self._asked for column in part(values)))
        lacking = tuple(column for column in columns if _lacks(values.get(column)))
        if lacking:
            return RowAnswer(Outcome.UNPROVEN, lacking)
        wide = tuple(column for column in columns if _is_wide(values.get(column)))
        return RowAnswer(Outcome.UNDECIDED, (), wide or columns)


@lru_cache(maxsize=1024)
def compile_rule(rule: Rule, table: Table, limits: tuple[tuple[str, float], ...] = ()) -> CompiledRule:
    """Return the rule ready to judge rows of its fact table.

    ``limits`` are the (name, value) pairs that a shop adopted in place of the rule's own, in the rule's units.
    """
    values = {name: limit.number for name, limit in rule.limits.items()} | dict(limits)
    said = {name: (values[name], limit.unit) for name, limit in rule.limits.items()}
    where = terms.bind_limits(rule.where, values)
    require = terms.bind_limits(rule.require, values)
    reads = tuple(column.name for column in terms.columns_within(terms.All((where, require))))
    applies, holds = condition_of(where), condition_of(require)
    return CompiledRule(rule, table, where, require, applies, holds, said, table.column_by_name, reads)


def _lacks(value: Value) -> bool:
    """Return whether a column has no value, or only one that proves nothing."""
    return value is None or (isinstance(value, Measured) and not value.fit)


def _is_wide(value: Value) -> bool:
    return isinstance(value, Measured) and value.low < value.high
