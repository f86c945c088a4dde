"""Each outcome of each rule comes out of a file: text, reader, facts, judge, and the outcome on a named subject.

The cases lie in ``tests/outcomes/<family>.yaml``.  A case names a shipped file, the subject, and the pieces of text
that are otherwise.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import demonstrations
import pytest
import yaml

from packcheck.facts.build import build_facts
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_since import since_rows
from packcheck.facts.tables import table_by_name
from packcheck.files.document import parse_document
from packcheck.files.shipped import shipped_folder
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.model.record.taken_tests import look_for_photos
from packcheck.rules.catalogue import Facts
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Outcome
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule

Case = dict[str, Any]
HERE = Path(__file__).parent / "outcomes"
FOLDERS = (*demonstrations.FOLDERS, HERE / "packs")
TABLES = table_by_name()
RULES = {rule.name: rule for rule in load_rules([shipped_folder("rules")], TABLES)}


def load(path: Path) -> dict[str, Any]:
    content: dict[str, Any] = yaml.safe_load(path.read_text(encoding="utf-8")) or {}
    return content


CASES: dict[tuple[str, str], Case] = {
    (rule, outcome): case
    for path in sorted(HERE.glob("*.yaml"))
    for rule, outcomes in load(path).items()
    for outcome, case in outcomes.items()
}


def outcomes_of(rule: Rule) -> set[str]:
    """Return the outcomes that a rule's examples show, but for *not applicable*."""
    return {example.outcome.value for example in rule.examples} - {Outcome.NOT_APPLICABLE.value}


def changed(text: str, changes: dict[str, str]) -> str:
    """Return a text with pieces of it otherwise; each piece must be there, once."""
    for old, new in changes.items():
        assert text.count(old) == 1, f"{old!r} is there {text.count(old)} times"
        text = text.replace(old, new or "")
    return text


def file_named(name: str) -> Path:
    return next(folder / name for folder in FOLDERS if (folder / name).is_file())


@cache
def facts_from(file: str, change: tuple[tuple[str, str], ...], layout_change: tuple[tuple[str, str], ...]) -> Facts:
    """Return the facts that follow from a file once the pieces of text are changed in it and in its layout."""
    path = file_named(file)
    text = changed(path.read_text(encoding="utf-8"), dict(change))
    document = parse_document(text, path.name)
    if "record" not in document.root:
        return build_facts(read_pack(document))
    layout = path.parent / str(document.root["layout"])
    drawn = changed(layout.read_text(encoding="utf-8"), dict(layout_change))
    pack = read_pack(parse_document(drawn, layout.name))
    return build_facts(pack, look_for_photos(read_record(document, pack), path.parent))


def facts_since(file: str, change: tuple[tuple[str, str], ...], before: tuple[tuple[str, str], ...]) -> Facts:
    """Return the facts that follow from two records of one pack, made from one file by two changes."""
    text = file_named(file).read_text(encoding="utf-8")
    folder = Path(file).parent
    layout = file_named(f"{folder}/{folder}.yaml").read_text(encoding="utf-8")
    pack = read_pack(parse_document(layout, "layout.yaml"))
    later, earlier = (read_record(parse_document(changed(text, dict(one)), file), pack) for one in (change, before))
    return {"since": tuple(since_rows(Evidence(pack, later, Adopted()), earlier))}


def facts_of_case(case: Case) -> Facts:
    if "earlier change" in case:
        return facts_since(case["file"], *(tuple(case.get(key, {}).items()) for key in ("change", "earlier change")))
    return facts_from(case["file"], *(tuple(case.get(key, {}).items()) for key in ("change", "layout change")))


def outcomes_on(rule: Rule, case: Case) -> dict[str, set[str]]:
    """Return what the rule says about each subject in the file of a case."""
    table, compiled = TABLES[rule.each], compile_rule(rule, TABLES[rule.each])
    facts = facts_of_case(case)
    found: dict[str, set[str]] = {}
    for row in facts.get(rule.each, ()):
        answer = compiled.answer(table.values_of(row))
        found.setdefault(row.subject, set()).add(answer.outcome.value)
    return found


@pytest.mark.parametrize("name", RULES)
def test_each_outcome_of_a_rule_comes_out_of_a_file(name: str) -> None:
    rule, wrong = RULES[name], []
    for outcome in sorted(outcomes_of(rule)):
        case = CASES.get((name, outcome))
        if case is None:
            wrong.append(f"no case in tests/outcomes/{rule.family}.yaml gives {outcome}")
        elif outcome not in (found := outcomes_on(rule, case).get(case["at"], set())):
            wrong.append(f"{outcome} on {case['at']} of {case['file']}: found {sorted(found) or 'no such subject'}")
    assert not wrong, "; ".join(wrong)


def test_cases_are_about_rules_and_outcomes_that_exist() -> None:
    possible = {(rule.name, outcome) for rule in RULES.values() for outcome in outcomes_of(rule)}
    assert set(CASES) - possible == set()


def test_what_only_proof_can_show_is_never_false() -> None:
    """Columns marked as proofs are true or open in every case of every rule, so that nothing asks what breaks them."""
    proofs = [(table.name, c.name) for table in TABLES.values() for c in table.columns if c.proof]
    assert len(proofs) == 8
    seen = {
        (table, name, row.values.get(name))
        for case in CASES.values()
        for facts in [facts_of_case(case)]
        for table, name in proofs
        for row in facts.get(table, ())
    }
    assert {value for _, _, value in seen} == {True, None}
    assert {(table, name) for table, name, value in seen if value} == set(proofs)
