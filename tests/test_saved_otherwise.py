"""A file that an editor, a table program or a merge wrote otherwise: one plain message with the right advice."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_open_switches import TWO_PLUGS

from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems
from packcheck.files.tables.separated import read_separated
from packcheck.model.pack.from_document import read_pack

LAYOUT = Path(TWO_PLUGS.with_name("gadwall-6.yaml")).read_text(encoding="utf-8")
RECORD = TWO_PLUGS.read_text(encoding="utf-8")


@pytest.mark.parametrize("dash", "–—−‒~")
def test_a_range_with_a_long_dash_is_one_mistake_whatever_refers_to_it(dash: str) -> None:
    with pytest.raises(InputProblems) as wrong:
        read_pack(parse_document(LAYOUT.replace("P1..P6:", f"P1{dash}P6:"), "layout.yaml"))
    assert [(p.found, p.do) for p in wrong.value.problems] == [(f"'P1{dash}P6', a range with a dash", "write P1..P6")]


def test_a_hyphen_in_a_name_is_no_range() -> None:
    assert read_pack(parse_document(LAYOUT.replace("C1:", "C-1:"), "layout.yaml")).covers


def test_marks_of_two_versions_are_one_mistake() -> None:
    text = RECORD.replace("extra: none", "<<<<<<< HEAD\nextra: none\n=======\nextra: maybe\n>>>>>>> other")
    with pytest.raises(InputProblems) as wrong:
        parse_document(text, "record.yaml")
    (problem,) = wrong.value.problems
    assert problem.excerpt.startswith("<<<<<<< HEAD")
    assert problem.found == "the marks of two versions that were not brought together"


@pytest.mark.parametrize(("begins", "found"), [
    ("<<<<<<< HEAD\npack: A\n=======\npack: B\n>>>>>>> other\n",
     "the marks of two versions that were not brought together"),
    ("\n<!doctype html><html></html>", "a page or a drawing (HTML, SVG, XML)"),
    ("<?xml version='1.0'?><svg/>", "a page or a drawing (HTML, SVG, XML)"),
])  # fmt: skip
def test_a_file_that_begins_with_an_angle_bracket_is_told_for_what_it_is(begins: str, found: str) -> None:
    with pytest.raises(InputProblems) as wrong:
        parse_document(begins.encode(), "record.yaml")
    assert [problem.found for problem in wrong.value.problems] == [found]


@pytest.mark.parametrize(("opened", "closed"), ["“”", "‘’", "„“", "«»"])
def test_quotation_marks_of_print_are_said_and_not_taken_for_part_of_the_value(opened: str, closed: str) -> None:
    with pytest.raises(InputProblems) as wrong:
        parse_document(f"pack: {opened}GW-0003{closed}\n", "record.yaml")
    (problem,) = wrong.value.problems
    assert problem.do == 'write GW-0003, or "GW-0003"'


@pytest.mark.parametrize("note", ["“Smelled” at night, then nothing", "he said “no”"])
def test_prose_that_quotes_somebody_is_left_alone(note: str) -> None:
    assert parse_document(f"notes: {note}\n", "record.yaml").root["notes"] == note


@pytest.mark.parametrize(("text", "kind"), [(RECORD, "record"), (LAYOUT, "layout")])
def test_yaml_named_csv_says_what_it_is(text: str, kind: str) -> None:
    with pytest.raises(InputProblems) as wrong:
        read_separated(text.encode(), "saved.csv")
    (problem,) = wrong.value.problems
    assert problem.found == f"a {kind} written in YAML, in a file named .csv"
    assert problem.do == "give the file the ending .yaml"
