"""What a page tells beyond the answer: exposure through the work, limits in force, how far readings may be off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from packcheck.exposure.answer import Passing, along_own_order
from packcheck.exposure.exposed import Asked, Exposure
from packcheck.facts.tables import table_by_name
from packcheck.judging.check import Judged
from packcheck.judging.judge import adopted_limits
from packcheck.judging.working import Working, workings_of
from packcheck.rules.catalogue import Measured, Row
from packcheck.rules.compile import CompiledRule, compile_rule
from packcheck.rules.findings import Outcome
from packcheck.rules.rule import Basis, Rule

READING = "reading"
_MOST_V, _STEP, _NARROWINGS = 1e6, 64, 20
"""From where [V] and by how much at a time a search goes down until a limit is met, and how often it then halves."""


@dataclass(frozen=True)
class LimitInForce:
    """A number that a rule was judged by, where it comes from, and who adopted it ("" where nobody did)."""

    rule: str
    name: str
    value: float
    default: float
    unit: str
    basis: tuple[Basis, ...]
    adopted_by: str = ""


@dataclass(frozen=True)
class Dossier:
    """One judged file with all that its page tells.

    ``allowed_v``: for each reading the most it may be off what the record predicts, or off 0 V where nothing joins the
    two places [V], by every rule that applied.  ``exposures`` is empty where the layout states no order of work.
    """

    judged: Judged
    exposures: tuple[Exposure, ...]
    passing: Passing | None
    allowed_v: Mapping[str, float]
    limits: tuple[LimitInForce, ...]
    workings: tuple[Working, ...]


def compose_dossier(judged: Judged) -> Dossier:
    """Return a judged file with all that its page tells."""
    opened = judged.opened
    exposures, passing = along_own_order(opened.pack, opened.record, Asked())
    return Dossier(
        judged, exposures, passing, dict(_allowed(judged)), tuple(_limits(judged)),
        tuple(workings_of(opened.pack, opened.record, judged.facts, exposures)),
    )  # fmt: skip


def _limits(judged: Judged) -> Iterator[LimitInForce]:
    applied = {tally.rule for tally in judged.report.judgement.tallies if tally.judged}
    profile = judged.profile
    for rule in judged.rules:
        if rule.name not in applied:
            continue
        adopted = profile.limits.get(rule.name, {}) if profile else {}
        for limit in rule.limits.values():
            own = adopted.get(limit.name)
            value = own.number if own else limit.number
            who = own.note.sentence() if own else ""
            yield LimitInForce(rule.name, limit.name, value, limit.number, limit.unit, limit.basis, who)


def _allowed(judged: Judged) -> Iterator[tuple[str, float]]:
    """Yield how far each reading may be off: the least that any rule about its size allows."""
    rules = [_ready(judged, rule) for rule in judged.rules if rule.each == READING and rule.limits]
    for row in judged.facts.get(READING, ()):
        column = "value_v" if row.values.get("floating") else "difference_v"
        least = _MOST_V
        for rule in rules:
            if column in rule.reads and not _met(rule, row, column, least) and _met(rule, row, column, 0.0):
                least = _most(rule, row, column, least)
        if least < _MOST_V:
            yield row.subject, least


def _ready(judged: Judged, rule: Rule) -> CompiledRule:
    return compile_rule(rule, table_by_name()[rule.each], adopted_limits(rule, judged.profile))


def _most(rule: CompiledRule, row: Row, column: str, high: float) -> float:
    """Return the largest number in a column with which a rule is met that is met with 0 and not with ``high``."""
    while high > 1e-6 and not _met(rule, row, column, high / _STEP):
        high /= _STEP
    low = high / _STEP if high > 1e-6 else 0.0
    for _ in range(_NARROWINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _met(rule, row, column, middle) else (low, middle)
    return low


def _met(rule: CompiledRule, row: Row, column: str, volts: float) -> bool:
    return rule.answer({**row.values, column: Measured(volts, volts)}).outcome is Outcome.MET
