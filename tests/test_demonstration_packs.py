"""The demonstration packs: clean records come out clean, faulty ones with exactly the findings their expectation names.

For each record ``NAME.yaml`` there is ``NAME.expect.yaml``: the gate, the verdict, the exit code, and every finding
above advice at the top level, by rule, outcome and subjects, with the rules folded under it.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from demonstrations import KEPT, PACKS, SUFFIX, demonstration, expectations, records
from goldens import assert_golden

from packcheck.facts.tables import table_by_name
from packcheck.files.document import read_document
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.judging.report import Report, exit_code
from packcheck.render.paragraph import Choice
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Finding, Gate, Outcome, Severity, Verdict
from packcheck.rules.library import load_rules

LAYOUTS = shipped_folder("layouts")
EXPECTATIONS, RECORDS = expectations(), records()
EXAMPLES = ("pl-0061-bench-1.yaml", "sk-0424-bench-1.yaml", "sk-0443-bench-2.yaml")
"""The shipped records with something wrong: the pages show what packcheck answers to them."""
FAULTS = {
    "none": 5, "half-finished record": 2, "wrong module type": 1, "wrong chemistry": 1, "bar one pitch off": 1,
    "bypassed module": 1,
    "cap missing": 1, "contactor reversed": 1, "cover missing": 1, "decimal slip": 1, "doubled bar": 1,
    "group member not joined": 1, "group member reversed": 1, "high joint resistance against peers": 1,
    "lost washer": 1, "low cell below 2.0 V": 1, "mains swapped": 1, "missing bar": 1, "missing torques": 1,
    "over-torque": 1, "recheck missing": 1, "reversed block": 1, "reversed module": 1,
    "reversed module, not seen": 1, "reversed module in one string": 1, "reversed string": 1, "shunt reversed": 1,
    "sign of reading contradicting facing": 1, "stack mirrored": 1, "stray bar across the disconnect": 1,
    "strings of unequal voltage": 1, "sum not equal": 1, "tool not returned": 1,
    "torque in lbf·in written as N·m": 1, "torque tool overdue": 1, "two modules exchanged under a plan": 1,
    "wrong fuse": 1,
}  # fmt: skip
LONGEST = {"skerry-24": 80, "tern-96": 110}
GOLDEN = (
    ("skerry-24/sk-0424-bench-1.yaml", Gate.PLUG_IN),
    ("heron-2x15/hr-0006-two-deliveries.yaml", Gate.CLOSE_CONTACTORS),
    ("plover-16/clean-pl-0052.yaml", Gate.RELEASE),
)
_NUMBERS = re.compile(r"(\d+)")


@cache
def answer(path: Path, gate: Gate) -> Report:
    return check_file(path, rules=load_rules([shipped_folder("rules")], table_by_name()), gate=gate)


@cache
def expectation(path: Path) -> dict[str, Any]:
    return dict(read_document(path).root)


def record_of(expectation_file: Path) -> Path:
    return demonstration(f"{expectation_file.parent.name}/{expectation_file.name.removesuffix(SUFFIX)}.yaml")


def names_in(word: str) -> list[str]:
    """Return the names of a range in which several numbers may count together, e.g. ``B01/P01..B23/P23``."""
    span, _, by = word.partition(" by ")
    if ".." not in span or " " in span:
        return [word]
    first, last = (_NUMBERS.split(end) for end in span.split(".."))
    counting = [i for i in range(1, len(first), 2) if first[i] != last[i]]
    step = int(by or 1)
    length = {(int(last[i]) - int(first[i])) // step for i in counting}
    assert len(length) == 1, f"{word} does not count evenly"
    assert [x for i, x in enumerate(first) if i not in counting] == [x for i, x in enumerate(last) if i not in counting]
    return [
        "".join(f"{int(x) + step * k:0{len(x)}d}" if i in counting else x for i, x in enumerate(first))
        for k in range(length.pop() + 1)
    ]


def top(findings: tuple[Finding, ...]) -> list[Finding]:
    return [finding for finding in findings if finding.severity is not Severity.ADVISE]


def by_rule(findings: list[Finding]) -> dict[tuple[str, str], tuple[set[str], set[str]]]:
    """Return for each rule and outcome the subjects, and the rules folded under them."""
    found: dict[tuple[str, str], tuple[set[str], set[str]]] = {}
    for finding in findings:
        subjects, folded = found.setdefault((finding.rule, finding.outcome.value), (set(), set()))
        assert finding.subject not in subjects
        subjects.add(finding.subject)
        folded.update(f"{c.rule} {c.outcome.value}" for c in finding.consequences)
    return found


def wanted(expected: dict[str, Any]) -> dict[tuple[str, str], tuple[set[str], set[str]]]:
    return {
        (entry["rule"], entry["outcome"]): (
            {name for word in entry["at"] for name in names_in(word)},
            set(entry.get("consequences", [])),
        )
        for entry in expected["expect"]
    }


@pytest.mark.parametrize("path", EXPECTATIONS, ids=lambda path: path.name.removesuffix(SUFFIX))
def test_exactly_what_is_expected(path: Path) -> None:
    expected = expectation(path)
    judgement = answer(record_of(path), Gate(expected["gate"])).judgement
    assert by_rule(top(judgement.findings)) == wanted(expected)
    assert judgement.verdict.value == expected["verdict"]
    assert exit_code(judgement) == expected["exit"]
    advice = {f"{f.rule} {f.outcome.value}" for f in judgement.findings if f.severity is Severity.ADVISE}
    assert advice == set(expected.get("advice", []))


@pytest.mark.parametrize("path", EXPECTATIONS, ids=lambda path: path.name.removesuffix(SUFFIX))
def test_an_expectation_says_what_to_learn(path: Path) -> None:
    expected = expectation(path)
    assert expected["record"] == record_of(path).name
    assert len(expected["learn"]) > 40
    assert set(expected) <= {"record", "fault", "learn", "gate", "verdict", "exit", "expect", "advice"}
    rules = [entry["rule"] for entry in expected["expect"]]
    assert len(rules) == len(set(rules))
    if expected["fault"] == "none":
        assert (expected["verdict"], expected["gate"], rules) == ("no rule broken", "release", [])
    elif expected["exit"] == 1:
        assert len(rules) == 1, "one root fault each: what follows from it is folded under it"
    else:
        assert {entry["outcome"] for entry in expected["expect"]} == {"unproven"}


@pytest.mark.parametrize("pack", PACKS)
def test_nothing_above_advice_is_wrong_with_a_layout(pack: str) -> None:
    judgement = answer(LAYOUTS / pack / f"{pack}.yaml", Gate.RELEASE).judgement
    assert judgement.verdict is Verdict.NO_RULE_BROKEN
    assert top(judgement.findings) == []
    assert sum(tally.met for tally in judgement.tallies) >= 15


@pytest.mark.parametrize("path", [path for path in RECORDS if path.name.startswith("clean-")], ids=lambda p: p.stem)
def test_a_clean_record_is_clean_at_every_gate(path: Path) -> None:
    for gate in Gate:
        judgement = answer(path, gate).judgement
        assert judgement.verdict is Verdict.NO_RULE_BROKEN
        assert top(judgement.findings) == []
        assert {f.outcome for f in judgement.findings if f.rule == "conductor-not-inspected"} <= {Outcome.UNPROVEN}
        assert sum(tally.met for tally in judgement.tallies) >= (20 if gate is Gate.FIT_BARS else 800)


def test_none_is_missing() -> None:
    assert sorted(path.name for path in LAYOUTS.iterdir() if path.is_dir()) == sorted([*PACKS, "lessons"])
    assert [record_of(path) for path in EXPECTATIONS] == RECORDS
    assert len(RECORDS) == 42
    records = Counter(path.parent.name for path in RECORDS)
    assert records == {"eider-20": 8, "heron-2x15": 7, "plover-16": 8, "skerry-24": 11, "tern-96": 8}
    assert Counter(path.parent.name for path in RECORDS if path.name.startswith("clean-")) == dict.fromkeys(PACKS, 1)
    assert Counter(expectation(path)["fault"] for path in EXPECTATIONS) == FAULTS


def test_nothing_shipped_tells_what_a_record_is_of() -> None:
    """Beside the clean records only those are shipped that the pages show; the keys of lessons are sealed."""
    assert not list(LAYOUTS.rglob(f"*{SUFFIX}"))
    shipped = sorted(path.name for path in RECORDS if path.is_relative_to(LAYOUTS))
    assert [name for name in shipped if not name.startswith("clean-")] == list(EXAMPLES)
    pages = "".join((LAYOUTS.parent / page).read_text(encoding="utf-8") for page in ("README.md", "layouts/README.md"))
    assert all(f"/{name}" in pages for name in EXAMPLES)


@pytest.mark.parametrize("pack", PACKS)
def test_the_layouts_beside_the_records_that_tests_keep_are_the_shipped_ones(pack: str) -> None:
    assert (KEPT / pack / f"{pack}.yaml").read_bytes() == (LAYOUTS / pack / f"{pack}.yaml").read_bytes(), (
        "the layout was changed since; copy it with python tests/demonstrations.py --write"
    )


@pytest.mark.parametrize(("pack", "most"), LONGEST.items())
def test_a_layout_stays_short(pack: str, most: int) -> None:
    text = (LAYOUTS / pack / f"{pack}.yaml").read_text(encoding="utf-8")
    assert len(text.partition("\norder:")[0].rstrip().splitlines()) <= most


@pytest.mark.parametrize(("name", "gate"), GOLDEN)
def test_text_is_as_kept(name: str, gate: Gate, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(LAYOUTS.parent)
    report = check_file(
        demonstration(name).relative_to(LAYOUTS.parent),
        rules=load_rules([shipped_folder("rules")], table_by_name()),
        gate=gate,
    )
    text = re.sub(r"\b[0-9a-f]{64}\b", "(64 digits)", render_terminal(report, choice=Choice()))
    assert_golden(f"record-{Path(name).stem}.txt", text)


def test_names_in_a_range() -> None:
    assert names_in("B01/P01..B05/P05 by 2") == ["B01/P01", "B03/P03", "B05/P05"]
    assert names_in("T1-G24a") == ["T1-G24a"]
