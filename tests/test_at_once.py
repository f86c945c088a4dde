"""What an entry shows by itself: never anything that the judgement of the whole record does not show as well."""

from __future__ import annotations

from pathlib import Path

import pytest
from demonstrations import records

from packcheck.app.arguments import rules_and_profile
from packcheck.judging.check import check_opened
from packcheck.judging.one_entry import TABLES, broken_at_once
from packcheck.judging.to_do import walk
from packcheck.model.opening import open_file
from packcheck.rules.findings import Gate, Outcome

LAYOUTS = Path(__file__).resolve().parents[1] / "layouts"
RECORDS = records()
RULES, _ = rules_and_profile(None, None)
EACH = {rule.name: rule.each for rule in RULES}


@pytest.mark.parametrize("record", RECORDS[::4], ids=lambda path: path.stem)
def test_it_is_exactly_what_the_whole_finds_broken_in_the_same_rows(record: Path) -> None:
    opened = open_file(record)
    whole = [f for f in walk(check_opened(opened, RULES, Gate.RELEASE, None).judgement.findings)
             if f.outcome is Outcome.BROKEN]  # fmt: skip
    for section, tables in TABLES.items():
        told = opened.root.get(section, {})
        names = {name for name in told if name not in ("columns", "taken") and ".." not in name}
        here = {(f.rule, f.subject, f.found) for f in whole if EACH[f.rule] in tables
                and (f.subject in names or names & f.touches)}  # fmt: skip
        at_once = broken_at_once(opened, RULES, None, section, names)
        assert {(f.rule, f.subject, f.found) for f in at_once} == here


def test_some_of_these_records_have_something_broken_that_shows_by_itself() -> None:
    shown = set()
    for record in RECORDS[::2]:
        opened = open_file(record)
        for section in ("bars", "joints", "modules"):
            names = [name for name in opened.root.get(section, {}) if ".." not in name]
            shown |= {(section, f.rule) for f in broken_at_once(opened, RULES, None, section, names)}
    assert {section for section, _ in shown} == {"bars", "joints", "modules"}
    assert len(shown) >= 6


def test_every_section_that_it_knows_is_one_of_a_record_and_every_table_is_judged() -> None:
    from packcheck.model.record.sheets import SHEETS

    assert set(TABLES) <= {*SHEETS, "instruments"}
    assert {table for tables in TABLES.values() for table in tables} <= set(EACH.values())
