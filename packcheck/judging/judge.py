"""Judge facts by rules: which rule is met, broken, undecided or unproven on which subject; it changes neither."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from packcheck.files.frozen import dataclass
from packcheck.files.problems import OwnFault
from packcheck.judging.describing import describe
from packcheck.judging.folding import fold_consequences
from packcheck.rules.catalogue import Facts, Row, Table
from packcheck.rules.compile import MET, NOT_APPLICABLE, Columns, CompiledRule, RowAnswer, compile_rule
from packcheck.rules.findings import GATES, Finding, Gate, Judgement, Outcome, Severity, Tally, Verdict
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

_NOTHING: Mapping[Outcome, int] = Counter()
_SEVERITIES, _OUTCOMES = ({one: rank for rank, one in enumerate(each)} for each in (Severity, Outcome))
_HOLDING = frozenset({Outcome.BROKEN, Outcome.UNDECIDED, Outcome.UNPROVEN})


def judge(
    rules: Iterable[Rule],
    facts: Facts,
    tables: Mapping[str, Table],
    *,
    gate: Gate,
    profile: Profile | None = None,
    layout_only: bool = False,
) -> Judgement:
    """Return what the rules up to a gate say about the facts.

    Parameters
    ----------
    rules : the rules; those of later gates are only counted.
    facts : the rows of each fact table.
    tables : the fact tables by name, with every table that a rule names.
    gate : by which step of the work a rule must be met to be judged.
    profile : the shop's adopted limits and waivers.
    layout_only : judge only the rules that need no record.

    Raises
    ------
    OwnFault : a fact that its column cannot hold, or a rule over an unknown table.
    """
    chosen = [rule for rule in rules if rule.judges_layout or not layout_only]
    due = [rule for rule in chosen if GATES.index(rule.gate) <= GATES.index(gate)]
    found: list[_Ranked] = []
    tallies: list[Tally] = []
    columns: dict[str, Columns] = {}
    for position, rule in enumerate(due):
        table, rows = _table_of(rule, tables), facts.get(rule.each, ())
        if not rows:
            tallies.append(Tally(rule.name))
            continue
        compiled = compile_rule(rule, table, adopted_limits(rule, profile))
        if table.name not in columns:
            columns[table.name] = Columns([table.values_of(row) for row in rows])
        answers = compiled.answers(columns[table.name])
        met, not_applicable = answers.count(MET), answers.count(NOT_APPLICABLE)
        acted_on = []
        if met + not_applicable < len(answers):
            acted_on = [(row, a) for row, a in enumerate(answers) if a is not MET and a is not NOT_APPLICABLE]
        tallies.append(_tally(rule, met, not_applicable, acted_on))
        if acted_on:
            found.extend(_ranked(compiled, position, acted_on, rows, profile))
    findings = [ranked.finding for ranked in sorted(found, key=lambda ranked: ranked.rank)]
    verdict = compute_verdict(findings, tallies)
    later = tuple((g, sum(rule.gate is g for rule in chosen)) for g in GATES[GATES.index(gate) + 1 :])
    return Judgement(gate, verdict, fold_consequences(findings, chosen), tuple(tallies), later)


def compute_verdict(findings: Iterable[Finding], tallies: Sequence[Tally]) -> Verdict:
    """Return the answer at a gate, from all findings before any is folded under another.

    A run in which no rule applied to anything is a hold: nothing was checked.
    """
    holding = [finding for finding in findings if not finding.waived and finding.outcome in _HOLDING]
    if any(f.severity is Severity.NEVER_ENERGIZE and f.outcome is Outcome.BROKEN for f in holding):
        return Verdict.DO_NOT_ENERGIZE
    if any(f.severity is not Severity.ADVISE for f in holding):
        return Verdict.HOLD
    return Verdict.NO_RULE_BROKEN if any(tally.judged for tally in tallies) else Verdict.HOLD


@dataclass(frozen=True)
class _Ranked:
    """A finding with its place in the order: live shorts, then worst first, by gate, by rule and by subject."""

    rank: tuple[bool, int, int, int, int, int]
    finding: Finding


def _table_of(rule: Rule, tables: Mapping[str, Table]) -> Table:
    if rule.each not in tables:
        raise OwnFault(f"the rule {rule.name} is about {rule.each}, which is no fact table")
    return tables[rule.each]


def adopted_limits(rule: Rule, profile: Profile | None) -> tuple[tuple[str, float], ...]:
    """Return the numbers that a shop has put in the place of limits of a rule, by their names."""
    adopted = profile.limits.get(rule.name, {}) if profile else {}
    return tuple((name, value.number) for name, value in adopted.items())


def _tally(rule: Rule, met: int, not_applicable: int, acted_on: Sequence[tuple[int, RowAnswer]]) -> Tally:
    count = Counter(answer.outcome for _, answer in acted_on) if acted_on else _NOTHING
    return Tally(
        rule.name, met, count[Outcome.BROKEN], count[Outcome.UNDECIDED], count[Outcome.UNPROVEN], not_applicable
    )


def _ranked(
    compiled: CompiledRule,
    position: int,
    acted_on: Iterable[tuple[int, RowAnswer]],
    rows: Sequence[Row],
    profile: Profile | None,
) -> Iterable[_Ranked]:
    rule = compiled.rule
    waiver = profile.waivers.get(rule.name) if profile and rule.severity is not Severity.NEVER_ENERGIZE else None
    severity = _SEVERITIES[rule.severity]
    for index, answer in acted_on:
        finding = describe(compiled, rows[index], answer, waived=waiver.sentence() if waiver else "")
        later = not (rule.stands_first and answer.outcome is Outcome.BROKEN)
        rank = (later, severity, _OUTCOMES[answer.outcome], GATES.index(rule.gate), position, index)
        yield _Ranked(rank, finding)
