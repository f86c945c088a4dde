"""Small parts of reading a record, each at the case where a slip in it would show."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from workshop import Data, clean_record, pack_of, record_of, stick_layout

from packcheck.files.document import parse_document
from packcheck.files.fields import Fields
from packcheck.files.problems import InputProblems
from packcheck.files.quantities import Dimension
from packcheck.model.pack.types import Bounds
from packcheck.model.record.from_cells import document_of_table
from packcheck.model.record.instruments import Measuring
from packcheck.model.record.model import Record
from packcheck.model.record.to_blocks import lay_out


def clean() -> Data:
    return clean_record(pack_of(stick_layout(4)))


def read(record: Data) -> Record:
    return record_of(record, pack_of(stick_layout(4)))


def told_again(**entry: Any) -> Data:
    return clean() | {"again": [{"at": "2026-10-05 15:00", "by": "TO", "why": "looked again", **entry}]}


def refused(record: Data) -> list[str]:
    with pytest.raises(InputProblems) as told:
        read(record)
    return [f"{one.found}; {one.needed}" for one in told.value.problems]


def test_of_a_window_with_one_end_alone_the_middle_is_the_nominal_voltage() -> None:
    kind = pack_of(stick_layout(4)).module_types["stick"]
    middles = [replace(kind, rest_v=Bounds(low, high)).rest_middle_v
               for low, high in ((7.5, 8.5), (7.5, None), (None, 8.5), (None, None))]  # fmt: skip
    assert middles == [8.0, 7.2, 7.2, 7.2]


def test_a_bar_looked_at_again_is_still_as_drawn_and_cracked_too() -> None:
    bar = read(told_again(conductor="B1", condition="cracked")).conductors["B1"]
    assert (bar.condition, bar.lands, bar.stated_as_drawn) == ("cracked", ("P1.A", "P2.A"), True)


def test_a_bar_found_elsewhere_is_no_more_as_drawn() -> None:
    bar = read(told_again(conductor="B1", lands=["P2.A", "P3.A"])).conductors["B1"]
    assert (bar.lands, bar.stated_as_drawn) == (("P2.A", "P3.A"), False)


def test_a_bar_that_was_not_fitted_is_fitted_once_somebody_tells_where_it_lands() -> None:
    record = told_again(conductor="B1", lands=["P1.A", "P2.A"])
    record["bars"] = record["bars"] | {"B1": "not fitted"}
    assert read(record | {"again": []}).conductors["B1"].fitted is False
    bar = read(record).conductors["B1"]
    assert (bar.fitted, bar.lands) == (True, ("P1.A", "P2.A"))


@pytest.mark.parametrize("kind", ["joint", "reading", "module"])
def test_what_no_row_of_its_table_has_cannot_be_told_again(kind: str) -> None:
    subject = {"joint": "B1/P1", "reading": "V1", "module": "P1"}[kind]
    (one,) = refused(told_again(**{kind: subject}, torke="4.5 N·m"))
    assert one.startswith("'torke'")
    assert f"what can be told again of a {kind}" in one


@pytest.mark.parametrize(("year", "taken"), [("1999", False), ("2000", True), ("2099", True), ("2100", False)])
def test_a_year_is_one_of_a_hundred_and_the_message_names_its_ends(year: str, taken: bool) -> None:
    record = clean()
    record["instruments"] = record["instruments"] | {"V1": {**record["instruments"]["V1"], "due": f"{year}-06-01"}}
    if taken:
        due = read(record).instruments["V1"].due
        assert due is not None
        assert due.year == int(year)
    else:
        assert refused(record) == [f"the year {year}; a year from 2000 to 2099"]


@pytest.mark.parametrize(("plus", "minus"), [(["P1.A", "P2.B"], "P1.B"), ("P1.A", ["P1.B", "P2.B"])])
def test_each_lead_of_a_meter_is_at_one_place(plus: Any, minus: Any) -> None:
    record = clean()
    more = {"X9": {"between": plus, "and": minus, "value": "7.9 V"}}
    record["readings"] = record["readings"] | more
    assert refused(record)


@pytest.mark.parametrize("names", ["X8..X9", "X7..X9"])
def test_a_reading_is_one_and_no_range_of_them(names: str) -> None:
    record = clean()
    one = {names: {"between": "P1.A", "and": "P1.B", "value": "7.9 V", "state": "plug out"}}
    record["readings"] = record["readings"] | one
    assert refused(record) == ["one reading for a range of names; a row for each"]


def measuring() -> Measuring:
    return Measuring(Fields(parse_document("record: 1\n", "r.yaml")), {})


@pytest.mark.parametrize(("number", "unit", "dimension", "expected"), [
    ("100", "s", Dimension.TIME, 100 / 3600),  # 0.027… h, which no decimal is
    ("40", "lbf·in", Dimension.TORQUE, 40 * 4.4482216152605 * 0.0254),  # NIST SP 811, pound-force and inch, exact
    ("85", "µΩ", Dimension.RESISTANCE, 85e-6),
])  # fmt: skip
def test_a_number_in_any_unit_is_one_in_the_program_s(
    number: str, unit: str, dimension: Dimension, expected: float
) -> None:
    assert float(measuring().number(Decimal(number), unit, dimension)) == pytest.approx(expected, rel=1e-12)


def test_a_row_in_braces_keeps_its_cells_when_it_is_laid_out_and_an_empty_one_is_none() -> None:
    table = {"B1/P1": {"torque": "4.5 N·m", "mark": "white", "recheck": None}}
    (block,) = (block for block in lay_out({"joints": table}) if block.section == "joints")
    (line,) = block.lines
    assert dict(line.cells) == {"torque": Decimal("4.5"), "mark": "white", "recheck": "none"}
    assert [column.heading for column in block.columns] == ["torque N·m", "mark", "recheck"]


def test_a_line_whose_modules_nobody_wrote_down_serves_unknown_ones_and_not_none() -> None:
    layout = stick_layout(4)
    layout["vents"] = {"V1": {"over": "P1..P4", "to": "outlet"}}
    pack = pack_of(layout)
    for over, served in ((["P1", "P2", "P1"], ("P1", "P2")), ([], None)):
        record = clean_record(pack) | {"vents": {"V1": {"over": over, "to": "outlet"}}}
        assert record_of(record, pack).vents["V1"].over == served


def test_a_reading_of_one_place_and_no_value_is_one_that_was_not_taken() -> None:
    record = clean()
    record["readings"] = record["readings"] | {"X9": {"between": "P1.A"}, "X8": {"between": "P1.A", "and": "P1.B"}}
    assert [(one.name, one.words) for one in read(record).unread] == [("X9", ("", "")), ("X8", ("P1.A", "P1.B"))]


def test_steps_of_the_work_are_numbered_from_one() -> None:
    steps = [{"at": "2026-10-05 09:00", "did": ["P1"]}, {"at": "2026-10-05 10:00", "did": ["P2"]}]
    (work,) = (block for block in lay_out({"work": steps}) if block.section == "work")
    assert [line.name for line in work.lines] == ["1", "2"]


def test_an_instrument_of_one_column_has_a_column_of_its_own_in_a_table_of_cells() -> None:
    """Two wrenches for two torques, and one meter for both resistances."""
    rows = ["table,joints", "name,torque N·m,resistance µΩ,with torque,with resistance",
            "B1/P1,4.5,80,W1,R1", "B1/P2,4.4,81,W2,R1"]  # fmt: skip
    joints = document_of_table("\n".join(rows).encode(), "record.csv").root["joints"]
    assert {name: row["with"] for name, row in joints.items()} == {
        "B1/P1": {"torque": "W1", "resistance": "R1"}, "B1/P2": {"torque": "W2", "resistance": "R1"},
    }  # fmt: skip
    assert joints["B1/P1"]["torque"] == "4.5 N·m"
