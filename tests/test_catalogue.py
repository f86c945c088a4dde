"""The catalogue of assembly faults: each has a rule, shown broken from a file, or says what is missing."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml
from faulty_builds import above_advice, judged
from test_outcomes_from_files import CASES, RULES, changed, file_named

from packcheck.files.document import parse_document
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.kinds_of_test import KINDS_OF_TEST
from packcheck.model.record.from_document import read_record
from packcheck.model.record.taken_tests import look_for_photos
from packcheck.rules.findings import Finding, Gate, Outcome, Severity

CATALOGUE: dict[str, dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "catalogue.yaml").read_text("utf-8"))
COUNTS = {"T": 12, "J": 12, "S": 15, "M": 13, "K": 10, "H": 15, "G": 6, "R": 7, "L": 12}
OF_TESTS = sorted(name for name, rule in RULES.items() if rule.family == "tests")
ALSO = {"clamp-corners-apart", "acid-density-off", "test-points-apart"}
"""Rules that a broken case of another one of these rightly breaks as well: one module's acid, and the spread of all."""


def test_every_fault_of_the_catalogue_has_one_line() -> None:
    assert Counter(key[0] for key in CATALOGUE) == COUNTS
    assert sum(COUNTS.values()) == len(CATALOGUE) == 102
    assert list(CATALOGUE) == [
        f"{group}{number:02d}" for group, count in COUNTS.items() for number in range(1, count + 1)
    ]


def test_a_fault_has_rules_or_says_what_would_make_it_detectable() -> None:
    kinds = Counter(next(key for key in entry if key != "fault") for entry in CATALOGUE.values())
    assert kinds == {"rules": 100, "outcome": 1, "undetectable": 1}
    assert all(len(entry) == 2 and len(entry["fault"]) > 10 for entry in CATALOGUE.values())


@pytest.mark.parametrize("key", CATALOGUE)
def test_each_rule_named_exists_and_is_shown_broken_from_a_file(key: str) -> None:
    named = CATALOGUE[key].get("rules", [])
    assert [rule for rule in named if rule not in RULES] == []
    assert [rule for rule in named if (rule, "broken") not in CASES] == []
    assert bool(named) is ("undetectable" not in CATALOGUE[key] and "outcome" not in CATALOGUE[key])


def test_every_rule_about_a_test_serves_a_fault_of_the_catalogue_or_tests_of_a_layouts_own() -> None:
    named = {rule for entry in CATALOGUE.values() for rule in entry.get("rules", ())}
    assert set(OF_TESTS) - named == {
        "test-off-before-plug", "test-off-before-contactors", "test-off-before-release", "test-too-old",
        "test-points-apart", "photo-doubled", "test-instrument-unlike-asked", "test-instrument-unusual",
        "photo-differs",
    }  # fmt: skip


def findings_of(rule: str, outcome: str) -> list[Finding]:
    """Return what the whole judgement of a case of a rule finds above advice at release."""
    return _found_in(CASES[rule, outcome], Gate.RELEASE)


def findings_in(change: dict[str, str], gate: Gate) -> list[Finding]:
    """Return what is found in the clean record with all tests taken, some of its text changed, up to a gate."""
    return _found_in({"file": "godwit-8-clean.yaml", "change": change}, gate)


def _found_in(case: dict[str, Any], gate: Gate) -> list[Finding]:
    path = file_named(case["file"])
    document = parse_document(changed(path.read_text("utf-8"), case.get("change", {})), path.name)
    drawn = path.parent / str(document.root["layout"])
    pack = read_pack(parse_document(changed(drawn.read_text("utf-8"), case.get("layout change", {})), drawn.name))
    return judged(look_for_photos(read_record(document, pack), path.parent), gate).findings  # type: ignore[return-value]


@pytest.mark.parametrize("rule", OF_TESTS)
def test_a_fault_that_a_test_finds_is_found_by_its_rule_at_its_place_and_by_no_other(rule: str) -> None:
    findings = findings_of(rule, "broken")
    mine = [f for f in findings if f.rule == rule]
    assert [(f.subject, f.outcome) for f in mine] == [(CASES[rule, "broken"]["at"], Outcome.BROKEN)]
    others = {f.rule for f in findings if f.severity is not Severity.ADVISE and f.outcome is Outcome.BROKEN}
    assert others - {rule} <= (ALSO if rule in ALSO else set())


def test_with_every_test_taken_and_found_as_it_must_be_no_rule_about_tests_says_anything() -> None:
    findings = findings_of("bond-resistance-high", "met")
    assert [f.rule for f in findings if f.rule in OF_TESTS] == []
    assert [f.rule for f in findings if f.outcome is Outcome.BROKEN and f.severity is not Severity.ADVISE] == []


def test_a_record_that_tells_of_no_test_holds_at_each_point_that_is_asked_for() -> None:
    text = file_named("godwit-8-clean.yaml").read_text("utf-8")
    before, _, after = text.partition("\ntests:\n")
    kept = "\n".join(line for line in after.splitlines() if not line.startswith("  "))
    pack = read_pack(parse_document(file_named("godwit-8.yaml").read_text("utf-8"), "godwit-8.yaml"))
    record = read_record(parse_document(f"{before}\n{kept}\n", "record.yaml"), pack)
    assert record.tests == {}
    open_ = {f.subject for f in above_advice(judged(record, Gate.RELEASE)) if f.rule in OF_TESTS}
    advice = {f.subject for f in judged(record, Gate.RELEASE).findings if f.rule in OF_TESTS} - open_
    alike = {"corners", "lots", "pictures"}
    points = {f"{test.name}/{p.name}" for test in pack.tests.values() for p in test.points if test.name not in alike}
    assert points <= open_ | advice
    assert len(points) >= 80


BOND = "bonds/lid: {value: 25.8 mΩ, under: 1 A, with: Q1}"


@pytest.mark.parametrize(("told", "proven"), [
    ("{value: 25.8 mΩ, under: 1 A, with: Q1}", True), ("{value: 25.8 mΩ, under: 0.2 A, with: Q1}", True),
    ("{value: 25.8 mΩ, under: 0.19 A, with: Q1}", False), ("{value: 25.8 mΩ, under: 10 mA, with: Q1}", False),
    ("{value: 25.8 mΩ, with: Q1}", False), ("{value: 240 mΩ, under: 10 mA, with: Q1}", False),
])  # fmt: skip
def test_a_reading_under_another_condition_proves_nothing_at_the_gate_of_its_test(told: str, proven: bool) -> None:
    """0.1 Ω at 0.2 A or more is asked of a bond (UN R100); at 10 mA one strand of a braid reads as well."""
    findings = findings_in({BOND: f"bonds/lid: {told}"}, Gate.CLOSE_CONTACTORS)
    assert ([f.rule for f in findings if f.subject == "bonds/lid"] == []) is proven


@pytest.mark.parametrize(
    ("siemens", "is_broken"), [(790, True), (965, False), (1460, False), (1540, True), (9650, True)]
)
def test_a_battery_conducts_no_share_of_a_new_one_that_none_has(siemens: int, is_broken: bool) -> None:
    """Of 1000 S: from 80 % to 150 %, with 2 % of the tester on either side."""
    before = "conductances/P5: {value: 965 S, with: S1}"
    findings = findings_in({before: before.replace("965", str(siemens))}, Gate.FIT_BARS)
    assert (("conductance-low", "conductances/P5") in {(f.rule, f.subject) for f in findings}) is is_broken


def test_each_kind_of_test_has_a_rule_at_its_gate() -> None:
    for kind in KINDS_OF_TEST.values():
        about = [rule for rule in RULES.values() if rule.family == "tests" and f'"{kind.name}"' in quoted(rule.name)]
        assert about, kind.name
        assert {rule.gate.value for rule in about} == {kind.gate}, kind.name


def quoted(rule: str) -> str:
    """Return the condition of a rule that tells to which kinds it applies."""
    path = Path(__file__).parents[1] / "rules" / "tests" / f"{rule}.yaml"
    where = str(yaml.safe_load(path.read_text("utf-8")).get("where", ""))
    return "" if "!=" in where else where
