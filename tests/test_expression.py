"""Reading a condition: what may stand in it, what is refused, and where the mistake is shown."""

from __future__ import annotations

import pytest

from packcheck.rules import terms
from packcheck.rules.catalogue import Column, Table
from packcheck.rules.expression import BadExpression, ExpressionProblem, parse_expression
from packcheck.rules.terms import (
    Absolute,
    All,
    AtMost,
    Below,
    ColumnTerm,
    Constant,
    Equal,
    Extreme,
    LimitTerm,
    Negative,
    Not,
    OneOf,
    Product,
    SameText,
    Sum,
    Truth,
    Word,
)
from packcheck.rules.units import read_unit, unit_in_words

JOINT = Table(
    "joint",
    "One row per joint.",
    "joint",
    (
        Column("joint", "text", "name", "layout"),
        Column("torque_n_m", "measured", "torque", "record", "N·m", "torque", "torque wrench"),
        Column("torque_low_n_m", "number", "least torque", "layout", "N·m"),
        Column("gap_mm", "measured", "gap", "record", "mm"),
        Column("current_a", "measured", "current", "record", "A"),
        Column("voltage_v", "measured", "voltage", "record", "V"),
        Column("resistance_ohm", "measured", "resistance", "record", "Ω"),
        Column("power_w", "measured", "power", "record", "W"),
        Column("rest_c", "measured", "temperature", "record", "°C"),
        Column("rise_k", "measured", "temperature rise", "record", "K"),
        Column("turns", "number", "turns", "record"),
        Column("passes", "number", "passes", "record"),
        Column("marked", "flag", "mark seen", "record"),
        Column("carries_pack_current", "flag", "in the main path", "layout"),
        Column("mark", "text", "colour of the mark", "record"),
    ),
)
LIMITS = {"least_gap": "mm", "factor": ""}
TORQUE = ColumnTerm("torque_n_m", "measured")
LOW = ColumnTerm("torque_low_n_m", "number")
TURNS = ColumnTerm("turns", "number")
MARK = ColumnTerm("mark", "text")
MARKED = ColumnTerm("marked", "flag")


def read(text: str) -> terms.TruthTerm:
    return parse_expression(text, JOINT, LIMITS)


def problems(text: str) -> tuple[ExpressionProblem, ...]:
    with pytest.raises(BadExpression) as bad:
        read(text)
    assert bad.value.problems
    return bad.value.problems


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("marked", MARKED),
        ("True", Truth(True)),
        ("not marked", Not(MARKED)),
        ("torque_n_m >= torque_low_n_m", AtMost(LOW, TORQUE)),
        ("torque_n_m > 0", Below(Constant(0.0), TORQUE)),
        ("0 < torque_n_m < torque_low_n_m", All((Below(Constant(0.0), TORQUE), Below(TORQUE, LOW)))),
        ("turns == 2", Equal(TURNS, Constant(2.0))),
        ("turns != 2", Not(Equal(TURNS, Constant(2.0)))),
        ("least_gap < gap_mm", Below(LimitTerm("least_gap"), ColumnTerm("gap_mm", "measured"))),
        ("mark == 'white'", SameText(MARK, Word("white"))),
        ('mark in ("white", "red")', OneOf(MARK, ("white", "red"))),
        ("mark not in ['white']", Not(OneOf(MARK, ("white",)))),
        ("abs(torque_n_m) <= torque_low_n_m", AtMost(Absolute(TORQUE), LOW)),
        ("max(torque_n_m, 0) <= torque_low_n_m", AtMost(Extreme(True, (TORQUE, Constant(0.0))), LOW)),
        ("torque_n_m - torque_low_n_m + torque_n_m < 0", Below(Sum((TORQUE, Negative(LOW), TORQUE)), Constant(0.0))),
        ("torque_n_m * 1.5 < torque_low_n_m", Below(Product(TORQUE, Constant(1.5)), LOW)),
        ("factor * torque_n_m < torque_low_n_m", Below(Product(LimitTerm("factor"), TORQUE), LOW)),
        ("-turns < -0.5", Below(Negative(TURNS), Negative(Constant(0.5)))),
        ("  marked  ", MARKED),
        ("marked\n  and\n  carries_pack_current", All((MARKED, ColumnTerm("carries_pack_current", "flag")))),
    ],
)
def test_condition_of_allowed_parts_is_read(text: str, term: terms.TruthTerm) -> None:
    assert read(text) == term


@pytest.mark.parametrize(
    "text",
    [
        "voltage_v / resistance_ohm <= current_a",
        "voltage_v * current_a <= power_w",
        "rest_c - rest_c <= rise_k",
        "voltage_v * voltage_v / resistance_ohm <= power_w",
        "gap_mm / least_gap <= 2",
        "2 * gap_mm <= least_gap + least_gap",
    ],
)
def test_units_that_work_out_agree(text: str) -> None:
    assert isinstance(read(text), AtMost)


@pytest.mark.parametrize(
    ("text", "offset", "found"),
    [
        ("torque_nmm < 5", 0, "torque_nmm"),
        ("marked and tork < 5", 11, "tork"),
        ("marked == true", 10, "true"),
        ("torque_n_m <= gap_mm", 14, "N·m compared with mm"),
        ("torque_n_m + gap_mm <= torque_low_n_m", 13, "N·m added with mm"),
        ("min(torque_n_m, gap_mm) <= 0", 16, "N·m compared with mm"),
        ("torque_n_m <= 5", 14, "bare number"),
        ("5 <= torque_n_m", 5, "bare number"),
        ("torque_n_m + 0.3 <= torque_low_n_m", 13, "bare number"),
        ("torque_n_m == torque_low_n_m", 14, "measured"),
        ("torque_low_n_m != 2 * torque_n_m", 18, "measured"),
        ("mark <= 'white'", 8, "an order between texts"),
        ("mark == 5", 8, "a text compared with a number"),
        ("turns == 'two'", 9, "a number compared with a text"),
        ("marked == mark", 10, "a condition compared with a text"),
        ("torque_n_m", 0, "on its own"),
        ("mark", 0, "on its own"),
        ("not turns", 4, "on its own"),
        ("marked or torque_n_m", 10, "on its own"),
        ("'marked'", 0, "on its own"),
        ("mark in 'white'", 8, "list of texts"),
        ("mark in ('white', 2)", 8, "list of texts"),
        ("mark in ()", 8, "list of texts"),
        ("turns in (1, 2)", 0, "other than a text"),
        ("mark + 'a' == 'b'", 0, "used in arithmetic"),
        ("min(turns) <= 2", 0, "min with 1 number"),
        ("abs(turns, passes) <= 2", 0, "abs with 2 numbers"),
        ("turns is 2", 9, "is"),
        ("", 0, "nothing"),
        ("marked and", 10, "no expression"),
        ("marked # and not marked", 7, "letter #"),
        ("turns <= 1e99", 9, "beyond all measure"),
        ("turns <= 0x10", 9, "0x10"),
        ("turns <= 1_000", 9, "1_000"),
        ("turns <= 1j", 9, "1j"),
    ],
)
def test_mistake_is_named_where_it_stands(text: str, offset: int, found: str) -> None:
    first = problems(text)[0]
    assert found in first.found
    assert first.offset == offset


@pytest.mark.parametrize(
    "text",
    [
        "__import__('os').system('true')",
        "(lambda: marked)()",
        "marked.__class__",
        "mark.format(marked)",
        "'{0.__class__}'.format(marked) == 'a'",
        "f'{marked}' == 'a'",
        "'%s' % mark == 'a'",
        "mark[0] == 'a'",
        "[marked for x in (1, 2)]",
        "{'a': marked}",
        "marked if marked else marked",
        "(turns := 2) == 2",
        "turns ** passes <= 2",
        "turns // passes <= 2",
        "turns % passes <= 2",
        "~turns <= 2",
        "turns & passes <= 2",
        "max(turns, passes, key=abs) <= 2",
        "max(*turns) <= 2",
        "eval('marked')",
        "b'a' == mark",
        "None == mark",
        "... == mark",
        "await marked",
        "9**9**9 <= turns",
        "mark == 'a\\x00'",
        "marked; marked",
        "marked\x00",
        "import os",
    ],
)
def test_escape_is_refused(text: str) -> None:
    assert all(problem.needed for problem in problems(text))


@pytest.mark.parametrize(
    "text",
    [
        "(" * 400 + "marked" + ")" * 400,
        "not " * 200 + "marked",
        "abs(" * 60 + "turns" + ")" * 60 + " <= 2",
        "marked and " * 200 + "marked",
        "9" * 900 + " <= turns",
        "turns <= " + "9" * 5000,
    ],
)
def test_what_is_too_deep_or_too_long_is_refused(text: str) -> None:
    assert len(problems(text)) == 1


def test_all_mistakes_are_told_at_once() -> None:
    found = [problem.offset for problem in problems("tork < 5 and gap_mm < 1 and marked.x")]
    assert found == [0, 22, 28]


def test_near_name_is_suggested() -> None:
    assert problems("torque_nm > 0")[0].do == "Did you mean torque_n_m?"


def test_limits_are_names_too() -> None:
    assert problems("gap_mm < least_gab")[0].do == "Did you mean least_gap?"


def test_offset_counts_characters_not_bytes() -> None:
    assert problems("mark == 'µΩ' and tork")[0].offset == 17


def test_offset_counts_from_the_start_of_the_text_as_written() -> None:
    assert problems("  marked and tork")[0].offset == 13


def test_bare_number_message_shows_the_way_out() -> None:
    assert problems("torque_n_m <= 5")[0].do.startswith("Name it under limits with its unit, such as 0.3 N·m")


@pytest.mark.parametrize(
    ("symbol", "shown"),
    [("", "no unit"), ("N·m", "N·m"), ("Ω/V", "1/A"), ("mm²", "mm²"), ("MPa", "MPa"), ("%", "%"), ("Wh", "Wh")],
)
def test_unit_symbols_are_read_and_shown(symbol: str, shown: str) -> None:
    assert unit_in_words(read_unit(symbol)) == shown
