"""Slips in a record by hand: what is told leads to what was seen, and never to a statement that nobody can make."""

from __future__ import annotations

import re

import pytest
from faulty_builds import shipped_rules

from packcheck.files.problems import InputProblems, Problem
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text, open_bytes
from packcheck.rules.findings import Gate

FOLDER = shipped_folder("layouts") / "skerry-24"
LAYOUT = Text((FOLDER / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
CLEAN = (FOLDER / "clean-sk-0417.yaml").read_text(encoding="utf-8")


def changed(old: str, new: str) -> str:
    assert CLEAN.count(old) == 1
    return CLEAN.replace(old, new)


def refused(text: str) -> Problem:
    with pytest.raises(InputProblems) as wrong:
        open_bytes(text.encode(), "record.yaml", LAYOUT)
    (problem,) = wrong.value.problems
    return problem


def test_who_tells_of_a_loose_part_is_not_told_to_write_that_there_is_none() -> None:
    problem = refused(changed("extra: none", "extra: one washer on face A"))
    assert "for example, none" not in problem.do
    assert "under bars:, with where it lands" in problem.do


def test_a_number_that_is_a_name_is_put_into_quotes() -> None:
    assert refused(changed("pack: SK-0417", "pack: 417")).do.startswith('write "417", in quotes')


@pytest.mark.parametrize(("old", "new", "do"), [
    ("  B01..B11: as drawn", "  B01..B12: as drawn", "write B01..B11"),
    ("  B13..B23: as drawn", "  B12: as drawn\n  B13..B23: as drawn", "take the row out, or say where it lands"),
])  # fmt: skip
def test_a_bar_that_the_layout_leaves_out_is_named_as_that(old: str, new: str, do: str) -> None:
    problem = refused(changed(old, new))
    assert problem.found == "'B12', which the layout leaves out under drop:"
    assert problem.do.startswith(do)


def test_a_meter_out_of_date_sends_nobody_to_a_place_without_a_name() -> None:
    text = re.sub(r"due: 2027-02-01", "due: 2026-02-01", CLEAN)
    report = check(text.encode(), "record.yaml", layout=LAYOUT, rules=shipped_rules(), gate=Gate.RELEASE)
    places = [place for errand in report.to_do for place in errand.places]
    assert len(places) > 50
    assert "" not in places


@pytest.mark.parametrize("word", ["fitted", "fited", "yes", "ok", "x", "{is: fitted}", "{is: yes}"])
def test_who_says_that_a_bar_is_there_is_not_told_to_write_that_it_is_not(word: str) -> None:
    problem = refused(changed("  B01..B11: as drawn", f"  B01..B11: {word}"))
    assert problem.do.startswith("write as drawn where it is as the layout has it, not fitted where it is missing")


@pytest.mark.parametrize(
    ("word", "meant"), [("not fited", "not fitted"), ("as drawm", "as drawn"), ("nofitted", "not fitted")]
)
def test_a_letter_slipped_in_a_word_for_a_row_is_guessed(word: str, meant: str) -> None:
    assert refused(changed("  B01..B11: as drawn", f"  B01..B11: {word}")).do == f"did you mean '{meant}'?"
