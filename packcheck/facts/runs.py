"""Where a run of rows stands twice in a list, found in about n log n steps.

A run is known by two numbers: those of the two runs of a power of two of rows that cover it.  Runs of twice as many
rows are numbered from pairs of runs, so no run is ever written out.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence

Apart = Callable[[int, int, int], bool]
"""Whether runs of so many rows at two places may be held against each other: first place, second place, rows."""


class Runs:
    """The runs of a list of rows, compared by what is equal in them."""

    def __init__(self, rows: Sequence[Hashable]) -> None:
        self._doubled = [_numbered(rows)]
        self._same_until = list(range(1, len(rows) + 1))
        for start in range(len(rows) - 2, -1, -1):
            if rows[start] == rows[start + 1]:
                self._same_until[start] = self._same_until[start + 1]

    def longest_twice(self, apart: Apart) -> tuple[int, int, int] | None:
        """Return where the longest run starts that stands twice, where it stands again, and its length; None if none.

        A run of two rows or more that are all alike counts for nothing.
        """
        best, low, high = None, 1, self._bound()
        while low <= high:
            middle = (low + high) // 2
            found = self._twice(middle, apart)
            if found is None:
                high = middle - 1
            else:
                best, low = (*found, middle), middle + 1
        return best

    def _bound(self) -> int:
        """Return a length that no run standing twice exceeds."""
        most, length = len(self._same_until) // 2, 1
        while length <= most and self._twice(length, lambda *_: True):
            length *= 2
        return min(length - 1, most)

    def _twice(self, length: int, apart: Apart) -> tuple[int, int] | None:
        """Return the first two places, apart from each other, at which a run of so many rows stands."""
        level = length.bit_length() - 1
        numbers, last = self._level(level), length - (1 << level)
        first: dict[tuple[int, int], int] = {}
        for start in range(len(self._same_until) - length + 1):
            if length > 1 and self._same_until[start] >= start + length:
                continue
            before = first.setdefault((numbers[start], numbers[start + last]), start)
            if start - before >= length and apart(before, start, length):
                return before, start
        return None

    def _level(self, level: int) -> list[int]:
        """Return the numbers of the runs of 2^level rows, by where they start."""
        while len(self._doubled) <= level:
            half = self._doubled[-1]
            self._doubled.append(_numbered(list(zip(half, half[1 << len(self._doubled) - 1 :], strict=False))))
        return self._doubled[level]


def _numbered(things: Sequence[Hashable]) -> list[int]:
    """Return a number for each thing, the same for equal ones."""
    number: dict[Hashable, int] = {}
    return [number.setdefault(thing, len(number)) for thing in things]
