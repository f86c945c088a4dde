"""Where something stands, in a text and in a table, and that findings carry it."""

from __future__ import annotations

from string import ascii_uppercase

import pytest

from packcheck.facts.tables import table_by_name
from packcheck.files.origin import Origin, column_letters, in_table, in_text
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.judging.report import Report
from packcheck.model.opening import Text
from packcheck.rules.library import load_rules

FOLDER = shipped_folder("layouts") / "skerry-24"
RECORD = (FOLDER / "clean-sk-0417.yaml").read_text(encoding="utf-8")
LAYOUT = Text((FOLDER / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
RULES = load_rules([shipped_folder("rules")], table_by_name())


def check_texts(record: str) -> Report:
    return check(record.encode(), "record.yaml", rules=RULES, layout=LAYOUT)


@pytest.mark.parametrize(
    ("origin", "words", "short"),
    [
        (in_text("record.yaml", 12, 3), "record.yaml line 12", "record.yaml:12:3"),
        (in_table("record.csv", 7, 3), "record.csv cell C7", "record.csv cell C7"),
        (
            in_table("record.xlsx", 7, 3, "Joints"),
            "record.xlsx sheet Joints cell C7",
            "record.xlsx sheet Joints cell C7",
        ),
        (Origin("record.xlsx", "Joints"), "record.xlsx sheet Joints", "record.xlsx sheet Joints"),
        (Origin("record.yaml"), "record.yaml", "record.yaml"),
    ],
)
def test_a_place_is_said_in_words_and_as_programs_show_it(origin: Origin, words: str, short: str) -> None:
    assert (origin.words(), origin.short()) == (words, short)


def test_columns_are_lettered_as_in_any_table_program() -> None:
    one = list(ascii_uppercase)
    two = [a + b for a in one for b in one]
    assert [column_letters(n) for n in range(1, len(one) + len(two) + 1)] == one + two
    assert column_letters(16_384) == "XFD"  # the last column of a workbook, ISO/IEC 29500-1


def test_places_come_in_the_order_of_the_file() -> None:
    places = [in_text("a.yaml", line, column) for line, column in ((2, 1), (1, 9), (1, 2), (10, 1))]
    assert [(place.line, place.column) for place in sorted(places)] == [(1, 2), (1, 9), (2, 1), (10, 1)]


def test_a_finding_shows_a_reading_in_the_unit_it_was_written_in() -> None:
    written = RECORD.replace("B01/P01: [4.5,", "B01/P01: [53 lbf·in,", 1)
    assert written != RECORD
    finding = next(f for f in check_texts(written).judgement.findings if f.subject == "B01/P01")
    assert "tightened to 53 lbf·in (5.99 ± 0.36 N·m)" in finding.found  # 53 × 0.112985 = 5.988 N·m, ± 6 %
    assert finding.origin is not None
    assert finding.origin.line == written[: written.index("B01/P01: [53")].count("\n") + 1
    metric = RECORD.replace("B01/P01: [4.5,", "B01/P01: [6.2,", 1)
    assert "N·m)" not in next(f for f in check_texts(metric).judgement.findings if f.subject == "B01/P01").found
