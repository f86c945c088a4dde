"""Names and ranges of names: ``P01..P24``, ``P02.B..P12.B by 2``, ``T1-G01..T1-G24``."""

from __future__ import annotations

import re
from collections.abc import Iterator

LARGEST_RANGE = 200_000
"""The most names one range may stand for."""

_DIGITS = re.compile(r"(\d+)")
_BY = re.compile(r"^(?P<range>.*\S)\s+by\s+(?P<step>\d+)$")


class RangeProblem(ValueError):
    """A range of names that cannot be expanded; the text says what was needed."""


def is_range(text: str) -> bool:
    """Return whether the text stands for several names."""
    return ".." in text


def expand_names(text: str) -> list[str]:
    """Return the names that one word or range stands for, in order.

    The two ends of a range differ in exactly one run of digits; leading zeros are kept; ``by 2`` takes every
    second name.  A range may also run downwards.  What stands before a stroke at the first end holds for the last.

    Raises
    ------
    RangeProblem : the ends differ in more than one number, or the range is longer than ``LARGEST_RANGE``.

    Examples
    --------
    >>> expand_names("P02.B..P06.B by 2")
    ['P02.B', 'P04.B', 'P06.B']
    >>> expand_names("sense wires/T00..T02")
    ['sense wires/T00', 'sense wires/T01', 'sense wires/T02']
    """
    if not is_range(text):
        return [text]
    match = _BY.match(text)
    span, step = (match["range"], int(match["step"])) if match else (text, 1)
    first, _, last = (part.strip() for part in span.partition(".."))
    if "/" in first and "/" not in last:
        last = f"{first.rpartition('/')[0]}/{last}"
    if step < 1 or not first or not last:
        raise RangeProblem("FIRST..LAST, or FIRST..LAST by STEP with a step of at least 1")
    return list(_between(first, last, step))


def _between(first: str, last: str, step: int) -> Iterator[str]:
    a, b = _DIGITS.split(first), _DIGITS.split(last)
    differing = [i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y]
    if len(a) != len(b) or len(differing) > 1 or (differing and differing[0] % 2 == 0):
        raise RangeProblem("two ends that are alike but for one number")
    if not differing:
        yield first
        return
    index = differing[0]
    start, end = int(a[index]), int(b[index])
    if abs(end - start) // step > LARGEST_RANGE:
        raise RangeProblem(f"a range of at most {LARGEST_RANGE} names")
    width = len(a[index]) if len(a[index]) == len(b[index]) else 1
    head, tail = "".join(a[:index]), "".join(a[index + 1 :])
    direction = 1 if end >= start else -1
    for number in range(start, end + direction, step * direction):
        yield f"{head}{number:0{width}d}{tail}"


def conductor_of(joint: str) -> str:
    """Return what stands before the stroke of a name: the conductor of a joint, the test of a point.

    Examples
    --------
    >>> conductor_of("B01/P02"), conductor_of("B01")
    ('B01', 'B01')
    """
    return joint.partition("/")[0]


def names_within(name: str) -> tuple[str, ...]:
    """Return a name, and where it has a stroke what stands on each side of it.

    Examples
    --------
    >>> names_within("B01/P02"), names_within("P02")
    (('B01/P02', 'B01', 'P02'), ('P02',))
    """
    return tuple(dict.fromkeys((name, *name.split("/"))))


def tray_of(name: str) -> str:
    """Return the tray that a name belongs to: what stands before its first hyphen, or "" for none.

    Examples
    --------
    >>> tray_of("T1-G01a"), tray_of("P01")
    ('T1', '')
    """
    head, hyphen, _ = name.partition("-")
    return head if hyphen and head else ""
