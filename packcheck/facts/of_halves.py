"""Facts about the reading of the whole string, disconnect in, against what was read along it, disconnect out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from packcheck.facts.common import measured, source_of, worked_out
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_open_switches import DISCONNECTS, inner_end, is_one_place, mains_past_disconnects
from packcheck.facts.of_readings import Checked
from packcheck.facts.peers import half_of_difference
from packcheck.files.name_lists import list_places
from packcheck.model.record.taken import LOOSE
from packcheck.rules.catalogue import Datum, Measured, Row, Value, Without


class Part(NamedTuple):
    """A reading over a run of groups of the string: from which to which, and 1.0 if read the way of the total."""

    first: int
    end: int
    sign: float
    checked: Checked


class _Chain(NamedTuple):
    """Readings end to end: how many, what they add up to [V], the last one, and those before it."""

    length: int = 0
    sum_v: float = 0.0
    last: Part | None = None
    before: _Chain | None = None

    def with_part(self, part: Part) -> _Chain:
        return _Chain(self.length + 1, self.sum_v + part.sign * part.checked.reading.value_v.value, part, self)

    def parts(self) -> list[Part]:
        found, chain = [], self
        while chain.last is not None and chain.before is not None:
            found.append(chain.last)
            chain = chain.before
        return found[::-1]


def total_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row per reading between the mains with the disconnect in; one without values where there is none.

    Only of a pack whose disconnects part one string: strings in parallel share their total.
    """
    record, pack = evidence.record, evidence.pack
    if record is None or pack.parallel_strings or not mains_past_disconnects(evidence, ())["disconnects_part_mains"]:
        return
    totals = [one for one in checked if one.walk and _is_total(evidence, one)]
    if not totals:
        mains = " to ".join(inner_end(evidence, main) for main in (evidence.drawn.plus, evidence.drawn.minus))
        datum = Datum(f"voltage from {mains} with the plug in", pack.name, "multimeter")
        place = "the total, read with the plug in"
        yield Row(pack.name, {"total": pack.name}, dict.fromkeys(("total_v", "difference_v"), datum), place=place)
    for total in totals:
        yield _row(evidence, total, _chain(evidence, total, checked) if not record.unread else [])


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
    return spans and drawn.joined_with(frozenset(state.closed)).joined(*ends)


def _groups(evidence: Evidence, one: Checked) -> list[tuple[str, bool]]:
    """Return the groups between a reading's leads in order, each with whether it is walked along its module."""
    positions = evidence.pack.positions
    return [(positions[s.edge.part].group, s.forward) for s in one.walk or () if s.edge.kind == "module"]


def _chain(evidence: Evidence, total: Checked, checked: Iterable[Checked]) -> list[Part]:
    """Return the fewest readings that lie end to end along the total; [] if none do.

    Of several as short, the one whose sum is furthest from the total.
    """
    along = [group for group, _ in _groups(evidence, total)]
    index = {group: number for number, group in enumerate(along)}
    if len(index) < len(along):
        return []
    starting: dict[int, list[Part]] = {}
    for one in checked:
        part = _part(evidence, one, index)
        if part is not None and not _is_total(evidence, one):
            starting.setdefault(part.first, []).append(part)
    best: dict[int, list[_Chain]] = {0: [_Chain()]}
    for here in range(len(along)):
        for chain in best.pop(here, ()):
            for part in starting.get(here, ()):
                best[part.end] = _fewest_furthest([*best.get(part.end, ()), chain.with_part(part)])
    value = total.reading.value_v.value
    return max(best.get(len(along), [_Chain()]), key=lambda chain: abs(value - chain.sum_v)).parts()


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


def _sum(chain: Sequence[Part]) -> float:
    return sum(part.sign * part.checked.reading.value_v.value for part in chain)


def _fewest_furthest(chains: Sequence[_Chain]) -> list[_Chain]:
    """Return of the shortest chains to one place the lowest and the highest in sum."""
    least = min(chain.length for chain in chains)
    short = [chain for chain in chains if chain.length == least]
    low, high = min(short, key=lambda chain: chain.sum_v), max(short, key=lambda chain: chain.sum_v)
    return [low] if low is high else [low, high]


def _row(evidence: Evidence, total: Checked, chain: Sequence[Part]) -> Row:
    whole = total.reading
    values: dict[str, Value] = {
        "total": whole.name,
        "total_v": measured(whole.value_v),
        "cells": total.cells(evidence),
        **_against(total, chain),
    }
    unread = [reading.name for reading in evidence.record.unread] if evidence.record else []
    what = "the value of the reading" if unread else "voltages along the string with the plug out, end to end"
    datum = Datum(what, list_places(unread) if unread else evidence.pack.name, "multimeter")
    touches = frozenset((whole.name, *(part.checked.reading.name for part in chain)))
    place = f"reading {whole.name} against {values['parts'] or 'the readings along it'}"
    missing = dict.fromkeys(("parts_v", "difference_v"), datum)
    reckoned = frozenset({"difference_v"})
    without = _without(total, chain)
    return Row(
        whole.name, values, missing, touches, place, "", source_of(evidence, whole.value_v.line), reckoned, without
    )


def _against(total: Checked, chain: Sequence[Part]) -> dict[str, Value]:
    """Return what the readings along a total add up to, and how far the total is from it."""
    if not chain:
        return {"parts": None, "parts_v": None, "difference_v": None}
    whole = total.reading.value_v
    entries = [part.checked.reading.value_v for part in chain]
    half = half_of_difference([(1.0, whole), *((-part.sign, e) for part, e in zip(chain, entries, strict=True))])
    half += sum(one.drop_v for one in (total, *(part.checked for part in chain)))
    middle, spread = whole.value - _sum(chain), half_of_difference((1.0, entry) for entry in entries)
    return {
        "parts": list_places(part.checked.reading.name for part in chain),
        "parts_v": worked_out(_sum(chain) - spread, _sum(chain) + spread, entries),
        "difference_v": worked_out(middle - half, middle + half, (*entries, whole)),
    }


def _without(total: Checked, chain: Sequence[Part]) -> tuple[Without, ...]:
    """Return the difference that would be left if the readings surely off what is expected of them showed it."""
    signed = [(1.0, total), *((-part.sign, part.checked) for part in chain)]
    off = [(sign, one) for sign, one in signed if (d := one.difference) is not None and not d.low <= 0 <= d.high]
    if not chain or not off:
        return ()
    difference = _against(total, chain)["difference_v"]
    assert isinstance(difference, Measured)
    by = sum(sign * (d.low + d.high) / 2 for sign, one in off if (d := one.difference) is not None)
    left = difference._replace(low=difference.low - by, high=difference.high - by)
    return (Without(frozenset(one.reading.name for _, one in off), {"difference_v": left}),)
