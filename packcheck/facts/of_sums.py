"""Facts about readings that other readings lie along, end to end: Kirchhoff's voltage law on what was written down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from packcheck.facts.catalogue import Measured, Row, Value, Without
from packcheck.facts.common import measured, source_of, worked_out
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_readings import Checked
from packcheck.facts.peers import half_of_difference, least_of
from packcheck.places import list_places
from packcheck.record.taken import LOOSE
from packcheck.topology import conductors_alone


def sum_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row for each reading that other readings lie along, end to end, in its state or in others.

    What the closed devices of its state join is one place: halves read with the plug out add up to the total with it
    in.
    """
    joined = [one for one in checked if one.reading.value_v.state != LOOSE and one.walk is not None]
    views: dict[str, _Places] = {}
    for one in joined:
        state = one.reading.value_v.state
        if state not in views:
            views[state] = _Places.of(evidence, state, joined)
        chain = views[state].chain(one)
        if len(chain) > 1:
            yield _sum_row(evidence, one, chain, without_misfits(one, chain))


class _Places(NamedTuple):
    """Which nodes are one place in a switching state, and the readings that begin at each."""

    root: Mapping[str, str]
    from_place: Mapping[str, list[Checked]]

    @classmethod
    def of(cls, evidence: Evidence, state: str, joined: Sequence[Checked]) -> _Places:
        known = evidence.pack.states.get(state)
        root = conductors_alone(evidence.built.closed(known.closed if known else ())).root
        from_place: dict[str, list[Checked]] = {}
        for one in joined:
            from_place.setdefault(root.get(one.reading.minus, one.reading.minus), []).append(one)
        return cls(root, from_place)

    def ends(self, one: Checked) -> tuple[str, str]:
        """Return the places of a reading's minus and plus lead."""
        return self.root.get(one.reading.minus, one.reading.minus), self.root.get(one.reading.plus, one.reading.plus)

    def chain(self, total: Checked) -> list[Checked]:
        """Return the fewest other readings that lead end to end from a reading's minus to its plus; [] if none do."""
        start, goal = self.ends(total)
        reached: dict[str, Checked | None] = {start: None}
        layer = [start]
        while layer and goal not in reached:
            found = []
            for one in (r for place in layer for r in self.from_place.get(place, ())):
                ends = self.ends(one)
                if set(ends) != {start, goal} and ends[1] not in reached:
                    reached[ends[1]] = one
                    found.append(ends[1])
            layer = found
        chain: list[Checked] = []
        step = reached.get(goal) if start != goal else None
        while step is not None:
            chain.append(step)
            step = reached[self.ends(step)[0]]
        return chain[::-1]


OFF = 0.5
"""Share of its smallest module, and at least as many volts, that a reading may be off and still count in a sum."""


def without_misfits(total: Checked, chain: Sequence[Checked]) -> tuple[Without, ...]:
    """Return the difference that would be left if those readings that disagree showed what is expected of them."""
    off = [one for one in (total, *chain) if one.difference is not None and _is_off(one, one.difference)]
    if not off:
        return ()
    shown = {one.reading.name: one.expected if one in off else measured(one.reading.value_v) for one in (total, *chain)}
    values = [value for value in shown.values() if value is not None]
    whole, parts = values[0], values[1:]
    difference = worked_out(whole.low - sum(p.high for p in parts), whole.high - sum(p.low for p in parts), values)
    left: dict[str, Value] = {"difference_v": difference, "apart_v": least_of(difference)}
    return (Without(frozenset(one.reading.name for one in off), left),)


def _is_off(one: Checked, difference: Measured) -> bool:
    return max(abs(difference.low), abs(difference.high)) > OFF * max(1.0, one.smallest_module_v)


def _sum_row(evidence: Evidence, total: Checked, chain: Sequence[Checked], without: tuple[Without, ...]) -> Row:
    whole, parts = total.reading.value_v, [one.reading.value_v for one in chain]
    middle = whole.value - sum(part.value for part in parts)
    half = half_of_difference([(1.0, whole), *((-1.0, part) for part in parts)])
    half += sum(one.drop_v for one in (total, *chain))  # what lies beside a circulating current is no one place
    difference = worked_out(middle - half, middle + half, (*parts, whole))
    values: dict[str, Value] = {
        "sum": total.reading.name,
        "parts": list_places(one.reading.name for one in chain),
        "total_v": measured(whole),
        "parts_v": worked_out(sum(p.low for p in parts), sum(p.high for p in parts), parts),
        "difference_v": difference,
        "apart_v": least_of(difference),
        "cells": total.cells(evidence),
    }
    return Row(
        total.reading.name,
        values,
        {},
        frozenset((total.reading.name, *(one.reading.name for one in chain))),
        f"reading {total.reading.name} against {values['parts']}",
        "",
        source_of(evidence, whole.line),
        frozenset({"difference_v", "apart_v"}),
        without,
    )
