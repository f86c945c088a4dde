"""What the rules say of a record beyond what they say of the sound one of the same team: only what differs is judged.

Tables of a record that are those of the sound one are not written and read again.  A rule looks at one row of facts at
a time, so that rows which the sound record has too say nothing new.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import Any

from packcheck.facts.many_records import Refilled
from packcheck.files.document import Document, parse_document
from packcheck.files.document.marked import MarkedMapping
from packcheck.lessons.trial import Trial, flattened, said, spoken
from packcheck.rules.catalogue import Facts, Row
from packcheck.rules.findings import Finding
from packcheck.simulate.record import write_record
from packcheck.simulate.record_text import record_text

Data = Mapping[str, Any]
NAME = "record.yaml"
MOST_REMEMBERED = 512
"""How many records are remembered: many faults write nothing, or write the same."""


class BesideSound:
    """The sound record of one team, and what is said of others beyond what is said of it."""

    def __init__(self, trial: Trial, seed: str, wanted: Collection[str] = ()) -> None:
        """Judge the sound record; ``wanted`` are the optional readings that the team takes."""
        self._trial = trial
        self._data = write_record(trial.bench, seed, trial.bench.build(seed), wanted=wanted)
        self._read = parse_document(record_text(self._data), NAME)
        self._refilled = Refilled(trial.record_in(self._read))
        self._facts = self._refilled.facts
        self._known = {table: _by_subject(rows) for table, rows in self._facts.items()}
        self._said = spoken(trial.judged_facts(self._facts))
        self._remembered: dict[str, tuple[Finding, ...]] = {}

    def beyond(self, data: Data) -> tuple[Finding, ...]:
        """Return the findings on a record of the same team that the sound one has not, those that follow among them.

        Raises
        ------
        InputProblems : the record contradicts itself so that it cannot be read.
        """
        changed = {key: value for key, value in data.items() if value != self._data.get(key)}
        text = record_text({**changed, "without": [key for key in self._data if key not in data]})
        if text not in self._remembered:
            if len(self._remembered) >= MOST_REMEMBERED:
                self._remembered.clear()
            self._remembered[text] = self._judged(data, changed)
        return self._remembered[text]

    def _judged(self, data: Data, changed: Data) -> tuple[Finding, ...]:
        facts = self._refilled.of(self._trial.record_in(self._document(data, changed)))
        judgement = self._trial.judged_facts(self._new_rows(facts))
        return tuple(finding for finding in flattened(judgement.findings) if said(finding) not in self._said)

    def _document(self, data: Data, changed: Data) -> Document:
        """Return a record as its file would be read: what is not changed stands on the lines of the sound one."""
        sound = self._read.root
        root = MarkedMapping(sound.mark)
        for key in data:
            source = sound
            if key in changed:
                above = sound.key_mark[key].line - 1 if key in sound else 0
                source = parse_document("\n" * above + record_text({key: data[key]}).lstrip("\n"), NAME).root
            root[key] = source[key]
            root.key_mark[key] = source.key_mark[key]
            root.value_mark[key] = source.value_mark[key]
        return Document(NAME, root, self._read.lines)

    def _new_rows(self, facts: Facts) -> Facts:
        """Return the rows that the sound record has not."""
        return {
            table: tuple(row for row in rows if row.values not in self._known.get(table, {}).get(row.subject, ()))
            for table, rows in facts.items()
            if rows is not self._facts.get(table)
        }


def _by_subject(rows: Collection[Row]) -> Mapping[str, list[Mapping[str, Any]]]:
    found: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for row in rows:
        found[row.subject].append(row.values)
    return found
