"""What is wrong with a text that is not the quantity it should be, and what to write instead."""

from __future__ import annotations

import re
from decimal import Decimal

from packcheck.files.problems import PackcheckError
from packcheck.files.quantities.units import FACTORS, Dimension, dimensions_of, near_spellings, size_in_words

MOST_DIGITS = 30
_NUMBER_LIKE = re.compile(r"([+-]?[0-9.,]*[0-9][0-9.,]*(?:[eE][+-]?[0-9]+)?)\s*(.*)", re.DOTALL)
_EXAMPLE = {
    Dimension.TORQUE: "4.5", Dimension.VOLTAGE: "7.92", Dimension.RESISTANCE: "47", Dimension.LENGTH: "480",
    Dimension.CAPACITY: "6.0", Dimension.RESISTANCE_PER_VOLT: "100", Dimension.TEMPERATURE: "25",
    Dimension.CURRENT: "80",
}  # fmt: skip


class QuantityProblem(PackcheckError):
    """A text is not the quantity it should be: what was found, what was needed, what to do.

    The caller knows the file and adds the position.
    """

    def __init__(self, found: str, needed: str, do: str) -> None:
        self.found = found
        self.needed = needed
        self.do = do
        super().__init__(f"{found}; needed: {needed}; {do}")


def needed(dimension: Dimension) -> str:
    """Say what belongs there, with an example."""
    if dimension is Dimension.COUNT:
        return dimension.words
    return f"{dimension.words} with its unit, such as {example(dimension)}"


def bare_number(number: str, dimension: Dimension) -> QuantityProblem:
    """Say that a number lacks its unit."""
    return QuantityProblem(
        f"the bare number {number}, without a unit",
        f"{dimension.words} with its unit",
        f"write {number} {dimension.unit}, if that is the unit it was given in",
    )


def not_a_number(text: str, dimension: Dimension) -> QuantityProblem:
    """Say why the text does not start with a number of the accepted form."""
    match = _NUMBER_LIKE.fullmatch(text)
    if match is None:
        found = repr(text) if text else "an empty text"
        return QuantityProblem(found, needed(dimension), f"write a value such as {example(dimension)}")
    number, unit = match[1], match[2]
    comma = re.fullmatch(r"([+-]?[0-9]+),([0-9]+)", number)
    if comma and len(comma[2]) == 3 and comma[1].lstrip("+-0"):
        point = f"{comma[1]}.{comma[2]} {unit}".strip()
        do = f"write {point} with a decimal point, or {comma[1]}{comma[2]} {unit}".strip() + " for the thousands"
        return QuantityProblem(f"a comma inside the number {number}", "a decimal point, no thousands sign", do)
    if comma:
        do = f"write {comma[1]}.{comma[2]} {unit}".strip()
        return QuantityProblem(f"a decimal comma in {number}", "a decimal point", do)
    return QuantityProblem(f"the number {number}", "plain digits with one decimal point", _plain_digits(number, unit))


def _plain_digits(number: str, unit: str) -> str:
    """Return what to write for a number with leading zeros, a power of ten, or a point at one end."""
    try:
        value = Decimal(number)
    except ArithmeticError:
        return "write the number in plain digits with one decimal point"
    adjusted = value.adjusted()
    if not -15 <= adjusted <= 15 or len(number) > MOST_DIGITS:
        return "write the number in plain digits"
    return f"write {value:f} {unit}".strip()


def wrong_unit(number: str, unit: str, dimension: Dimension) -> QuantityProblem:
    """Say what is wrong with a unit: absent, of another dimension, or unknown, with the nearest spelling."""
    if not unit:
        return bare_number(number, dimension)
    if dimension is Dimension.COUNT:
        return QuantityProblem(f"{number} with a unit, {unit!r}", dimension.words, f"write {number}")
    spaced = re.fullmatch(r"([0-9]{3}(?: [0-9]{3})*(?:\.[0-9]+)?) *(\D*)", unit)
    if spaced:
        joined = f"{number}{spaced[1].replace(' ', '')} {spaced[2]}".strip()
        return QuantityProblem(f"a space inside the number {number} {spaced[1]}", "plain digits", f"write {joined}")
    others = [other.words for other in dimensions_of(unit)]
    if others:
        found = f"{number} {unit}, which is {' or '.join(others)}"
        return QuantityProblem(found, needed(dimension), f"give it in {dimension.unit}")
    found = f"{unit!r}, which is not a unit packcheck reads"
    return QuantityProblem(found, needed(dimension), _unit_advice(number, unit, dimension))


def _unit_advice(number: str, unit: str, dimension: Dimension) -> str:
    if re.search(r"\b(digits?|counts?|dgts?|lsd)\b", unit, re.IGNORECASE):
        return f"write what the digits amount to, in {dimension.unit}"
    near = near_spellings(unit, dimension)
    sizes = {FACTORS[dimension][name] for name in near}
    if len(sizes) > 1:
        choices = " or ".join(f"{number} {name} (1 {name} = {size_in_words(name, dimension)})" for name in near)
        return f"upper and lower case differ here: write {choices}"
    if near:
        return f"write {number} {near[0]}"
    return f"write it in {dimension.unit}"


def no_accuracy(text: str, dimension: Dimension) -> QuantityProblem:
    """Say that a text is no accuracy above zero."""
    return QuantityProblem(
        repr(text),
        "an accuracy above zero: a percentage of the reading, an amount, or both",
        f"write it as 0.5 % + {example(dimension, '0.01')}",
    )


def example(dimension: Dimension, number: str | None = None) -> str:
    """Return an example of the dimension, in its own unit."""
    return f"{number or _EXAMPLE.get(dimension, '5')} {dimension.unit}".strip()
