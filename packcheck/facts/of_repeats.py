"""Facts about rows that stand twice, digit by digit: how rarely chance alone writes them so.

Rows are taken along the pack (modules and joints as the layout has them, readings by what lies between their leads)
and as they were written down, for who copies copies down a sheet.  Two runs of rows alike are as probable as their
rows: the chance that two of the column agree, once for each row of the run and once for each pair of places, in each
order, it could stand at.  That chance is counted in the column itself, so a column in which all rows agree, as coarse
meters write it, is never improbable.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import NamedTuple

from packcheck.facts.checked_readings import Checked
from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.files.origin import Origin
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Row, Value


class Written(NamedTuple):
    """One row: its name, the numbers read in it, of which parts, and which of its kind it is in the record.

    Rows about common parts may well agree.
    """

    name: str
    numbers: tuple[float | None, ...]
    parts: frozenset[str]
    origin: Origin | None
    line: int


def repeat_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield for each kind of row the longest run that stands twice; one of no rows where none does."""
    for what, rows in (
        ("readings of the modules", list(_modules(evidence))),
        ("resistances of the joints", list(_joints(evidence))),
        ("voltages", list(_readings(evidence, checked))),
    ):
        if rows:
            orders = [rows, *([written] if (written := sorted(rows, key=lambda row: row.line)) != rows else ())]
            first, second = max((_longest(order) for order in orders), key=lambda runs: len(runs[0]))
            expected = len(orders) * _pairs(len(rows)) * _chance_of_a_row(rows) ** len(first) if first else 1.0
            yield _row(what, first, second, max(1.0, 1 / expected))


def _row(what: str, first: Sequence[Written], second: Sequence[Written], one_in: float) -> Row:
    names, others = (list_places(row.name for row in rows) for rows in (first, second))
    touches = frozenset(row.name for row in (*first, *second))
    origin = second[0].origin if second else None
    values: dict[str, Value] = {
        "repeat": what,
        "what": what,
        "first": names,
        "second": others,
        "rows": len(first),
        "one_in": float(f"{one_in:.1g}"),
    }
    place = f"{what} {names} and {others}" if first else what
    return Row(what, values, {}, touches, place, "", origin)


def _modules(evidence: Evidence) -> Iterator[Written]:
    known = evidence.record.modules if evidence.record else {}
    line = {name: n for n, name in enumerate(known)}
    for position in evidence.pack.positions.values():
        module = known.get(position.name)
        if module is not None and module.rest_v is not None:
            read = (module.rest_v, module.resistance_ohm, module.capacity_ah, module.mass_g)
            together = position.group if module.rest_v.state != LOOSE else position.name
            yield Written(position.name, _numbers(*read), frozenset((together,)), module.origin, line[position.name])


def _joints(evidence: Evidence) -> Iterator[Written]:
    """Yield the joints at posts by position: what was read of each."""
    number = {name: n for n, name in enumerate(evidence.pack.positions)}
    places, known = evidence.pack.places, evidence.record.joints if evidence.record else {}
    at = {name: (number[place.position], place.post, name) for name, (_, landing) in evidence.pack.joints.items()
          if name in known and (place := places.get(landing.node))}  # fmt: skip
    line = {name: n for n, name in enumerate(known)}
    for name in sorted(at, key=at.__getitem__):
        if known[name].resistance_ohm is not None:
            numbers = _numbers(known[name].resistance_ohm, known[name].torque_n_m)
            yield Written(name, numbers, frozenset((name,)), known[name].origin, line[name])


def _readings(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Written]:
    """Yield the readings over modules, by state and by the first of their groups along the layout."""
    group_of, order = evidence.pack.positions, {group: n for n, group in enumerate(evidence.pack.groups)}
    found: list[tuple[tuple[str, list[int], float], Written]] = []
    for line, one in enumerate(checked):
        groups = [group_of[edge.part].group for edge in one.modules]
        if groups:
            value = one.reading.value_v
            row = Written(one.reading.name, (abs(value.value),), frozenset(groups), value.origin, line)
            found.append(((value.state, sorted(order[g] for g in groups)[:2], value.value), row))
    yield from (row for _, row in sorted(found, key=lambda one: one[0]))


def _numbers(*entries: Entry | None) -> tuple[float | None, ...]:
    return tuple(None if entry is None else entry.value for entry in entries)


def _pairs(number: int) -> float:
    return number * (number - 1) / 2


def _chance_of_a_row(rows: Sequence[Written]) -> float:
    """Return the chance that two rows agree: in each column the share of pairs that do, one pair more than counted."""
    chance, pairs = 1.0, _pairs(len(rows))
    for column in range(len(rows[0].numbers)):
        alike = sum(_pairs(count) for count in Counter(row.numbers[column] for row in rows).values())
        chance *= (alike + 1) / (pairs + 1)
    return chance


def _longest(rows: Sequence[Written]) -> tuple[Sequence[Written], Sequence[Written]]:
    """Return the longest run that stands twice, and the rows it stands in again; none of either where none does.

    A run of rows that are all alike counts for nothing: lists are sorted, and packs charged as one.
    """

    def apart(first: int, second: int, length: int) -> bool:
        pairs = zip(rows[first : first + length], rows[second : second + length], strict=True)
        return all(a.parts.isdisjoint(b.parts) for a, b in pairs)

    first, second, length = Runs([row.numbers for row in rows]).longest_twice(apart) or (0, 0, 0)
    return rows[first : first + length], rows[second : second + length]


Apart = Callable[[int, int, int], bool]
"""Whether runs of so many rows at two places may be held against each other: first place, second place, rows."""


class Runs:
    """The runs of a list of rows, compared by what is equal in them, in about n log n steps.

    A run is known by two numbers: those of the two runs of a power of two of rows that cover it.  Runs of twice as many
    rows are numbered from pairs of runs, so no run is ever written out.
    """

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
