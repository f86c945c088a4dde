"""How far a shop may move the limit of a rule: which way it loosens, and what still makes sense."""

from __future__ import annotations

from fractions import Fraction

from packcheck.rules.catalogue import Table
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Outcome, Severity
from packcheck.rules.rule import Limit, Rule

FURTHEST = 4
"""A limit that forbids nothing may be a fourth to four times the rule's own; common practice, no source."""
_UP = (Fraction(3, 2), Fraction(10), Fraction(10_000))
_DOWN = (Fraction(2, 3), Fraction(1, 10), Fraction(0))


def only_tightens(rule: Rule, limit: Limit) -> bool:
    """Return whether a shop may only tighten a limit: its rule forbids energizing, or somebody published it."""
    return rule.severity is Severity.NEVER_ENERGIZE or any(basis.kind == "published" for basis in limit.basis)


def range_allowed(rule: Rule, limit: Limit, table: Table) -> tuple[Fraction | None, Fraction | None]:
    """Return the least and the most that a shop may put in place of a limit; None where that end is open.

    The rule's own broken examples tell which way the limit loosens: the way on which one of them passes.  Where no
    example tells, both ways count as loosening.
    """
    own = limit.value
    if not only_tightens(rule, limit):
        most = Fraction(1) if not limit.unit and 0 < own <= 1 else own * FURTHEST
        return own / FURTHEST, min(most, own * FURTHEST)
    up = any(_lets_pass(rule, limit.name, own * factor, table) for factor in _UP)
    down = any(_lets_pass(rule, limit.name, own * factor, table) for factor in _DOWN)
    return (None if up and not down else own), (None if down and not up else own)


def _lets_pass(rule: Rule, limit: str, value: Fraction, table: Table) -> bool:
    """Return whether an example that is broken under the rule's own limit is not under another value."""
    compiled = compile_rule(rule, table, ((limit, float(value)),))
    return any(
        example.outcome is Outcome.BROKEN and compiled.answer(example.values).outcome is not Outcome.BROKEN
        for example in rule.examples
    )
