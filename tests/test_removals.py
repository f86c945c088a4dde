"""Leaving something out of a record with faults never makes a rule met, nor its verdict *no rule broken*.

Held here on the rows of each shipped record that its findings are about, and on a few others;
``tests/benchmarks/leave_out.py`` does it with everything.
"""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest
from faulty_builds import above_advice, judged
from removals import Way, improvements, ways_in
from test_demonstration_packs import EXPECTATIONS, SUFFIX, expectation, record_of
from test_laws import outcomes_of
from workshop import Data, clean_record, pack_of, stick_layout
from workshop import record_of as record_from

from packcheck.files.document import read_document
from packcheck.model.pack.model import Pack
from packcheck.rules.findings import Gate, Outcome, Verdict

FAULTY = {
    path.name.removesuffix(SUFFIX): path
    for path in EXPECTATIONS
    if expectation(path)["verdict"] != Verdict.NO_RULE_BROKEN.value
}
ABOUT_A_FINDING, OTHERS = 10, 4


def test_every_shipped_record_with_a_fault_is_here() -> None:
    assert len(FAULTY) == len(EXPECTATIONS) - sum(path.name.startswith("clean-") for path in EXPECTATIONS)


@pytest.mark.parametrize("name", sorted(FAULTY))
def test_leaving_something_out_makes_nothing_better(name: str) -> None:
    record, pack, gate = loaded(name)
    ways = chosen(record, pack, gate)
    assert len(ways) >= OTHERS
    assert improvements(record, pack, ways, gate) == []


@cache
def loaded(name: str) -> tuple[Data, Pack, Gate]:
    """Return a shipped record as plain data, its pack, and the gate it is judged at."""
    file = record_of(FAULTY[name])
    layout = pack_of(plain(read_document(file.with_name(f"{file.parent.name}.yaml")).root))
    return plain(read_document(file).root), layout, Gate(expectation(FAULTY[name])["gate"])


def plain(data: Any) -> Any:
    """Return a document's data without the places of its keys and values."""
    if isinstance(data, dict):
        return {str(key): plain(item) for key, item in data.items()}
    return [plain(item) for item in data] if isinstance(data, list) else data


def chosen(record: Data, pack: Pack, gate: Gate) -> list[Way]:
    """Return ways to the rows that findings are about, and to a few others."""
    names = {
        word
        for finding in above_advice(judged(record_from(record, pack), gate))
        for word in (finding.subject, *finding.subject.replace("/", " ").split())
    }
    about, others = [], []
    for way in ways_in(record, pack):
        row = str(way[1]) if len(way) > 1 else ""
        (about if row in names or row.partition("/")[0] in names else others).append(way)
    picker = random.Random(len(others))
    return [part for ways, most in ((about, ABOUT_A_FINDING), (others, OTHERS))
            for part in picker.sample(ways, min(most, len(ways)))]  # fmt: skip


PACK = stick_layout(5)
CLEAN = clean_record(pack_of(PACK))


def outcome_of(record: Data, rule: str, subject: str) -> Outcome:
    return outcomes_of(record_from(record, pack_of(PACK)))[rule, subject]


def test_a_clean_record_is_clean() -> None:
    assert above_advice(judged(record_from(CLEAN, pack_of(PACK)))) == []


@pytest.mark.parametrize("rule", ["reading-disagrees", "reading-floating"])
def test_a_reading_row_without_its_value_is_unproven_and_not_gone(rule: str) -> None:
    name, row = "V2", CLEAN["readings"]["V2"]
    assert outcome_of(CLEAN, rule, name) is Outcome.MET
    less = {**CLEAN, "readings": {**CLEAN["readings"], name: [*row[:-1], "none"]}}
    assert outcome_of(less, rule, name) is Outcome.UNPROVEN
    assert judged(record_from(less, pack_of(PACK))).verdict is Verdict.HOLD


@pytest.mark.parametrize(("column", "rule"), [
    (1, "module-reversed"), (2, "module-wrong-type"), (3, "rest-voltage-outside-window"),
])  # fmt: skip
def test_none_in_a_cell_of_a_module_is_not_recorded_whatever_the_drawing_says(column: int, rule: str) -> None:
    row = CLEAN["modules"]["P3"]
    blank = ["none" if index == column else cell for index, cell in enumerate(row)]
    less = {**CLEAN, "modules": {**CLEAN["modules"], "P3": blank}}
    assert outcome_of(CLEAN, rule, "P3") is Outcome.MET
    assert outcome_of(less, rule, "P3") is Outcome.UNPROVEN


def test_a_row_in_which_nothing_is_written_does_not_say_that_it_is_fitted() -> None:
    less = {
        **CLEAN,
        "modules": {**CLEAN["modules"], "P3": ["none"] * 4},
        "bars": {**CLEAN["bars"], "B3": {"lands": "none", "part": "none"}},
        "devices": {name: {"part": "none"} for name in CLEAN["devices"]},
    }
    assert outcome_of(less, "module-not-fitted", "P3") is Outcome.UNPROVEN
    assert outcome_of(less, "conductor-not-fitted", "B3") is Outcome.UNPROVEN
    assert outcome_of(less, "disconnect-not-fitted", "SD") is Outcome.UNPROVEN
    assert outcome_of(less, "device-not-fitted", "F1") is Outcome.UNPROVEN


def test_landing_as_drawn_does_not_fill_in_a_part_that_was_left_blank() -> None:
    told = {**CLEAN, "bars": {**CLEAN["bars"], "B3": {"lands": "as drawn", "part": "none"}}}
    assert outcome_of(CLEAN, "conductor-wrong-part", "B3") is Outcome.MET
    assert outcome_of(told, "conductor-wrong-part", "B3") is Outcome.UNPROVEN


def test_while_it_is_open_where_a_conductor_lies_the_disconnect_is_not_proven_to_part_the_string() -> None:
    less = {**CLEAN, "bars": {name: word for name, word in CLEAN["bars"].items() if name != "B3"}}
    assert outcome_of(CLEAN, "disconnect-bypassed", "SD") is Outcome.MET
    assert outcome_of(less, "disconnect-bypassed", "SD") is Outcome.UNPROVEN
