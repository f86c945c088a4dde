"""Many names in few words: ``P01, P02 ... P24`` becomes ``P01..P24``, for lists that people read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations

LEAST_RUN = 3
"""The fewest names worth writing as a range."""

_DIGITS = re.compile(r"([0-9]{1,15})")
_LARGEST_STEP = 2
_MOST_NUMBERS = 4
_SHORT = 24


def natural_key(name: str) -> tuple[tuple[int, int | str], ...]:
    """Return a sort key that puts ``P2`` before ``P10``.

    Examples
    --------
    >>> sorted(["P10", "P2"], key=natural_key)
    ['P2', 'P10']
    """
    return tuple((0, int(part)) if part.isdecimal() else (1, part) for part in _DIGITS.split(name) if part)


def compress_names(names: Iterable[str]) -> list[str]:
    """Return the names in natural order, each run of at least three written as a range.

    A run counts upwards by 1 or 2 in one number of the name, or in several at once: joints along a string are
    ``B01/P01..B23/P23`` and ``B01/P02..B23/P24``.  Each name is said exactly once; doubles are dropped.

    Examples
    --------
    >>> compress_names(["P03", "P01", "P02", "P05"])
    ['P01..P03', 'P05']
    >>> compress_names(["B02/P02", "B04/P04", "B06/P06"])
    ['B02/P02..B06/P06 by 2']
    """
    ordered = sorted(set(names), key=lambda name: (natural_key(name), name))
    left = dict.fromkeys(ordered)
    words: list[str] = []
    for name in ordered:
        if len(left) < LEAST_RUN:
            return [*words, *left]
        if name not in left:
            continue
        run, step = _longest_run(name, left)
        if len(run) < LEAST_RUN:
            run, step = [name], 1
        for taken in run:
            del left[taken]
        words.append(name if len(run) == 1 else _range(run, step))
    return words


def list_places(names: Iterable[str], most: int | None = None) -> str:
    """Return the compressed names as one list; beyond ``most`` entries the rest is counted, not dropped.

    Examples
    --------
    >>> list_places(["A", "C", "E"], most=2)
    'A, C and 1 more'
    """
    names = tuple(names)
    words: Sequence[str] = _remembered(names) if len(names) <= _SHORT else compress_names(names)
    between = "; " if any(", " in word for word in words) else ", "
    if most is None or len(words) <= most:
        return between.join(words)
    return f"{between.join(words[:most])} and {len(words) - most} more"


@lru_cache(maxsize=4096)
def _remembered(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the compressed names of a short list; the same few are listed over and over for large packs."""
    return tuple(compress_names(names))


def _range(run: Sequence[str], step: int) -> str:
    return f"{run[0]}..{run[-1]}" + (f" by {step}" if step > 1 else "")


def _longest_run(name: str, left: dict[str, None]) -> tuple[list[str], int]:
    best: list[str] = [name]
    best_step = 1
    parts = _DIGITS.split(name)
    for step in range(1, _LARGEST_STEP + 1):
        if len(best) >= LEAST_RUN:
            break
        for fields in _number_choices(len(parts) // 2):
            run = list(_run(parts, fields, step, left))
            if len(run) > len(best):
                best, best_step = run, step
    return best, best_step


def _number_choices(numbers: int) -> Iterator[tuple[int, ...]]:
    """Yield which numbers of a name may count together, single ones first; only the last few are tried."""
    first = max(0, numbers - _MOST_NUMBERS)
    for size in range(1, numbers - first + 1):
        yield from combinations(range(first, numbers), size)


def _run(parts: Sequence[str], fields: tuple[int, ...], step: int, left: dict[str, None]) -> Iterator[str]:
    current = list(parts)
    name = "".join(current)
    while name in left:
        yield name
        for index in fields:
            token = current[2 * index + 1]
            current[2 * index + 1] = f"{int(token) + step:0{len(token)}d}"
        name = "".join(current)
