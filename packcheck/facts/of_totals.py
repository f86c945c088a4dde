"""Facts about the reading of the whole string, disconnect in, against what was read along it, disconnect out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from packcheck.facts.checked_readings import Checked
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import half_of_difference, measured, worked_out
from packcheck.facts.open_switches import DISCONNECTS, disconnects_part_mains, inner_end, is_one_place
from packcheck.files.name_lists import list_places
from packcheck.model.record.circumstances import LOOSE
from packcheck.rules.catalogue import Datum, Measured, Row, Value, Without


class Part(NamedTuple):
    """A reading over a run of groups of the string: from which to which, and 1.0 if read the way of the total."""

    first: int
    end: int
    sign: float
    checked: Checked

    @property
    def volts(self) -> float:
        """Return what it shows the way of the total [V]."""
        return self.sign * self.checked.reading.value_v.value


class _Chain(NamedTuple):
    """Readings end to end: what they add up to [V], the last one, and those before it."""

    sum_v: float = 0.0
    last: Part | None = None
    before: _Chain | None = None

    def with_part(self, part: Part) -> _Chain:
        return _Chain(self.sum_v + part.volts, part, self)

    def parts(self) -> list[Part]:
        found, chain = [], self
        while chain.last is not None and chain.before is not None:
            found.append(chain.last)
            chain = chain.before
        return found[::-1]


class Along(NamedTuple):
    """The readings end to end along a total that add up to the nearest to it, and how far they are from it [V].

    ``squares_v2`` is the least that the squares of own half widths of such readings add up to: no reading less makes
    the difference sharper, and none makes it smaller.
    """

    parts: tuple[Part, ...]
    apart_v: float
    squares_v2: float


def total_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row per reading between the mains with the disconnect in; one without values where there is none.

    Only of a pack whose disconnects part one string: strings in parallel share their total.
    """
    record, pack = evidence.record, evidence.pack
    if record is None or pack.parallel_strings or not disconnects_part_mains(evidence.drawn):
        return
    totals = [one for one in checked if one.walk and _is_total(evidence, one)]
    if not totals:
        mains = " to ".join(inner_end(evidence, main) for main in (evidence.drawn.plus, evidence.drawn.minus))
        taken = (one.waits_for for one in checked if one.across_if_fitted and _is_total(evidence, one))
        datum = next(taken, None) or Datum(f"voltage from {mains} with the plug in", pack.name, "multimeter")
        place = "the total, read with the plug in"
        yield Row(
            pack.name, {"total": pack.name}, dict.fromkeys(("total_v", "difference_v", "cells"), datum), place=place
        )
    for total in totals:
        yield _row(evidence, total, _along(evidence, total, checked) if not record.unread else None)


def _is_total(evidence: Evidence, one: Checked) -> bool:
    """Return whether a reading was taken between the mains in a state that closes a disconnect."""
    drawn, state = evidence.drawn, evidence.pack.states.get(one.reading.value_v.state)
    ends = (one.reading.plus, one.reading.minus)
    spans = any(
        is_one_place(drawn.conductors, a, drawn.plus) and is_one_place(drawn.conductors, b, drawn.minus)
        for a, b in (ends, ends[::-1])
    )
    if state is None or not any(evidence.pack.devices[name].kind in DISCONNECTS for name in state.closed):
        return False
    return spans and drawn.joins(state.closed).joined(*ends)


def _groups(evidence: Evidence, one: Checked) -> list[tuple[str, bool]]:
    """Return the groups between a reading's leads in order, each with whether it is walked along its module."""
    positions = evidence.pack.positions
    return [(positions[s.edge.part].group, s.forward) for s in one.walk or () if s.edge.kind == "module"]


def _along(evidence: Evidence, total: Checked, checked: Iterable[Checked]) -> Along | None:
    """Return what other readings, whatever was switched, lie end to end along the total; None if they leave a gap."""
    groups = [group for group, _ in _groups(evidence, total)]
    index = {group: number for number, group in enumerate(groups)}
    ending: dict[int, list[Part]] = {}
    for one in checked:
        part = _part(evidence, one, index)
        if part is not None and not _is_total(evidence, one):
            ending.setdefault(part.end, []).append(part)
    low, high, squares = {0: _Chain()}, {0: _Chain()}, {0: 0.0}
    for here in range(1, len(groups) + 1) if len(index) == len(groups) else ():
        parts = [part for part in ending.get(here, ()) if part.first in low]
        if parts:
            low[here] = min((low[part.first].with_part(part) for part in parts), key=lambda chain: chain.sum_v)
            high[here] = max((high[part.first].with_part(part) for part in parts), key=lambda chain: chain.sum_v)
            squares[here] = min(squares[p.first] + p.checked.reading.value_v.own_half**2 for p in parts)
    end, value = len(groups), total.reading.value_v.value
    if end == 0 or end not in low:
        return None
    nearest = min(low[end], high[end], key=lambda chain: abs(value - chain.sum_v))
    inside = low[end].sum_v <= value <= high[end].sum_v
    return Along(tuple(nearest.parts()), 0.0 if inside else value - nearest.sum_v, squares[end])


def _part(evidence: Evidence, one: Checked, index: dict[str, int]) -> Part | None:
    """Return which run of the string a reading lies over; None where it is no run of it."""
    if one.reading.value_v.state == LOOSE:
        return None
    places = [index.get(group, -1) for group, _ in _groups(evidence, one)]
    if not places or -1 in places:
        return None
    for sign, run in ((1.0, places), (-1.0, places[::-1])):
        if run == list(range(run[0], run[0] + len(run))):
            return Part(run[0], run[-1] + 1, sign, one)
    return None


def _row(evidence: Evidence, total: Checked, along: Along | None) -> Row:
    whole = total.reading
    values: dict[str, Value] = {
        "total": whole.name,
        "total_v": measured(whole.value_v),
        "cells": total.cells(evidence),
        **(_against(total, along) if along else {}),
    }
    unread = [reading.name for reading in evidence.record.unread] if evidence.record else []
    what = "the value of the reading" if unread else "voltages along the string with the plug out, end to end"
    datum = Datum(what, list_places(unread) if unread else evidence.pack.name, "multimeter")
    names = [part.checked.reading.name for part in along.parts] if along else []
    return Row(
        whole.name,
        values,
        dict.fromkeys(("parts_v", "difference_v"), datum),
        frozenset((whole.name, *names)),
        f"reading {whole.name} against {list_places(names) or 'what was read along it'}",
        "",
        whole.value_v.origin,
        frozenset({"difference_v"}),
        _without(total, along) if along else (),
    )


def _against(total: Checked, along: Along) -> dict[str, Value]:
    """Return what the readings along a total add up to, and how far the total is from it."""
    whole, entries = total.reading.value_v, [part.checked.reading.value_v for part in along.parts]
    scale = half_of_difference(
        (sign, entry._replace(low=entry.value, high=entry.value, share=entry.share))
        for sign, entry in [(1.0, whole), *((-part.sign, e) for part, e in zip(along.parts, entries, strict=True))]
    )
    half = (along.squares_v2 + whole.own_half**2) ** 0.5 + scale
    sum_v, spread = sum(part.volts for part in along.parts), half_of_difference((1.0, entry) for entry in entries)
    return {
        "parts": list_places(part.checked.reading.name for part in along.parts),
        "parts_v": worked_out(sum_v - spread, sum_v + spread, entries),
        "difference_v": worked_out(along.apart_v - half, along.apart_v + half, (*entries, whole)),
    }


def _without(total: Checked, along: Along) -> tuple[Without, ...]:
    """Return the difference that would be left if the readings surely off what is expected of them showed it."""
    signed = [(1.0, total), *((-part.sign, part.checked) for part in along.parts)]
    off = [(sign, one, d) for sign, one in signed if (d := one.difference) is not None and not d.low <= 0 <= d.high]
    difference = _against(total, along)["difference_v"]
    if not off or not isinstance(difference, Measured):
        return ()
    by = sum(sign * (d.low + d.high) / 2 for sign, _, d in off)
    left = difference._replace(low=difference.low - by, high=difference.high - by)
    return (Without(frozenset(one.reading.name for _, one, _ in off), {"difference_v": left}),)
