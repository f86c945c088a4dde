"""What is advised where a name or a number was mistyped: the range that was meant, both poles, the decimal point."""

from __future__ import annotations

import pytest

from packcheck.files.document import decimal_commas
from packcheck.files.document.commas import comma_at
from packcheck.files.suggestions import advice_for

PLACES = [f"P{n:02d}.{post}" for n in range(1, 25) for post in "AB"]
NODES = [*PLACES, "SD.1", "SD.2", "main+", "main-", "E1+", "E1-", "G4a.L", "G4a.R", "G4b.L", "G4b.R", "T01", "T02"]


@pytest.mark.parametrize("written", ["L1-L3", "L1 - L3", "L1 to L3", "L1–L3", "L1...L3", "L1 … L3", "L1:L3"])
def test_a_range_written_otherwise_is_shown_as_it_is_written_here(written: str) -> None:
    assert advice_for(written, ["L1", "L2", "L3"]) == "write L1..L3 for a range"


@pytest.mark.parametrize("written", ["L1-L9", "L1-K3", "X-L3"])
def test_a_range_is_only_offered_between_names_that_are_there(written: str) -> None:
    assert ".." not in advice_for(written, ["L1", "L2", "L3"])


@pytest.mark.parametrize(("written", "both"), [
    ("P12.C", "P12.A or P12.B"), ("P12", "P12.A or P12.B"), ("P12.b", "P12.A or P12.B"), ("SD", "SD.1 or SD.2"),
    ("SD.3", "SD.1 or SD.2"), ("main", "main+ or main-"), ("E1", "E1+ or E1-"), ("G4.L", "G4a.L or G4b.L"),
])  # fmt: skip
def test_where_two_poles_could_be_meant_both_are_named(written: str, both: str) -> None:
    assert advice_for(written, NODES) == f"write {both}, whichever is meant"


@pytest.mark.parametrize(
    "written", [f"P{n:02d}{slip}" for n in (1, 9, 17) for slip in ("A", "-A", ".A.", "_B", ",B", ".AB")]
)
def test_no_near_place_is_ever_a_guess_at_a_pole(written: str) -> None:
    advice = advice_for(written, NODES)
    named = [place for place in PLACES if place in advice]
    assert {place[:-1] + other for place in named for other in "AB"} <= set(named) or advice.startswith("known:")


def test_a_name_without_poles_is_still_guessed() -> None:
    assert advice_for("T0l", ["T01", "T12"]) == "did you mean 'T01'?"
    assert advice_for("x", []) == "there is none yet: add it first"


@pytest.mark.parametrize(("line", "pointed"), [
    ("length: 120,1 mm}", ["120.1 mm"]), ("{value: 7,92}", ["7.92"]), ("[M-1, A, 7,92]", ["7.92"]),
    ("[34,5 mm, 16 mm]", ["34.5 mm"]), ("-7,92 V", ["-7.92 V"]), ("[10, 60]", []), ("[10,0,60]", []), ("[4.5,80]", []),
    ("1,234,567", []), ("P1,2", []),
])  # fmt: skip
def test_numbers_with_a_decimal_comma_are_seen(line: str, pointed: list[str]) -> None:
    assert [one.pointed for one in decimal_commas(line)] == pointed


def test_in_a_list_only_a_number_with_its_unit_has_a_decimal_comma() -> None:
    assert comma_at("[12,50]", 2, item=True) is None
    assert comma_at("{at: 12,50}", 6, item=False) is not None
    found = comma_at("[12,5 mm, 3 mm]", 2, item=True)
    assert found is not None
    assert found.pointed == "12.5 mm"


@pytest.mark.parametrize(("written", "meant"), [("P1", "P01"), ("P007", "P07"), ("T1-G3", "T1-G03"), ("B010", "B10")])
def test_a_number_with_more_or_fewer_zeros_is_taken_for_the_same_number(written: str, meant: str) -> None:
    known = [*(f"P{n:02d}" for n in range(1, 25)), "T1-G03", "T1-G13", "T1-G30", "B1", "B10", "B01"]
    assert advice_for(written, known) == f"did you mean '{meant}'?"
