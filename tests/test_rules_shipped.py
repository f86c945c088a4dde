"""The rules that come with packcheck: each keeps the promises of a rule file, and all of them fit together."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest
import yaml

from packcheck.facts.tables import FOR_PEOPLE, TABLES, table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.judging.judge import judge
from packcheck.rules import terms
from packcheck.rules.catalogue import SOLVED, Row
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Gate, Outcome, Severity
from packcheck.rules.library import check_examples, load_rules
from packcheck.rules.rule import Rule, causes_of
from packcheck.rules.rule_file import KEYS, MAY_BE_ABSENT

FOLDER = shipped_folder("rules")
FILES = sorted(FOLDER.rglob("*.yaml"))
RULES = load_rules([FOLDER], table_by_name())
BY_FAMILY = {
    "evidence": 47,
    "hardware": 26,
    "polarity": 15,
    "series": 55,
    "short-circuit": 57,
    "tests": 49,
    "torque": 23,
}
EXAMPLES = 1336
LONGEST_FILE = 90
FORBIDDEN = re.compile(
    r"\b(safe|safely|safety|unsafe|strap|straps|jumper|jumpers|reconditioned|refurbished|dead check|balance wire"
    r"|bank|banks|finger tight)\b",
    re.IGNORECASE,
)
NAMES_NO_FAULT = re.compile(r"^(check|verify|ensure|no|good|correct|right|valid)-|-(ok|good|correct|present)$")

each_rule = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
each_file = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)


def written(path: Path) -> dict[str, object]:
    content: dict[str, object] = yaml.safe_load(path.read_text(encoding="utf-8"))
    return content


LIMITS = [pytest.param(rule, name, id=f"{rule.name}-{name}") for rule in RULES for name in rule.limits]


def outcomes(rule: Rule, **changed: float) -> list[Outcome]:
    """Return how the rule's examples come out, in order, with some limits changed."""
    values = tuple(changed.items())
    compiled = compile_rule(rule, table_by_name()[rule.each], values)
    return [compiled.answer(example.values).outcome for example in rule.examples]


def columns(rule: Rule) -> set[str]:
    return {c.name for condition in (rule.where, rule.require) for c in terms.columns_within(condition)}


# -- all together ------------------------------------------------------------------------------------------------------


def test_count_of_rules_in_each_family() -> None:
    assert Counter(rule.family for rule in RULES) == BY_FAMILY
    assert len(FILES) == len(RULES) == sum(BY_FAMILY.values())


def test_count_of_examples() -> None:
    assert sum(len(rule.examples) for rule in RULES) == EXAMPLES


def test_every_outcome_every_severity_and_every_gate_is_used() -> None:
    assert {example.outcome for rule in RULES for example in rule.examples} == set(Outcome)
    assert {rule.severity for rule in RULES} == set(Severity)
    assert {rule.gate for rule in RULES} == set(Gate)


def test_every_fact_table_has_a_rule() -> None:
    assert {rule.each for rule in RULES} == {table.name for table in TABLES} - FOR_PEOPLE


def test_follows_from_names_other_rules_and_forms_no_circle() -> None:
    follows_from = {rule.name: rule.follows_from for rule in RULES}
    named = {cause for causes in follows_from.values() for cause in causes}
    assert len(named) > 20
    assert named <= set(follows_from)
    assert [name for name in follows_from if name in causes_of(name, follows_from)] == []


def test_what_the_layout_breaks_is_never_blamed_on_a_record() -> None:
    judges_layout = {rule.name: rule.judges_layout for rule in RULES}
    blamed = [(r.name, cause) for r in RULES if r.judges_layout for cause in r.follows_from if not judges_layout[cause]]
    assert blamed == []


# -- each file ---------------------------------------------------------------------------------------------------------


@each_file
def test_keys_stand_in_order(path: Path) -> None:
    keys = list(written(path))
    assert keys == [key for key in KEYS if key in keys]
    assert set(KEYS) - set(keys) <= {"where", "stands first"} <= set(MAY_BE_ABSENT)


@each_file
def test_name_and_family_are_those_of_the_file(path: Path) -> None:
    content = written(path)
    assert (content["rule"], content["family"]) == (path.stem, path.parent.name)
    assert not NAMES_NO_FAULT.search(path.stem)


@each_file
def test_lines_are_short_and_files_one_screen_or_two(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert 25 <= len(lines) <= LONGEST_FILE
    assert max(map(len, lines)) <= 120


@each_file
def test_words_that_no_rule_uses(path: Path) -> None:
    text = " ".join(path.read_text(encoding="utf-8").split())
    assert FORBIDDEN.findall(text) == []


@pytest.mark.parametrize("text", ["it is Safe now", "a bank of modules", "unsafe", "use a jumper"])
def test_forbidden_words_are_found(text: str) -> None:
    assert FORBIDDEN.search(text)


# -- each rule ---------------------------------------------------------------------------------------------------------


@each_rule
def test_examples_come_out_and_cover_every_outcome(rule: Rule) -> None:
    assert check_examples(rule, RULES, table_by_name()[rule.each]) == []


@each_rule
def test_judged_as_facts_the_examples_come_out_the_same(rule: Rule) -> None:
    rows = tuple(Row(f"example {index}", example.values) for index, example in enumerate(rule.examples))
    judgement = judge([rule], {rule.each: rows}, table_by_name(), gate=Gate.RELEASE)
    found = {finding.subject: finding.outcome for finding in judgement.findings}
    quiet = (Outcome.MET, Outcome.NOT_APPLICABLE)
    wanted = {row.subject: e.outcome for row, e in zip(rows, rule.examples, strict=True) if e.outcome not in quiet}
    assert found == wanted
    counted = Counter(example.outcome for example in rule.examples)
    tally = judgement.tallies[0]
    assert (tally.met, tally.not_applicable) == (counted[Outcome.MET], counted[Outcome.NOT_APPLICABLE])


@each_rule
def test_every_finding_says_where_what_why_and_what_to_do(rule: Rule) -> None:
    rows = tuple(Row(f"example {index}", example.values) for index, example in enumerate(rule.examples))
    for finding in judge([rule], {rule.each: rows}, table_by_name(), gate=Gate.RELEASE).findings:
        for text in (finding.place, finding.found, finding.needed, finding.why, finding.do):
            assert text.strip()
            assert not re.search(r"[{}]|None|Measured|Fraction", text)
        assert (finding.outcome is Outcome.UNPROVEN) <= bool(finding.data)


@each_rule
def test_texts_are_whole_sentences(rule: Rule) -> None:
    assert rule.title[0].isupper()
    assert not rule.title.endswith(".")
    for text in (rule.why, rule.remedy, rule.teaching):
        assert text.endswith((".", "?"))
        assert len(text) >= 60
    for example in rule.examples:
        assert len(example.because) >= 10


@each_rule
def test_basis_says_where_the_rule_and_its_limits_come_from(rule: Rule) -> None:
    for basis in (rule.basis, *(limit.basis for limit in rule.limits.values())):
        assert basis
        for source in basis:
            given = {
                "published": source.document and source.clause,
                "derived": source.derived_from,
                "common practice": "no source",
            }
            assert given[source.kind]


@each_rule
def test_a_rule_for_layouts_reads_no_record(rule: Rule) -> None:
    table = table_by_name()[rule.each]
    recorded = [
        column.name
        for column in table.columns
        if column.name in columns(rule) and ("record" in column.source or (column.source == SOLVED and column.datum))
    ]
    assert bool(recorded) is not rule.judges_layout


@each_rule
def test_reasons_of_examples_differ(rule: Rule) -> None:
    reasons = [example.because for example in rule.examples]
    assert len(reasons) == len(set(reasons))


# -- each limit --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rule", "name"), LIMITS)
def test_an_example_stands_exactly_at_the_limit(rule: Rule, name: str) -> None:
    value = rule.limits[name].number
    changed = [outcomes(rule, **{name: value * factor}) for factor in (1 - 1e-9, 1 + 1e-9)]
    assert any(outcome != outcomes(rule) for outcome in changed)


@pytest.mark.parametrize(("rule", "name"), LIMITS)
def test_examples_stand_on_both_sides_of_the_limit(rule: Rule, name: str) -> None:
    value, now = rule.limits[name].number, outcomes(rule)
    flipped = [
        {i for i, outcome in enumerate(outcomes(rule, **{name: value * factor})) if outcome is not now[i]}
        for factor in (0.7, 1.3)
    ]
    assert all(flipped)
    assert flipped[0] != flipped[1]


def test_there_are_limits_to_judge_by() -> None:
    assert len(LIMITS) == 95
