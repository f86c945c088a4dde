"""Turn a rule's answer on one row into a finding: what was found, what was needed, what to record or do."""

from __future__ import annotations

from collections.abc import Mapping

from packcheck.rules.catalogue import Column, Datum, Measured, Row
from packcheck.rules.compile import CompiledRule, RowAnswer
from packcheck.rules.findings import Finding, Outcome
from packcheck.rules.says import Template, fill


def describe(compiled: CompiledRule, row: Row, answer: RowAnswer, waived: str = "") -> Finding:
    """Return the finding for a row on which a rule is broken, undecided or unproven.

    Its data are what has to be recorded, or read more finely, each datum once.
    """
    rule = compiled.rule
    named = {name: _datum(compiled.columns[name], row) for name in answer.lacking or answer.wide}
    data = tuple(dict.fromkeys(named.values()))
    return Finding(
        rule=rule.name, title=rule.title, family=rule.family, severity=rule.severity, gate=rule.gate,
        outcome=answer.outcome, subject=row.subject, place=row.place or row.subject,
        found=_found(compiled, row, answer, named), needed=_filled(rule.says.needed, compiled, row), why=rule.why,
        do=_do(rule.remedy, answer, data), data=data, touches=row.touches, origin=row.origin, waived=waived,
        unfit=_unfit_instruments(row, answer), explained_by=_explained_by(compiled, row, answer),
        drawn=rule.judges_layout,
    )  # fmt: skip


def _explained_by(compiled: CompiledRule, row: Row, answer: RowAnswer) -> frozenset[str] | None:
    """Return the parts whose faults, taken out of the row's numbers, leave the rule not broken."""
    if answer.outcome is Outcome.UNPROVEN or row.reckoned.isdisjoint(compiled.reads):
        return None
    parts: set[str] = set()
    for without in row.without:
        values = {**row.values, **without.values}
        if compiled.answer(values).outcome in (Outcome.MET, Outcome.NOT_APPLICABLE):
            parts |= without.parts
    return frozenset(parts)


def _unfit_instruments(row: Row, answer: RowAnswer) -> frozenset[str]:
    readings = [value for name in answer.lacking if isinstance(value := row.values.get(name), Measured)]
    return frozenset(reading.instrument for reading in readings if not reading.fit and reading.instrument)


def _datum(column: Column, row: Row) -> Datum:
    value = row.values.get(column.name)
    datum = row.missing.get(column.name)
    if datum is None or (isinstance(value, Measured) and (value.fit or not datum.place)):
        datum = Datum(_what(column), row.subject, column.instrument, row.face)
    if isinstance(value, Measured) and not value.fit:
        because = value.unfit_because or "the one used is not"
        return datum._replace(what=f"{datum.what}, with a fit instrument ({because})")
    return datum


def _what(column: Column) -> str:
    return column.datum or column.meaning.rstrip(".") or column.name.replace("_", " ")


def _filled(template: Template, compiled: CompiledRule, row: Row) -> str:
    return fill(template, row, compiled.columns, compiled.limits, compiled.table.subject)


def _found(compiled: CompiledRule, row: Row, answer: RowAnswer, named: Mapping[str, Datum]) -> str:
    if answer.outcome is not Outcome.UNPROVEN:
        found = _filled(compiled.rule.says.found, compiled, row)
        return found if answer.outcome is Outcome.BROKEN else f"{found}; the readings are too coarse to tell"
    absent = [datum.what for name, datum in named.items() if row.values.get(name) is None]
    unfit = [_unfit(row, name) for name in named if row.values.get(name) is not None]
    parts = [f"not recorded: {', '.join(dict.fromkeys(absent))}"] if absent else []
    return "; ".join([*parts, *dict.fromkeys(unfit)])


def _unfit(row: Row, column: str) -> str:
    value = row.values[column]
    because = value.unfit_because if isinstance(value, Measured) else ""
    return f"a reading that proves nothing: {because or 'its instrument is not fit'}"


def _do(remedy: str, answer: RowAnswer, data: tuple[Datum, ...]) -> str:
    if answer.outcome is Outcome.BROKEN:
        return remedy
    verb = "Record" if answer.outcome is Outcome.UNPROVEN else "Measure again with something finer"
    return f"{verb}: {'; '.join(_task(datum) for datum in data)}."


def _task(datum: Datum) -> str:
    return f"{datum.what} at {datum.place}" + (f" ({datum.instrument})" if datum.instrument else "")
