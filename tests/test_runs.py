"""Where a run of rows stands twice, against looking at every pair of places."""

from __future__ import annotations

from time import process_time

from hypothesis import given
from hypothesis import strategies as st

from packcheck.facts.of_repeats import Runs


def longest_by_looking(rows: list[int]) -> int:
    """Return the length of the longest run that stands twice, apart, and is not one row over and over."""
    longest = 0
    for first in range(len(rows)):
        for second in range(first + 1, len(rows)):
            for length in range(1, min(second - first, len(rows) - second) + 1):
                run = rows[first : first + length]
                if run == rows[second : second + length] and (length == 1 or len(set(run)) > 1):
                    longest = max(longest, length)
    return longest


@given(st.lists(st.integers(0, 3), max_size=24))
def test_the_longest_run_is_that_of_looking_at_every_pair(rows: list[int]) -> None:
    found = Runs(rows).longest_twice(lambda *_: True)
    assert (found[2] if found else 0) == longest_by_looking(rows)
    if found:
        first, second, length = found
        assert first + length <= second
        assert rows[first : first + length] == rows[second : second + length]


@given(st.lists(st.integers(0, 3), max_size=24))
def test_rows_that_may_agree_are_no_run(rows: list[int]) -> None:
    assert Runs(rows).longest_twice(lambda *_: False) is None


def seconds_for(rows: int) -> float:
    """Return the time for rows of which one half is copied from the other."""
    half = [number * number % 1009 for number in range(rows // 2)]
    started = process_time()
    assert Runs([*half, *half]).longest_twice(lambda *_: True) == (0, rows // 2, rows // 2)
    return process_time() - started


def test_four_times_the_rows_cost_no_more_than_some_four_times() -> None:
    assert min(seconds_for(40_000) for _ in range(2)) < 8 * min(seconds_for(10_000) for _ in range(2)) + 0.1
