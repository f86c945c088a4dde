"""What an entry shows by itself, before the whole record is judged: the rules on the rows that it is told of.

A table that is filled by itself is the table that the whole judgement fills, so what is broken here is broken there.
Here it stands alone: only the whole tells whether something else explains it, and what is wrong elsewhere.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from packcheck.facts.build import build_tables
from packcheck.facts.tables import table_by_name
from packcheck.files.memory import collection_held_off
from packcheck.judging.adopting import adopted_by
from packcheck.judging.judge import judge
from packcheck.judging.to_do import walk
from packcheck.model.opening import Opened
from packcheck.rules.findings import Finding, Gate, Outcome
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

TABLES = {
    "modules": ("module",), "bars": ("conductor", "loop"), "leads": ("conductor", "loop"), "devices": ("device",),
    "joints": ("joint",), "readings": ("reading",), "taps": ("tap",), "covers": ("cover",), "caps": ("cap",),
    "probes": ("probe",), "vents": ("vent",),
    "parts": ("part",), "tools": ("tool",), "instruments": ("instrument",),
}  # fmt: skip
"""The fact tables that are about the rows of a section."""


def broken_at_once(
    opened: Opened, rules: Sequence[Rule], profile: Profile | None, section: str, subjects: Collection[str]
) -> tuple[Finding, ...]:
    """Return what is broken in the rows of some subjects of a section, worst first."""
    names = frozenset(subjects)
    asked = [rule for rule in rules if rule.each in TABLES.get(section, ())]
    with collection_held_off():
        tables = build_tables({rule.each for rule in asked}, opened.pack, opened.record, adopted_by(profile))
        theirs = {
            name: tuple(row for row in rows if row.subject in names or names & row.touches)
            for name, rows in tables.items()
        }
        judgement = judge(asked, theirs, table_by_name(), gate=Gate.RELEASE, profile=profile)
    return tuple(f for f in walk(judgement.findings) if f.outcome is Outcome.BROKEN and not f.waived)
