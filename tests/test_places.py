"""Lists of names in few words: every name is said exactly once."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packcheck.files.name_lists import compress_names, list_places
from packcheck.files.names import expand_names


def expand(word: str) -> list[str]:
    """Expand a range in which several numbers may count together."""
    span, _, step = word.partition(" by ")
    if ".." not in span:
        return [span]
    first, last = span.split("..")
    names, now = [first], first
    a, b = re.split(r"([0-9]+)", first), re.split(r"([0-9]+)", last)
    counting = [i for i in range(1, len(a), 2) if int(a[i]) != int(b[i])]
    while now != last:
        parts = re.split(r"([0-9]+)", now)
        for index in counting:
            parts[index] = f"{int(parts[index]) + int(step or 1):0{len(parts[index])}d}"
        now = "".join(parts)
        names.append(now)
    return names


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], []),
        (["P07"], ["P07"]),
        (["P07", "P08"], ["P07", "P08"]),
        (["P07", "P08", "P09"], ["P07..P09"]),
        (["P01", "P03", "P05", "P07"], ["P01..P07 by 2"]),
        (["P9", "P10", "P11"], ["P9..P11"]),
        (["P08", "P09", "P10", "P100"], ["P08..P10", "P100"]),
        (["P01", "P01", "P01"], ["P01"]),
        (["P1", "P01"], ["P01", "P1"]),
        (["B01/P01", "B01/P02", "B02/P02", "B02/P03", "B03/P03", "B03/P04"], ["B01/P01..B03/P03", "B01/P02..B03/P04"]),
        ([f"T{t}-G{g:02d}" for t in (1, 2) for g in range(1, 25)], ["T1-G01..T1-G24", "T2-G01..T2-G24"]),
        (["main", "F1.1", "SD.2"], ["F1.1", "SD.2", "main"]),
    ],
)
def test_names_become_ranges(names: list[str], words: list[str]) -> None:
    assert compress_names(names) == words


NAMES = st.from_regex(r"\A[A-C][0-9]{1,3}(/P[0-9]{1,2})?[ab]?\Z")


@given(st.lists(NAMES, max_size=40))
def test_every_name_is_said_exactly_once(names: list[str]) -> None:
    said = [name for word in compress_names(names) for name in expand(word)]
    assert sorted(said) == sorted(set(names))


@given(st.integers(1, 50), st.integers(3, 60), st.sampled_from([1, 2]))
def test_a_range_of_one_number_reads_back_in_the_layout_language(first: int, count: int, step: int) -> None:
    names = [f"P{first + step * index:03d}" for index in range(count)]
    (word,) = compress_names(names)
    assert expand_names(word) == names


@given(st.permutations([f"P{n:02d}" for n in range(1, 9)] + ["W1", "SD.1", "SD.2"]))
def test_order_of_the_names_does_not_matter(names: list[str]) -> None:
    assert compress_names(names) == ["P01..P08", "SD.1", "SD.2", "W1"]


def test_a_long_list_counts_what_it_leaves_out() -> None:
    names = [f"{letter}1" for letter in "ABCDEFG"]
    assert list_places(names, most=3) == "A1, B1, C1 and 4 more"
    assert list_places(names) == "A1, B1, C1, D1, E1, F1, G1"


def test_numbers_too_long_for_python_to_read_do_no_harm() -> None:
    name = "P" + "9" * 5000
    assert compress_names([name, "P1"]) == ["P1", name]
