"""Facts about readings that other readings lie along, end to end: Kirchhoff's voltage law on what was written down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

from packcheck.facts.checked_readings import CIRCULATING_V, Checked
from packcheck.facts.evidence import SHORT, Evidence
from packcheck.facts.measured_values import half_of_difference, measured, worked_out
from packcheck.files.name_lists import list_places
from packcheck.model.record.circumstances import LOOSE
from packcheck.rules.catalogue import Measured, Row, Value, Without

_FromNode: TypeAlias = Mapping[str, dict[str, Checked]]
"""The first reading from each place (the meter's − lead) to each other one (its + lead)."""


def sum_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row for each reading that other readings of its state lie along, end to end."""
    by_state: dict[str, dict[str, dict[str, Checked]]] = {}
    for one in checked:
        if one.reading.value_v.state != LOOSE and one.walk is not None and one.reading.plus != one.reading.minus:
            from_node = by_state.setdefault(one.reading.value_v.state, {})
            from_node.setdefault(one.reading.minus, {}).setdefault(one.reading.plus, one)
    chains: dict[tuple[str, str, str], list[Checked]] = {}
    for one in checked:
        reading = one.reading
        ends = (reading.value_v.state, reading.minus, reading.plus)
        if ends not in chains:
            chains[ends] = _chain(reading.minus, reading.plus, by_state.get(reading.value_v.state, {}))
        chain = chains[ends]
        if len(chain) > 1:
            yield _sum_row(evidence, one, chain, without_misfits(one, chain))


def _chain(minus: str, plus: str, from_node: _FromNode) -> list[Checked]:
    """Return the fewest readings that lead end to end from one place to another, none of them from end to end.

    Places are reached layer by layer, each by the first reading that does; [] where no readings lead there.
    """
    reached: dict[str, Checked | None] = {minus: None}
    layer = [node for node in from_node.get(minus, {}) if node != plus]
    reached.update((node, from_node[minus][node]) for node in layer)
    while layer and plus not in reached:
        last = next((node for node in layer if plus in from_node.get(node, {})), None)
        if last is not None:
            reached[plus] = from_node[last][plus]
            break
        found: dict[str, Checked] = {}
        for node in layer:
            for end, one in from_node.get(node, {}).items():
                if end not in reached and end not in found:
                    found[end] = one
        reached.update(found)
        layer = list(found)
    chain: list[Checked] = []
    step = reached.get(plus)
    while step is not None:
        chain.append(step)
        step = reached[step.reading.minus]
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
    return (Without(frozenset(one.reading.name for one in off), {"difference_v": difference}),)


def _is_off(one: Checked, difference: Measured) -> bool:
    return max(abs(difference.low), abs(difference.high)) > OFF * max(1.0, one.smallest_module_v)


def _sum_row(evidence: Evidence, total: Checked, chain: Sequence[Checked], without: tuple[Without, ...]) -> Row:
    whole, parts = total.reading.value_v, [one.reading.value_v for one in chain]
    middle = whole.value - sum(part.value for part in parts)
    half = half_of_difference([(1.0, whole), *((-1.0, part) for part in parts)])
    drop = sum(one.drop_v for one in (total, *chain))  # what lies beside a circulating current is no one place
    difference = worked_out(middle - half - drop, middle + half + drop, (*parts, whole))
    about = {total.reading.name, *(one.reading.name for one in chain)}
    if drop > CIRCULATING_V:
        about.add(SHORT)
        still = worked_out(middle - half, middle + half, (*parts, whole))
        without = (*without, Without(frozenset((SHORT,)), {"difference_v": still}))
    values: dict[str, Value] = {
        "sum": total.reading.name,
        "parts": list_places(one.reading.name for one in chain),
        "total_v": measured(whole),
        "parts_v": worked_out(sum(p.low for p in parts), sum(p.high for p in parts), parts),
        "difference_v": difference,
        "cells": total.cells(evidence),
    }
    return Row(
        total.reading.name,
        values,
        {},
        frozenset(about),
        f"reading {total.reading.name} against {values['parts']}",
        "",
        whole.origin,
        frozenset({"difference_v"}),
        without,
    )
