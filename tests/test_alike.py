"""One number at many joints: how rarely honest readings write it so often, against drawn lots and by hand."""

from __future__ import annotations

import random
from collections import Counter
from decimal import Decimal

import pytest

from packcheck.facts.of_alike import chance_one_in, last_digit


@pytest.mark.parametrize(
    ("number", "step", "alike"), [(60, 0.1, 4), (60, 0.1, 5), (80, 0.1, 4), (30, 0.1, 6), (150, 1, 9)]
)
def test_lots_that_scatter_by_one_percent_are_alike_no_oftener_than_is_said(
    number: float, step: float, alike: int
) -> None:
    lot, tries, of = random.Random(7), 4000, 18
    seen = 0
    for _ in range(tries):
        digits = Counter(round(lot.gauss(number, 0.01 * number) / step) for _ in range(of))
        seen += max(digits.values()) >= alike
    said = 1 / chance_one_in(alike, of, step, number)
    assert seen / tries <= min(1.0, 1.05 * said) + 3 * (said / tries) ** 0.5


def test_a_coarse_meter_gives_many_alike_honestly() -> None:
    """1 µΩ at 20 µΩ that scatter by 0.2 µΩ: all may well be alike."""
    assert chance_one_in(18, 18, 1, 20) == 1
    assert chance_one_in(384, 384, 1, 39) == 1


def test_eighteen_alike_to_a_tenth_of_a_microohm_are_beyond_any_chance() -> None:
    """By hand: p = 0.1 / (0.6 · 2.5066) = 0.0665; p^17 = 1e-20, told as one in 10^12 at the least."""
    assert chance_one_in(18, 18, 0.1, 60) == 1e12


@pytest.mark.parametrize(
    ("written", "step"),
    [
        (["60.0", "60.0"], "0.1"),
        (["60", "60"], "10"),
        (["60", "61"], "1"),
        (["60.00", "61.5"], "0.01"),
        (["0", "0"], "1"),
    ],
)
def test_the_last_digit_is_what_was_written(written: list[str], step: str) -> None:
    assert last_digit([Decimal(one) for one in written]) == Decimal(step)
