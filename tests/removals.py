"""What can be left out of a record: every section, row, cell and key, one at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from faulty_builds import judged_facts
from test_laws import outcomes_in, outcomes_of
from workshop import Data, record_of

from packcheck.facts.build import build_facts
from packcheck.files.problems import InputProblems
from packcheck.model.pack.model import Pack
from packcheck.rules.findings import Gate, Outcome, Verdict

Way = tuple[str | int, ...]
HEADS = ("record", "layout", "of", "people", "extra", "notes", "work")
"""Sections without evidence of what is fitted or read."""
NOBODY_TOLD = ("readings", "tools", "again", "parts")
"""Tables of which a whole row may be gone: a record without it is like one in which nobody did that."""


def ways_in(record: Data, pack: Pack) -> Iterator[Way]:
    """Yield the way to everything that can be left out; a bar beyond the layout stays, for nobody misses it."""
    for section, table in record.items():
        if section in HEADS:
            continue
        if section not in NOBODY_TOLD:
            yield (section,)
        rows = enumerate(table) if isinstance(table, list) else table.items()
        for name, row in rows if isinstance(table, dict | list) else ():
            if name == "columns":
                continue
            beyond = section in ("bars", "leads") and ".." not in str(name) and name not in pack.conductors
            if name != "taken" and section not in NOBODY_TOLD and not beyond:
                yield section, name
            cells = range(len(row)) if isinstance(row, list) else row if isinstance(row, dict) else ()
            yield from ((section, name, cell) for cell in cells)


def without(data: Any, way: Way) -> Any:
    """Return data with one thing left out: a cell of a row written as a list becomes ``none``."""
    key, *rest = way
    if isinstance(data, list):
        return [(without(item, tuple(rest)) if rest else "none") if i == key else item for i, item in enumerate(data)]
    if not rest:
        return {name: item for name, item in data.items() if name != key}
    return {**data, key: without(data[key], tuple(rest))}


def improvements(record: Data, pack: Pack, ways: list[Way], gate: Gate) -> list[str]:
    """Return in words what becomes better when something is left out of a record with findings."""
    before, found = outcomes_of(record_of(record, pack)), []
    for way in ways:
        try:
            less = record_of(without(record, way), pack)
        except InputProblems:
            continue  # a record that can no longer be read is no pass
        facts = build_facts(pack, less)
        after = outcomes_in(facts)
        found += [
            f"{way}: {rule} on {subject} becomes met"
            for (rule, subject), outcome in after.items()
            if outcome is Outcome.MET and before.get((rule, subject), Outcome.MET) is not Outcome.MET
        ]
        if judged_facts(facts, gate).verdict is Verdict.NO_RULE_BROKEN:
            found.append(f"{way}: no rule is broken any more")
    return found
