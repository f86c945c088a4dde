"""Faults that the matrix has no place for, each in one build: two at once, or in the drawing itself."""

from __future__ import annotations

import pytest
from faulty_builds import Fault, above_advice, every_finding, judged
from kinds_of_fault import build
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of

from packcheck.files.problems import InputProblems
from packcheck.rules.findings import Gate, Outcome, Verdict


def test_two_modules_turned_in_different_blocks_are_two_findings() -> None:
    b = build("trays 2x4")
    first, *_, last = b.modules_reversed()
    both = Fault("two", {"modules": {**first.changes["modules"], **last.changes["modules"]}}, first.top + last.top)
    judgement = judged(b.honest(both))
    assert {(f.rule, f.subject) for f in above_advice(judgement)} == set(both.top)
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE


def test_a_member_off_its_bar_has_the_unjoined_group_among_its_consequences() -> None:
    b = build("groups 5x3")
    fault = next(b.members_unjoined())
    found = {(f.rule, f.subject) for f in every_finding(judged(b.honest(fault)))}
    assert ("group-member-unjoined", "G1") in found


def test_a_position_used_twice_is_refused_by_the_reader() -> None:
    b = build("stick 6")
    twice = {**b.clean, "modules": {**b.clean["modules"], "P1..P2": "as drawn"}}
    with pytest.raises(InputProblems, match="a second time"):
        record_of(twice, b.pack)


def test_groups_of_unequal_size_are_found_in_the_layout() -> None:
    layout = grouped_layout(5, 2)
    block = next(iter(layout["positions"].values()))
    layout["positions"] = {
        "G1..G2": block,
        "G3": {**block, "of": ["a", "b", "c"], "first at": ["200 mm", "0 mm", "0 mm"]},
        "G4..G5": {**block, "first at": ["300 mm", "0 mm", "0 mm"], "plus at": ["R", "F"]},
    }
    layout["bars"]["M2"]["lands"].insert(2, "G3c.R")
    pack = pack_of(layout)
    judgement = judged(record_of(clean_record(pack), pack))
    assert ("group-unequal-size", "G3") in {(f.rule, f.subject) for f in above_advice(judgement)}
    assert judgement.verdict is Verdict.HOLD


def test_strings_of_unequal_length_in_parallel_are_found_in_the_layout() -> None:
    pack = pack_of(rack_layout([4, 5]))
    judgement = judged(record_of(clean_record(pack), pack), Gate.CLOSE_CONTACTORS)
    found = {(f.rule, f.subject) for f in above_advice(judgement) if f.outcome is Outcome.BROKEN}
    loop = ("layout-strings-unequal", "loop of S1-P1..S1-P4, S2-P1..S2-P5 closed by BN, BP")
    assert found == {("string-unequal-length", "S1"), ("string-unequal-length", "S2"), loop}
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE


def test_a_total_that_its_parts_do_not_add_up_to_is_found() -> None:
    b = build("stick 6")
    changes = {
        "readings": {
            "half A": [
                "P3.A",
                "P1.B",
                round(sum(row[2] for row in (b.clean["readings"][name] for name in ("V1", "V2", "V3"))) - 15.84, 3),
            ]
        }
    }
    found = {(f.rule, f.subject) for f in every_finding(judged(b.record(changes)))}
    assert ("sum-disagrees", "half A") in found
