"""Quantities, bounds and accuracies as people write them -> exact numbers in the program's units."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from packcheck.files.frozen import dataclass
from packcheck.files.quantities.complaints import (
    MOST_DIGITS,
    QuantityProblem,
    bare_number,
    example,
    needed,
    no_accuracy,
    not_a_number,
    wrong_unit,
)
from packcheck.files.quantities.units import FACTORS, Dimension, dimensions_of, plain_signs

_LONGEST_TEXT = 200
_NUMBER = re.compile(r"([+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?)(?![0-9.,]|[eE][+-]?[0-9]) *(\S.*)?", re.DOTALL)
_COMPARISONS = (
    ("at least", re.compile(r"(?:>=?|≥|=>|min(?:imum)?\b\.?|no less than\b|not less than\b|from\b)\s*", re.IGNORECASE)),
    ("at most", re.compile(r"(?:<=?|≤|=<|max(?:imum)?\b\.?|no more than\b|not more than\b|up to\b)\s*", re.IGNORECASE)),
)
_DASH_RANGE = re.compile(r"([0-9][0-9.]*)\s*(\D*?)\s*[-–—…]+\s*([0-9][0-9.]*)\s*(\D*)")


@dataclass(frozen=True)
class Bounds:
    """What a value may be and what is aimed at, in the dimension's unit; None where nothing was said."""

    low: Fraction | None = None
    high: Fraction | None = None
    aim: Fraction | None = None


@dataclass(frozen=True)
class Accuracy:
    """How far a reading may be from the truth: ``relative * abs(reading) + absolute``.

    ``relative`` is a share of the reading (6 % is 3/50), ``absolute`` is in the dimension's unit.
    """

    relative: Fraction = Fraction(0)
    absolute: Fraction = Fraction(0)


def parse_quantity(value: object, dimension: Dimension) -> Fraction:
    """Return a quantity such as ``4.5 N·m`` or ``40 lbf·in`` exactly, in the unit of the dimension.

    Parameters
    ----------
    value : what the file holds.  Anything but text is refused with the fix shown, save numbers for ``COUNT``.
    dimension : what it must be a quantity of.

    Raises
    ------
    QuantityProblem : no number, no unit, an unknown unit, or a unit of another dimension.

    Examples
    --------
    >>> parse_quantity("7.92 V", Dimension.VOLTAGE)
    Fraction(198, 25)
    >>> float(parse_quantity("40 in-lb", Dimension.TORQUE))
    4.51939316110467
    """
    return _quantity(_text_of(value, dimension), dimension)


@lru_cache(maxsize=4096)
def _quantity(text: str, dimension: Dimension) -> Fraction:
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise not_a_number(text, dimension)
    number, unit = match[1], match[2] or ""
    factor = FACTORS[dimension].get(unit)
    if factor is None and (dash := _DASH_RANGE.fullmatch(text)):
        do = f"write the one that counts, such as {dash[3]} {dash[4] or dash[2] or dimension.unit}".rstrip()
        raise QuantityProblem(f"{text!r}, a range", "one number", do)
    if factor is None:
        raise wrong_unit(number, unit, dimension)
    if len(number) > MOST_DIGITS:
        raise QuantityProblem(
            f"a number of {len(number)} characters", f"at most {MOST_DIGITS} characters", "write the digits that count"
        )
    return Fraction(number) * factor


def parse_number_with_unit(value: object, unit: str, dimension: Dimension) -> Fraction:
    """Return a table cell's number, whose unit stands in the column's heading, exactly in the dimension's unit.

    Text in the cell is read as a quantity that carries its own unit.

    Raises
    ------
    QuantityProblem : the value is neither, or the heading's unit is not one of the dimension.
    """
    if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
        factor = FACTORS[dimension].get(unit)
        if factor is None:
            factor = FACTORS[dimension].get(plain_signs(unit))
        if factor is None:
            raise wrong_unit(str(value), plain_signs(unit), dimension)
        return Fraction(value) * factor
    return parse_quantity(value, dimension)


def parse_bounds(value: object, dimension: Dimension) -> Bounds:
    """Return bounds said in words, in the unit of the dimension.

    The forms, joined by ``, ``: ``X to Y``; ``at least X``; ``at most Y``; ``X ± Y``; ``aim X``; or ``X`` alone, which
    is an aim.

    Raises
    ------
    QuantityProblem : a part cannot be read, an end is said twice, or not low <= aim <= high.

    Examples
    --------
    >>> parse_bounds("80 µΩ, at most 150 µΩ", Dimension.RESISTANCE)
    Bounds(low=None, high=Fraction(3, 20000), aim=Fraction(1, 12500))
    """
    text = _text_of(value, dimension)
    said: dict[str, Fraction] = {}
    for clause in re.split(r", +", text.strip(" ")):
        for end, limit in _read_clause(clause.strip(), dimension).items():
            if end in said:
                raise QuantityProblem(
                    f"{text!r} says the {_END_WORDS[end]} twice", "each end at most once", "leave one of them out"
                )
            said[end] = limit
    bounds = Bounds(**said)
    _check_order(bounds, text)
    return bounds


def parse_accuracy(value: object, dimension: Dimension) -> Accuracy:
    """Return an instrument's accuracy such as ``0.03 % + 2 mV``, ``6 %`` or ``2 mV``.

    Raises
    ------
    QuantityProblem : a part cannot be read, is said twice or is negative, or nothing is left of it (an accuracy of 0).
    """
    if dimension is Dimension.TEMPERATURE:
        dimension = Dimension.TEMPERATURE_DIFFERENCE
    text = _text_of(value, dimension).replace("+/-", "±").lstrip("± ")
    said: dict[Dimension, Fraction] = {}
    for term in re.split(r" *\+ *", text):
        percent = term.removesuffix(" of reading")
        kind = Dimension.RATIO if percent.endswith("%") else dimension
        amount = parse_quantity(percent if kind is Dimension.RATIO else term, kind)
        if amount < 0 or kind in said:
            raise no_accuracy(text, dimension)
        said[kind] = amount
    relative, absolute = said.get(Dimension.RATIO, Fraction(0)) / 100, said.get(dimension, Fraction(0))
    if dimension is Dimension.RATIO:
        relative = Fraction(0)
    if relative >= 1 or relative == absolute == 0:
        raise no_accuracy(text, dimension)
    return Accuracy(relative, absolute)


def parse_heading(text: str) -> tuple[str, str]:
    """Return the name and the unit of a column's heading: ``torque N·m`` -> (``torque``, ``N·m``).

    The unit is empty when the last word is no accepted spelling, or the only word.  A name whose last word is also a
    unit (``face A``) must be looked for among the known names first.
    """
    words = plain_signs(text).split()
    for count in (2, 1):
        unit = " ".join(words[-count:])
        if len(words) > count and any(dimensions_of(unit)):
            return " ".join(words[:-count]), unit
    return " ".join(words), ""


_END_WORDS = {"low": "lower end", "high": "upper end", "aim": "aim"}


def _text_of(value: object, dimension: Dimension) -> str:
    """Return the text to read, or raise what is wrong with a value that is not text."""
    if isinstance(value, str):
        if len(value) > _LONGEST_TEXT:
            found = f"a text of {len(value)} characters"
            raise QuantityProblem(found, needed(dimension), f"write {example(dimension)}")
        return plain_signs(value).strip()
    if isinstance(value, (int, Decimal)) and not isinstance(value, bool):
        if dimension is Dimension.COUNT:
            return f"{value:f}" if isinstance(value, Decimal) else str(value)
        raise bare_number(str(value), dimension)
    kinds = ((type(None), "nothing"), (bool, "true or false"), (dict, "a mapping"), (list, "a list"))
    found = next((words for kind, words in kinds if isinstance(value, kind)), type(value).__name__)
    raise QuantityProblem(found, needed(dimension), f"write a value such as {example(dimension)}")


def _read_clause(clause: str, dimension: Dimension) -> dict[str, Fraction]:
    """Return the ends that one clause of a bound says."""
    if clause.startswith("at least "):
        return {"low": parse_quantity(clause[9:], dimension)}
    if clause.startswith("at most "):
        return {"high": parse_quantity(clause[8:], dimension)}
    if clause.startswith("aim "):
        return {"aim": parse_quantity(clause[4:], dimension)}
    for words, sign in _COMPARISONS:
        if match := sign.match(clause):
            raise QuantityProblem(
                repr(clause), "a bound in words: at least, at most, or X to Y", f"write {words} {clause[match.end() :]}"
            )
    first, word, last = re.sub(r" *\+/- *", " ± ", clause).partition(" ± ")
    if word:
        return _around(first, last, dimension)
    first, word, last = clause.partition(" to ")
    if word:
        _both_units(first.strip(), last.strip(), dimension)
        return {"low": parse_quantity(first, dimension), "high": parse_quantity(last, dimension)}
    if dash := _DASH_RANGE.fullmatch(clause):
        unit = dash[4] or dash[2] or dimension.unit
        do = f"write {dash[1]} {unit}".strip() + f" to {dash[3]} {unit}".rstrip()
        raise QuantityProblem(f"{clause!r}, a range with a dash", "a range in words", do)
    return {"aim": parse_quantity(clause, dimension)}


def _around(first: str, last: str, dimension: Dimension) -> dict[str, Fraction]:
    """Return the ends of ``X ± Y``, where Y may be a percentage of X."""
    aim = parse_quantity(first, dimension)
    if last.endswith("%") and dimension is not Dimension.RATIO:
        reach = abs(aim) * parse_quantity(last, Dimension.RATIO) / 100
    else:
        kind = Dimension.TEMPERATURE_DIFFERENCE if dimension is Dimension.TEMPERATURE else dimension
        reach = parse_quantity(last, kind)
    if reach < 0:
        raise QuantityProblem(f"a negative width, ± {last}", "a width of 0 or more", "write it without the minus sign")
    return {"low": aim - reach, "high": aim + reach, "aim": aim}


def _both_units(first: str, last: str, dimension: Dimension) -> None:
    """Refuse ``4 to 5 N·m``: say that the first end needs its unit as well."""
    tail = _NUMBER.fullmatch(last)
    if tail and tail[2] in FACTORS[dimension] and re.fullmatch(r"[+-]?[0-9]+(\.[0-9]+)?", first):
        raise QuantityProblem(
            f"the bare number {first}, without a unit", "a unit at both ends", f"write {first} {tail[2]} to {last}"
        )


def _check_order(bounds: Bounds, text: str) -> None:
    """Refuse bounds that no value can meet, and an aim outside its own bounds."""
    low, high, aim = bounds.low, bounds.high, bounds.aim
    if low is not None and high is not None and low > high:
        found = f"{text!r}, whose lower end is above its upper end"
        raise QuantityProblem(found, "the lower end first", "swap the ends")
    if aim is not None and ((low is not None and aim < low) or (high is not None and aim > high)):
        raise QuantityProblem(
            f"{text!r}, whose aim lies outside its bounds", "an aim inside the bounds", "correct the aim or the bounds"
        )
