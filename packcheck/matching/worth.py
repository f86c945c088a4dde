"""What a module is matched by: the voltage it gives way by at a stated duty, or the charge it adds to a group."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import fmean, pstdev

from packcheck.matching.choices import Weighed
from packcheck.matching.grouping import Cost, Group
from packcheck.matching.pool import Tested
from packcheck.model.pack.types import ModuleType
from packcheck.model.record.entry import Entry

LOT_WEIGHT = 1.0
"""What a second lot in a group weighs: as much as a sum one standard deviation off; common practice, no source."""


@dataclass(frozen=True)
class Duty:
    """The load that modules in series are matched for: current [A], for so long [h]."""

    load_a: float
    hours_h: float


@dataclass(frozen=True)
class Worth:
    """One number for each module, how far it may be off by itself, and what it is of.

    ``gains`` says for each module, by instrument, what an error in proportion to the reading adds: an instrument has it
    in common in all that it read, so of a difference only what the two do not share counts.
    ``unit`` is V for what a module in series gives way by, Ah for what a member of a group adds.  ``heats`` is what
    says which of them should stand cool: resistance and loss, each over the mean of all.  ``weighed`` is what groupings
    that none beats are looked for by: these numbers, and what members of a group are to be alike in, in ``alike_unit``.
    """

    values: tuple[float, ...]
    halves: tuple[float, ...]
    gains: tuple[Mapping[str, float], ...]
    unit: str
    heats: tuple[float, ...]
    cost: Cost
    folds: bool
    weighed: Weighed
    alike_unit: str


def worth_of(modules: Sequence[Tested], kind: ModuleType, size: int, *, parallel: bool, duty: Duty) -> Worth:
    """Return what modules of one type are matched by; there is at least one, and each has a number that all have."""
    with_capacity = all(one.capacity_ah for one in modules)
    with_resistance = all(one.resistance_ohm for one in modules)
    if parallel and with_capacity:
        entries = [one.capacity_ah for one in modules if one.capacity_ah]
        values, halves = [e.value for e in entries], [e.own_half for e in entries]
        gains = [{e.instrument: e.share * e.value} for e in entries]
    elif parallel:
        resistances = [one.resistance_ohm for one in modules if one.resistance_ohm]
        values = [1 / e.value for e in resistances]
        halves = [e.own_half / e.value**2 for e in resistances]
        gains = [{e.instrument: -e.share / e.value} for e in resistances]
    else:
        values, halves, gains = _sags(modules, kind, duty, with_capacity, with_resistance)
    unit = "V" if not parallel else "Ah" if with_capacity else "1/Ω"
    alike = [one.resistance_ohm.value if one.resistance_ohm else 0.0 for one in modules]
    within = alike if parallel and with_resistance and with_capacity else None
    lots = [one.lot for one in modules]
    cost = partial(_cost, values, _scaled(values), fmean(values) * size, lots, within and _standard(within))
    folds = within is None and len(set(lots)) == 1
    weighed = Weighed(values, values if within is None else within, lots)
    like_unit = unit if within is None else "Ω"
    return Worth(tuple(values), tuple(halves), tuple(gains), unit, _heats(modules), cost, folds, weighed, like_unit)


def _sags(
    modules: Sequence[Tested], kind: ModuleType, duty: Duty, with_capacity: bool, with_resistance: bool
) -> tuple[list[float], list[float], list[dict[str, float]]]:
    """Return by how much each gives way at the duty [V], how far that may be off, and gains: I R + swing I t / C."""
    swing = (kind.rest_v.high or 0.0) - (kind.rest_v.low or 0.0)
    if swing <= 0:
        swing = 0.1 * kind.nominal_v
    values, halves, gains = [], [], []
    for one in modules:
        value = half = 0.0
        gain: dict[str, float] = defaultdict(float)
        if with_resistance and one.resistance_ohm:
            value += duty.load_a * one.resistance_ohm.value
            half += duty.load_a * one.resistance_ohm.own_half
            gain[one.resistance_ohm.instrument] += duty.load_a * one.resistance_ohm.share * one.resistance_ohm.value
        if with_capacity and one.capacity_ah:
            drawn = swing * duty.load_a * duty.hours_h
            value += drawn / one.capacity_ah.value
            half += drawn * one.capacity_ah.own_half / one.capacity_ah.value**2
            gain[one.capacity_ah.instrument] -= drawn * one.capacity_ah.share / one.capacity_ah.value
        values.append(value)
        halves.append(half)
        gains.append(dict(gain))
    return values, halves, gains


def _cost(
    values: Sequence[float], scale: float, target: float, lots: Sequence[str], within: Sequence[float] | None,
    group: Group,
) -> float:  # fmt: skip
    """Return what a group costs: how far its sum is off, how unlike its members share a current, how many lots."""
    off = (sum(values[i] for i in group) - target) / scale
    cost = off * off + LOT_WEIGHT * (len({lots[i] for i in group}) - 1)
    if within is not None:
        middle = sum(within[i] for i in group) / len(group)
        cost += sum((within[i] - middle) ** 2 for i in group)
    return cost


def _scaled(values: Sequence[float]) -> float:
    """Return the standard deviation, or 1 where all are equal."""
    return pstdev(values) or 1.0


def _standard(values: Sequence[float]) -> list[float]:
    scale = _scaled(values)
    return [value / scale for value in values]


def _heats(modules: Sequence[Tested]) -> tuple[float, ...]:
    """Return resistance and loss of each over their means, added; one that lacks a number counts as the mean."""
    resistance, lost = _shares([one.resistance_ohm for one in modules]), _shares([one.lost_v for one in modules])
    return tuple(a + b for a, b in zip(resistance, lost, strict=True))


def _shares(entries: Sequence[Entry | None]) -> list[float]:
    known = [entry.value for entry in entries if entry]
    mean = fmean(known) if known else 0.0
    return [entry.value / mean if entry and mean else 1.0 for entry in entries]
