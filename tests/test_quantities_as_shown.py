"""Quantities and intervals as people read them: a prefix that suits, digits that matter, never narrower than true."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packcheck.files.quantities import Dimension, format_interval, format_quantity, parse_quantity


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (Fraction(9, 2), "N·m", "4.5 N·m"),
        (Decimal("8.4004"), "V", "8.4004 V"),
        (0.1 + 0.2, "V", "0.3 V"),
        (Fraction(1, 3), "N·m", "0.3333 N·m"),
        (-0.012, "V", "−12 mV"),
        (8.2e-05, "Ω", "82 µΩ"),
        (0.01, "Ω", "10 mΩ"),
        (47, "Ω", "47 Ω"),
        (5e8, "Ω", "500 MΩ"),
        (2e9, "Ω", "2000 MΩ"),
        (12345.678, "mm", "12346 mm"),
        (10000, "A", "10 kA"),
        (0, "Ω", "0 Ω"),
        (-0.0, "V", "0 V"),
        (3, "", "3"),
        (inf, "Ω", "unlimited"),
        (None, "V", "unknown"),
        (nan, "V", "unknown"),
    ],
)
def test_quantity_for_people(value: float | None, unit: str, shown: str) -> None:
    assert format_quantity(value, unit) == shown


def test_digits_asked_for_are_kept_to_but_never_before_the_point() -> None:
    assert format_quantity(8.4004, "V", digits=2) == "8.4 V"
    assert format_quantity(384.6, "V", digits=2) == "385 V"


@pytest.mark.parametrize(
    ("low", "high", "unit", "shown"),
    [
        (5.95, 6.45, "N·m", "6.2 ± 0.25 N·m"),
        (5.828, 6.572, "N·m", "6.2 ± 0.38 N·m"),
        (7.9166, 7.9254, "V", "7.921 ± 0.0044 V"),
        (5e8, inf, "Ω", "at least 500 MΩ"),
        (-inf, 1.5e-4, "Ω", "at most 150 µΩ"),
        (None, None, "Ω", "unknown"),
        (-inf, inf, "V", "unknown"),
        (4.5, 4.5, "N·m", "4.5 N·m"),
        (1e-5, 9e-5, "Ω", "10 µΩ to 90 µΩ"),
        (-0.002, 0.002, "V", "0 ± 2 mV"),
    ],
)
def test_interval_for_people(low: float | None, high: float | None, unit: str, shown: str) -> None:
    assert format_interval(low, high, unit) == shown


@given(st.integers(-999999, 999999), st.integers(0, 6), st.sampled_from(list(Dimension)))
def test_what_is_shown_can_be_read_back(digits: int, places: int, dimension: Dimension) -> None:
    value = Fraction(digits, 10**places)
    assert parse_quantity(format_quantity(value, dimension.unit), dimension) == value


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e3))
def test_interval_is_never_shown_narrower_than_it_is(middle: float, half: float) -> None:
    low, high = middle - half, middle + half
    shown = format_interval(low, high, "N·m").removesuffix(" N·m").replace("−", "-")
    if " ± " in shown:
        width = 2 * float(shown.split(" ± ")[1])
    else:
        first, last = shown.replace(" N·m", "").split(" to ")
        width = float(last) - float(first)
    assert width >= high - low - 4e-6  # the twelfth digit of a million
