"""Quantities, bounds, accuracies and headings as people write them: read exactly, or refused with how to write them."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packcheck.files.quantities import (
    FACTORS,
    Accuracy,
    Bounds,
    Dimension,
    QuantityProblem,
    parse_accuracy,
    parse_bounds,
    parse_heading,
    parse_number_with_unit,
    parse_quantity,
)

D = Dimension


def problem_of(value: object, dimension: Dimension) -> QuantityProblem:
    with pytest.raises(QuantityProblem) as raised:
        parse_quantity(value, dimension)
    return raised.value


def refusal(parse: Callable[..., object], *arguments: object) -> QuantityProblem | None:
    try:
        parse(*arguments)
    except QuantityProblem as problem:
        return problem
    return None


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("4.5 N·m", D.TORQUE, "9/2"),
        ("4.5N·m", D.TORQUE, "9/2"),
        ("4.5 Nm", D.TORQUE, "9/2"),
        ("4.5 N.m", D.TORQUE, "9/2"),
        ("4.5 N*m", D.TORQUE, "9/2"),
        ("4.5 N m", D.TORQUE, "9/2"),
        ("4.5\u00a0N\u22c5m", D.TORQUE, "9/2"),
        ("450 cN·m", D.TORQUE, "9/2"),
        ("7.92 V", D.VOLTAGE, "7.92"),
        ("7920 mV", D.VOLTAGE, "7.92"),
        ("0.8 kV", D.VOLTAGE, "800"),
        ("10 m\u03a9", D.RESISTANCE, "0.01"),
        ("10 m\u2126", D.RESISTANCE, "0.01"),
        ("10 mohm", D.RESISTANCE, "0.01"),
        ("150 \u00b5Ω", D.RESISTANCE, "0.00015"),
        ("150 \u03bcΩ", D.RESISTANCE, "0.00015"),
        ("150 uohm", D.RESISTANCE, "0.00015"),
        ("1 Mohm", D.RESISTANCE, "1000000"),
        ("2 GΩ", D.RESISTANCE, "2000000000"),
        ("\u221212.5 mV", D.VOLTAGE, "-0.0125"),
        ("-5 °C", D.TEMPERATURE, "-5"),
        ("+5 ℃", D.TEMPERATURE, "5"),
        ("500 ohm/V", D.RESISTANCE_PER_VOLT, "500"),
        ("0.5 kΩ/V", D.RESISTANCE_PER_VOLT, "500"),
        ("35 mm2", D.AREA, "35"),
        ("6 %", D.RATIO, "6"),
        ("2 in", D.LENGTH, "50.8"),
        ("90 min", D.TIME, "1.5"),
        ("12", D.COUNT, "12"),
        (12, D.COUNT, "12"),
    ],
)
def test_accepted_spelling_is_read_exactly(text: object, dimension: Dimension, expected: str) -> None:
    assert parse_quantity(text, dimension) == Fraction(expected)


@pytest.mark.parametrize(
    ("value", "dimension", "words"),
    [
        pytest.param(Decimal("4.5"), D.TORQUE, "write 4.5 N·m", id="bare number from the file"),
        pytest.param("4.5", D.TORQUE, "write 4.5 N·m", id="bare number as text"),
        pytest.param("4,5 N·m", D.TORQUE, "write 4.5 N·m", id="decimal comma"),
        pytest.param("1,000 V", D.VOLTAGE, "or 1000 V for the thousands", id="thousands comma"),
        pytest.param("1 000 V", D.VOLTAGE, "write 1000 V", id="thousands space"),
        pytest.param("010 V", D.VOLTAGE, "write 10 V", id="leading zero"),
        pytest.param(".5 V", D.VOLTAGE, "write 0.5 V", id="no digit before the point"),
        pytest.param("1e-3 V", D.VOLTAGE, "write 0.001 V", id="power of ten"),
        pytest.param("1e999 V", D.VOLTAGE, "write the number in plain digits", id="huge power of ten"),
        pytest.param("5 KV", D.VOLTAGE, "write 5 kV", id="capital K"),
        pytest.param("5 volts", D.VOLTAGE, "write 5 V", id="unit in words"),
        pytest.param("40 in lbs", D.TORQUE, "write 40 in-lb", id="pound inches with a space"),
        pytest.param("2 digits", D.VOLTAGE, "what the digits amount to, in V", id="digits of a display"),
        pytest.param("5 V", D.COUNT, "write 5", id="unit on a count"),
        pytest.param("five V", D.VOLTAGE, "a value such as 7.92 V", id="number in words"),
        pytest.param("", D.VOLTAGE, "a value such as 7.92 V", id="empty"),
        pytest.param(None, D.VOLTAGE, "a value such as 7.92 V", id="nothing"),
        pytest.param(True, D.COUNT, "a value such as 5", id="flag where a count belongs"),
        pytest.param(["4.5 V"], D.VOLTAGE, "a value such as 7.92 V", id="list"),
    ],
)
def test_refused_quantity_shows_the_fix(value: object, dimension: Dimension, words: str) -> None:
    assert words in problem_of(value, dimension).do


@pytest.mark.parametrize("unit", ["mOhm", "MOHM", "mOHM"])
def test_unit_that_case_alone_decides_names_both(unit: str) -> None:
    do = problem_of(f"5 {unit}", D.RESISTANCE).do
    assert "5 mohm (1 mohm = 0.001 Ω)" in do
    assert "5 Mohm (1 Mohm = 1000000 Ω)" in do


def test_quantity_of_another_dimension_is_named() -> None:
    assert "5 V, which is a voltage" in problem_of("5 V", D.TORQUE).found
    assert "40 lb, which is a mass" in problem_of("40 lb", D.TORQUE).found


def test_milli_and_mega_are_not_confused() -> None:
    assert parse_quantity("1 MΩ", D.RESISTANCE) == 10**9 * parse_quantity("1 mΩ", D.RESISTANCE)
    assert parse_quantity("1 Mohm", D.RESISTANCE) == 10**9 * parse_quantity("1 mohm", D.RESISTANCE)


def test_overlong_texts_are_refused_without_being_read() -> None:
    assert "200000 characters" in problem_of("m" * 200000, D.LENGTH).found
    assert "at most 30" in problem_of("1" * 100 + " V", D.VOLTAGE).needed


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high", "aim"),
    [
        ("4.0 N·m to 5.0 N·m, aim 4.5 N·m", D.TORQUE, "4", "5", "4.5"),
        ("7.5 V to 8.4 V", D.VOLTAGE, "7.5", "8.4", None),
        ("at least 500 MΩ", D.RESISTANCE, "500000000", None, None),
        ("at most 150 µΩ", D.RESISTANCE, None, "0.00015", None),
        ("480 mm ± 0.5 mm", D.LENGTH, "479.5", "480.5", "480"),
        ("480 mm +/- 0.5 mm", D.LENGTH, "479.5", "480.5", "480"),
        ("47 Ω ± 5 %", D.RESISTANCE, "44.65", "49.35", "47"),
        ("80 µΩ, at most 150 µΩ", D.RESISTANCE, None, "0.00015", "0.00008"),
        ("80 µΩ", D.RESISTANCE, None, None, "0.00008"),
        ("25 °C ± 2 K", D.TEMPERATURE, "23", "27", "25"),
        ("at least 2 N·m, at most 10 N·m", D.TORQUE, "2", "10", None),
        ("5 V to 5 V", D.VOLTAGE, "5", "5", None),
    ],
)
def test_bounds_in_words(text: str, dimension: Dimension, low: str | None, high: str | None, aim: str | None) -> None:
    ends = [None if end is None else Fraction(end) for end in (low, high, aim)]
    assert parse_bounds(text, dimension) == Bounds(*ends)


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        pytest.param("5 V to 4 V", D.VOLTAGE, "swap the ends", id="ends the wrong way round"),
        pytest.param("4 V to 5 V, aim 6 V", D.VOLTAGE, "correct the aim", id="aim outside"),
        pytest.param("160 µΩ, at most 150 µΩ", D.RESISTANCE, "correct the aim", id="aim above its limit"),
        pytest.param("4 V to 5 V, at most 6 V", D.VOLTAGE, "leave one of them out", id="upper end twice"),
        pytest.param("4.0 to 5.0 N·m", D.TORQUE, "write 4.0 N·m to 5.0 N·m", id="unit at one end only"),
        pytest.param("4.0-5.0 N·m", D.TORQUE, "write 4.0 N·m to 5.0 N·m", id="range with a hyphen"),
        pytest.param("4.0 – 5.0 N·m", D.TORQUE, "write 4.0 N·m to 5.0 N·m", id="range with a dash"),
        pytest.param(">= 500 MΩ", D.RESISTANCE, "write at least 500 MΩ", id="comparison sign"),
        pytest.param("≤ 150 µΩ", D.RESISTANCE, "write at most 150 µΩ", id="comparison sign of type-setters"),
        pytest.param("max. 5 V", D.VOLTAGE, "write at most 5 V", id="max"),
        pytest.param("5 V ± -1 V", D.VOLTAGE, "without the minus sign", id="negative width"),
        pytest.param("4,0 N·m to 5,0 N·m", D.TORQUE, "write 4.0 N·m", id="decimal commas"),
        pytest.param(Decimal("4.5"), D.TORQUE, "write 4.5 N·m", id="bare number"),
    ],
)
def test_refused_bounds_show_the_fix(text: object, dimension: Dimension, words: str) -> None:
    with pytest.raises(QuantityProblem) as raised:
        parse_bounds(text, dimension)
    assert words in raised.value.do


def test_minutes_are_not_taken_for_a_minimum() -> None:
    assert parse_bounds("5 min", D.TIME).aim == Fraction(1, 12)


@pytest.mark.parametrize(
    ("text", "dimension", "relative", "absolute"),
    [
        ("0.03 % + 2 mV", D.VOLTAGE, "0.0003", "0.002"),
        ("2 mV + 0.03 %", D.VOLTAGE, "0.0003", "0.002"),
        ("6 %", D.TORQUE, "0.06", "0"),
        ("± 2 mV", D.VOLTAGE, "0", "0.002"),
        ("0.5 % of reading + 1 µΩ", D.RESISTANCE, "0.005", "0.000001"),
        ("1 K", D.TEMPERATURE, "0", "1"),
        ("1 °C", D.TEMPERATURE, "0", "1"),
        ("2 %", D.RATIO, "0", "2"),
    ],
)
def test_accuracy(text: str, dimension: Dimension, relative: str, absolute: str) -> None:
    assert parse_accuracy(text, dimension) == Accuracy(Fraction(relative), Fraction(absolute))


@pytest.mark.parametrize(
    "text", ["0 %", "0 mV", "-1 %", "1 % + 2 %", "100 %", "1 mV + 1 V", "0.5 % + 3 digits", "+", "", "6"]
)
def test_accuracy_that_says_nothing_is_refused(text: str) -> None:
    with pytest.raises(QuantityProblem):
        parse_accuracy(text, D.VOLTAGE)


@pytest.mark.parametrize(
    ("heading", "parts"),
    [
        ("torque N·m", ("torque", "N·m")),
        ("rest V", ("rest", "V")),
        ("resistance m\u2126", ("resistance", "mΩ")),
        ("torque N m", ("torque", "N m")),
        ("plus at", ("plus at", "")),
        ("serial", ("serial", "")),
        ("A", ("A", "")),
        ("N m", ("N", "m")),
        ("  mean  temperature °C ", ("mean temperature", "°C")),
        ("torque mOhm", ("torque mOhm", "")),
    ],
)
def test_heading(heading: str, parts: tuple[str, str]) -> None:
    assert parse_heading(heading) == parts


def test_cell_takes_the_unit_of_its_heading_or_its_own() -> None:
    assert parse_number_with_unit(Decimal("82.5"), "µΩ", D.RESISTANCE) == Fraction("0.0000825")
    assert parse_number_with_unit(82, "uohm", D.RESISTANCE) == Fraction("0.000082")
    assert parse_number_with_unit("0.1 mΩ", "µΩ", D.RESISTANCE) == Fraction("0.0001")


@pytest.mark.parametrize(("value", "unit"), [(5, "V"), (5, ""), (True, "µΩ"), (None, "µΩ"), ("5", "µΩ")])
def test_cell_that_is_no_such_quantity_is_refused(value: object, unit: str) -> None:
    with pytest.raises(QuantityProblem):
        parse_number_with_unit(value, unit, D.RESISTANCE)


_DECIMALS = st.decimals(min_value=-99999, max_value=99999, places=1)
_UNITS = [(d, unit) for d in Dimension for unit in FACTORS[d]]


@given(_DECIMALS, st.sampled_from(_UNITS))
def test_every_spelling_reads_as_number_times_factor(number: Decimal, unit: tuple[Dimension, str]) -> None:
    dimension, spelling = unit
    assert parse_quantity(f"{number:f} {spelling}", dimension) == Fraction(number) * FACTORS[dimension][spelling]


_FRAGMENTS = st.sampled_from(
    [
        "4.5",
        "4,5",
        "1e5",
        "0",
        *"-−±+%V<(\\²٣\n e.",
        "+/-",
        " to ",
        ", ",
        "aim ",
        "at least ",
        "at most ",
        "N·m",
        "mOhm",
    ]
)
_TEXTS = st.one_of(st.text(max_size=30), st.lists(_FRAGMENTS, max_size=8).map("".join))


@settings(max_examples=400)
@given(_TEXTS, st.sampled_from(list(Dimension)))
def test_any_text_is_read_or_refused_with_a_fix(text: str, dimension: Dimension) -> None:
    for parse in (parse_quantity, parse_bounds, parse_accuracy):
        problem = refusal(parse, text, dimension)
        assert problem is None or (problem.found and problem.needed and problem.do)


@settings(max_examples=200)
@given(_TEXTS)
def test_any_heading_gives_a_known_unit_or_none(text: str) -> None:
    _, unit = parse_heading(text)
    assert not unit or any(unit in FACTORS[d] for d in Dimension)


@pytest.mark.parametrize("text", ["63-80 V", "63 V – 80 V", "63…80 V"])
def test_a_range_where_one_number_belongs_is_called_one(text: str) -> None:
    problem = refusal(parse_quantity, text, Dimension.VOLTAGE)
    assert problem is not None
    assert problem.found.endswith("a range")
    assert "80 V" in problem.do
