"""Rule files: what a good one gives, and how each mistake in a bad one is told and placed."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from rule_fixtures import JOINT, PATH_RULE, RULE, TABLES, changed, rule_from

from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.shipped import schema_folder
from packcheck.rules import rule_file
from packcheck.rules.catalogue import Measured
from packcheck.rules.examples import read_reading
from packcheck.rules.findings import Gate, Outcome, Severity
from packcheck.rules.library import check_examples, load_rules, outcomes_possible
from packcheck.rules.rule import Basis
from packcheck.rules.says import Slot


def problems(*changes: tuple[str, str], text: str = RULE) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as bad:
        rule_from(text, *changes)
    return bad.value.problems


def test_complete_rule_is_read() -> None:
    rule = rule_from(RULE)
    assert (rule.name, rule.family, rule.each) == ("joint-torque-out-of-band", "torque", "joint")
    assert (rule.severity, rule.gate, rule.judges_layout) == (Severity.FIX_BEFORE_RELEASE, Gate.PLUG_IN, False)
    assert (rule.limits["slack"].value, rule.limits["slack"].unit) == (Fraction(1, 10), "N·m")
    assert rule.basis == (Basis("published", "A handbook", "3"), Basis("derived", derived_from="the layout"))
    assert rule.says.needed == (Slot("torque_low_n_m", ""), " to ", Slot("torque_high_n_m", ""))
    assert len(rule.examples) == 9
    assert rule.examples[2].values["torque_n_m"] == Measured(6.0, 6.4)


def test_absent_keys_take_their_defaults() -> None:
    rule = rule_from(PATH_RULE)
    assert (rule.where_text, rule.limits, rule.follows_from) == ("", {}, ())
    assert rule_from(PATH_RULE, ("gate: fit bars", "gate: fit bars\njudges: layout")).judges_layout


def test_only_what_forbids_energizing_stands_first() -> None:
    first = ("gate: fit bars", "gate: fit bars\nstands first: true")
    assert not rule_from(PATH_RULE).stands_first
    assert rule_from(PATH_RULE, first).stands_first
    for changes in ([first, ("never-energize", "advise")], [("gate: fit bars", "gate: fit bars\nstands first: 1")]):
        (problem,) = problems(*changes, text=PATH_RULE)
        assert problem.needed.startswith("true, in a rule of severity never-energize")


@pytest.mark.parametrize("text", [RULE, PATH_RULE])
def test_examples_of_a_right_rule_come_out_as_they_say(text: str) -> None:
    rule = rule_from(text)
    assert check_examples(rule, [rule], TABLES[rule.each]) == []


def test_example_that_comes_out_otherwise_is_told() -> None:
    rule = rule_from(RULE, ("6.2 ± 0.2", "4.2 ± 0.2"))
    assert check_examples(rule, [rule], JOINT) == ["line 23: comes out met, not broken (up)"]


def test_outcome_without_example_is_told() -> None:
    rule = rule_from(RULE, ("outcome: undecided", "outcome: broken"), ("torque_n_m: 4 to 6", "torque_n_m: 6"))
    assert check_examples(rule, [rule], JOINT) == ["no example of undecided"]


def test_broken_example_that_breaks_another_rule_is_told_unless_the_rules_are_related() -> None:
    rule = rule_from(RULE)
    other = rule_from(RULE, ("joint-torque-out-of-band", "joint-torque-high"))
    follower = rule_from(
        RULE,
        ("joint-torque-out-of-band", "joint-hot"),
        ("follows from: []", "follows from: [joint-torque-out-of-band]"),
    )
    assert len(check_examples(rule, [rule, other], JOINT)) == 2
    assert check_examples(rule, [rule, follower], JOINT) == []


def test_outcomes_possible_follow_from_the_columns_read() -> None:
    assert outcomes_possible(rule_from(RULE), JOINT) == set(Outcome)
    assert outcomes_possible(rule_from(PATH_RULE), TABLES["pack"]) == {Outcome.MET, Outcome.BROKEN, Outcome.UNPROVEN}


# -- mistakes ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "line", "column", "found"),
    [
        ("severity: fix-before-release", "severity: fix-before-relase", 4, 11, "fix-before-relase"),
        ("gate: plug in", "gate: plugin", 5, 7, "plugin"),
        ("each: joint", "each: join", 6, 7, "join"),
        ("where: fitted", "where: fited", 7, 8, "fited"),
        ("- slack <=", "- slak <=", 8, 27, "slak"),
        ("where: fitted", 'where: "fitted and tork"', 7, 20, "tork"),
        ("where: fitted", "where: true", 7, 8, "true"),
        ("where: fitted", "where: >-\n  fitted and\n  tork", 7, 8, "tork"),
        ("where: fitted", "where: fitted.__class__", 7, 8, "fitted.__class__"),
        ("where: fitted", "where: __import__('os').system('ls') == 'a'", 7, 8, "__import__"),
        ("where: fitted", "where: 9**9**9 > 0", 7, 8, "9**9**9"),
        ("where: fitted", "where: '(lambda: fitted)()'", 7, 9, "lambda"),
        ("where: fitted", "where: \"'%s' % mark == mark\"", 7, 9, "'%s' % mark"),
        ("where: fitted", "where: " + "(" * 300 + "fitted" + ")" * 300, 7, None, "too many nested"),
        ("slack: {value: 0.1 N·m", "slack: {value: 0.1 bananas", 10, 18, "0.1 bananas"),
        ("slack: {value: 0.1 N·m", "slack: {value: true", 10, 18, "true"),
        ("slack: {value: 0.1 N·m, ", "slack: {", 10, 10, "no key value"),
        ("slack: {value: 0.1 N·m", "slack: {value: 0.1 mm", 8, 27, "mm"),
        (
            "  slack:",
            "  mark: {value: 1, why: x, basis: [{kind: derived, from: y}]}\n  slack:",
            10,
            3,
            "a column of joint",
        ),
        ("  slack:", "  spare: {value: 1, why: x, basis: [{kind: derived, from: y}]}\n  slack:", 10, 3, "limit spare"),
        ("{place}", "{plaice}", 13, 10, "plaice"),
        ("{place}", "{place.__class__}", 13, 10, "{place.__class__}"),
        ("{place}", "{joint[0]}", 13, 10, "{joint[0]}"),
        ("{place}", "{joint!r}", 13, 10, "{joint!r}"),
        ("{place}", "{joint:>999999999}", 13, 10, ">999999999"),
        ("{place}", "{joint:{joint}}", 13, 10, "{joint}"),
        ("{place}", "{place", 13, 10, "braces"),
        ("{place}", "{}", 13, 10, "{}"),
        ("follows from: []", "follows from: main-path-open", 15, 15, "main-path-open"),
        ("follows from: []", "follows from: [{a: 1}]", 15, 16, "a"),
        ("why: A loose joint burns.", "why: 5", 16, 6, "5"),
        ("why: A loose joint burns.", "why:", 16, 5, "nothing"),
        ("teaching: The", "taeching: The", 18, 1, "taeching"),
        ("{kind: derived, from: the layout}", "{kind: hearsay}", 19, 70, "hearsay"),
        ("{kind: derived, from: the layout}", "{kind: derived}", 19, 63, "no key from"),
        (', clause: "3"', "", 19, 9, "no key clause"),
        (
            '[{kind: published, document: A handbook, clause: "3"}, {kind: derived, from: the layout}]',
            "[]",
            19,
            8,
            "empty",
        ),
        ("outcome: undecided", "outcome: perhaps", 25, 15, "perhaps"),
        ("torque_n_m: 4 to 6", "torque_n_m: 6 to 4", 25, None, "6 to 4"),
        ("torque_n_m: 4 to 6", "torque_nm: 4 to 6", 25, None, "torque_nm"),
        ("{fitted: true, torque_n_m: 4 to 6", "{fitted: maybe, torque_n_m: 4 to 6", 25, None, "maybe"),
        ("rule: joint-torque-out-of-band", "rule: Joint_Torque", 1, 7, "Joint_Torque"),
        ("title: Every", "titel: Every", 2, 1, "titel"),
    ],
)
def test_mistake_is_placed(old: str, new: str, line: int, column: int | None, found: str) -> None:
    told = problems((old, new))
    assert any(p.line == line and column in (None, p.column) and found in p.found for p in told), told
    assert all(p.file == "rule.yaml" and p.needed for p in told)


def test_all_mistakes_of_a_file_are_told_at_once() -> None:
    told = problems(("gate: plug in", "gate: plugin"), ("where: fitted", "where: fited"), ("{place}", "{plaice}"))
    assert [p.line for p in told] == [5, 7, 13]
    assert told[1].do == "Did you mean fitted?"
    assert told[1].excerpt.splitlines() == ["where: fited", "       ^"]


def test_limit_with_a_number_and_a_unit_of_its_own_is_read() -> None:
    assert rule_from(RULE, ("value: 0.1 N·m", "value: 0.1, unit: N·m")).limits["slack"].value == Fraction(1, 10)


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("6.2 ± 0.2", Measured(6.0, 6.4)),
        ("-6.2 ± 0.2", Measured(-6.4, -6.0)),
        ("−1 to 1", Measured(-1.0, 1.0)),
        ("at least 500", Measured(500.0, float("inf"))),
        ("at most 5", Measured(float("-inf"), 5.0)),
        ("8.2e-05 ± 1e-6", Measured(8.1e-05, 8.3e-05)),
        ("6", Measured(6.0, 6.0)),
        ("6 unfit", Measured(6.0, 6.0, False, "the instrument is unfit")),
        ("6.2±0.2", None),
        ("6 N·m", None),
        ("nan", None),
        ("inf", None),
        ("", None),
    ],
)
def test_readings_of_examples(text: str, reading: Measured | None) -> None:
    assert read_reading(text) == reading


# -- folders -----------------------------------------------------------------------------------------------------------


def write(folder: Path, text: str, *changes: tuple[str, str], at: str = "") -> Path:
    text = changed(text, *changes)
    lines = dict(line.split(": ", 1) for line in text.splitlines()[:3])
    file = folder / (at or f"{lines['family']}/{lines['rule']}.yaml")
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def load_problems(folder: Path) -> list[str]:
    with pytest.raises(InputProblems) as bad:
        load_rules([folder], TABLES)
    return [f"{Path(p.file).name}:{p.line} {p.found}" for p in bad.value.problems]


def test_folder_is_loaded_by_family_and_name_and_once_only(tmp_path: Path) -> None:
    write(tmp_path, RULE)
    write(tmp_path, PATH_RULE)
    rules = load_rules([tmp_path], TABLES)
    assert [rule.name for rule in rules] == ["main-path-open", "joint-torque-out-of-band"]
    assert load_rules([tmp_path], TABLES) is rules


def test_changed_file_is_read_again(tmp_path: Path) -> None:
    write(tmp_path, PATH_RULE)
    assert load_rules([tmp_path], TABLES)[0].why == "Nothing works."
    write(tmp_path, PATH_RULE, ("Nothing works.", "Nothing at all works."))
    assert load_rules([tmp_path], TABLES)[0].why == "Nothing at all works."


def test_name_and_family_must_be_those_of_the_place(tmp_path: Path) -> None:
    write(tmp_path, PATH_RULE, at="other/main-path-shut.yaml")
    assert load_problems(tmp_path) == [
        "main-path-shut.yaml:1 the name main-path-open",
        "main-path-shut.yaml:3 the family series",
    ]


def test_two_rules_of_one_name_are_refused(tmp_path: Path) -> None:
    write(tmp_path, PATH_RULE, at="a/series/main-path-open.yaml")
    write(tmp_path, PATH_RULE, at="b/series/main-path-open.yaml")
    assert "a second rule main-path-open" in load_problems(tmp_path)[0]


def test_unknown_cause_and_circle_of_causes_are_refused(tmp_path: Path) -> None:
    write(tmp_path, RULE, ("follows from: []", "follows from: [main-path-opn]"))
    assert load_problems(tmp_path) == ["joint-torque-out-of-band.yaml:15 the rule main-path-opn"]
    write(tmp_path, RULE, ("follows from: []", "follows from: [main-path-open]"))
    write(tmp_path, PATH_RULE, ("require: path", "require: path\nfollows from: [joint-torque-out-of-band]"))
    assert [text.split(" ", 1)[1] for text in load_problems(tmp_path)] == [
        "a circle of rules that follow from each other"
    ] * 2


def test_problems_of_all_files_are_told_together(tmp_path: Path) -> None:
    write(tmp_path, RULE, ("gate: plug in", "gate: plugin"))
    write(tmp_path, PATH_RULE, ("gate: fit bars", "gate: bars"))
    assert len(load_problems(tmp_path)) == 2


def test_absent_folder_is_a_problem(tmp_path: Path) -> None:
    assert load_problems(tmp_path / "none") == ["none:0 no folder of this name"]


# -- schema ------------------------------------------------------------------------------------------------------------


def schema(kind: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((schema_folder() / f"{kind}.json").read_text(encoding="utf-8"))
    return found


def properties(part: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    for name, inner in part.get("properties", {}).items():
        yield f"{path}/{name}", inner
        yield from properties(inner, f"{path}/{name}")
    for key in ("items", "additionalProperties"):
        if isinstance(part.get(key), dict):
            yield f"{path}/*", part[key]
            yield from properties(part[key], f"{path}/*")


@pytest.mark.parametrize("kind", ["rule", "profile"])
def test_every_key_of_the_schema_is_described(kind: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(kind))
    found = list(properties(schema(kind)))
    assert len(found) > 10
    assert [path for path, part in found if not part.get("description")] == []


def test_schema_and_reader_know_the_same_keys_in_the_same_order() -> None:
    assert tuple(key for key in schema("rule")["properties"] if key != "$schema") == rule_file.KEYS
    assert set(rule_file.KEYS) - set(schema("rule")["required"]) == set(rule_file.MAY_BE_ABSENT)


@pytest.mark.parametrize("text", [RULE, PATH_RULE])
def test_schema_accepts_what_the_reader_accepts(text: str) -> None:
    checker = jsonschema.Draft202012Validator.TYPE_CHECKER.redefine(
        "number", lambda _, value: isinstance(value, int | Decimal) and not isinstance(value, bool)
    )
    validator = jsonschema.validators.extend(jsonschema.Draft202012Validator, type_checker=checker)
    assert list(validator(schema("rule")).iter_errors(parse_document(text, "rule.yaml").root)) == []
