"""An arrangement: which of the tested modules are fitted, which go together, and which goes where."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from packcheck.matching.choices import Choices, choices_of
from packcheck.matching.grouping import Group, group, least_range, spread_bound
from packcheck.matching.placing import is_parallel, place, units_of, warmth_of
from packcheck.matching.pool import LeftOut, Tested, pool_of, sort_out
from packcheck.matching.worth import Duty, Worth, worth_of
from packcheck.model.record.model import Record

HOURS_H = 0.1
"""How long the load lasts that modules in series are matched for, where nobody says [h]."""
ROUNDED = 1e-12
"""Share of a number below which a difference is what the arithmetic rounds off, and no uncertainty."""
_SHUFFLES = 200
"""Random groupings of the chosen modules, whose mean spread is what not arranging them would give."""


@dataclass(frozen=True)
class Together:
    """One block or group as arranged: its positions with their serials, its sum, and how far that may be off."""

    serials: Mapping[str, str]
    total: float
    half: float


@dataclass(frozen=True)
class Match:
    """All units of one module type and size.

    ``spread`` is the largest sum less the smallest, in ``unit``; ``bound`` what none can go below, ``random`` the mean
    of random groupings, ``recorded`` that of the modules as they stand.  ``half`` is how far a spread may be off by
    what was measured, ``hidden`` the largest difference of two members of one unit, which no tap shows.  ``choices``
    are the groupings of ``serials`` that none beats, ``chosen`` the number of the one that was taken.
    """

    kind: str
    size: int
    unit: str
    together: tuple[Together, ...]
    spread: float
    bound: float
    proven: bool
    random: float
    recorded: float | None
    half: float
    hidden: float
    choices: Choices
    chosen: int
    alike_unit: str
    serials: tuple[str, ...]

    @property
    def is_worth_it(self) -> bool:
        """Return whether the spread gets smaller than at random by more than the readings leave open."""
        return self.random - self.spread > self.half


@dataclass(frozen=True)
class Arrangement:
    """The answer: the plan by position, the matches, who is left out, who is spare, and what is lacking, by type."""

    plan: Mapping[str, str]
    matches: tuple[Match, ...]
    left_out: tuple[LeftOut, ...]
    spares: tuple[str, ...]
    lacking: Mapping[str, int]
    unmeasured: tuple[str, ...]
    parallel: bool
    duty: Duty
    moves: int | None = None


def arrange(
    record: Record, load_a: float | None = None, hours_h: float = HOURS_H, choose: int | None = None
) -> Arrangement:
    """Return where the tested modules of a record go.

    Parameters
    ----------
    record : with its shelf, or with what was tested of the modules in their positions.
    load_a : the current [A] that modules in series are matched for; where None the one that empties the smallest
        drawn capacity in an hour.
    hours_h : how long it flows [h].
    choose : the number of a grouping that none beats, from 1; where None the one that costs least.
    """
    pack = record.pack
    kept, out = sort_out(pool_of(record), pack)
    units, parallel = units_of(pack), is_parallel(pack)
    capacities = [kind.capacity_ah for kind in pack.module_types.values() if kind.capacity_ah]
    duty = Duty(load_a if load_a is not None else min(capacities, default=10.0), hours_h)
    by_kind: dict[str, list[tuple[str, ...]]] = defaultdict(list)
    for unit in units:
        by_kind[pack.positions[unit[0]].module_type].append(unit)
    there = {kind: [one for one in kept if one.kind == kind] for kind in by_kind}
    needed = {kind: sum(map(len, several)) for kind, several in by_kind.items()}
    lacking = {kind: needed[kind] - len(there[kind]) for kind in by_kind if needed[kind] > len(there[kind])}
    blind = tuple(kind for kind in by_kind if there[kind] and not _is_measured(there[kind]))
    if lacking or blind:
        return Arrangement({}, (), out, (), lacking, blind, parallel, duty)
    warmth, plan, matches = warmth_of(pack), dict[str, str](), list[Match]()
    for kind, several in by_kind.items():
        for chosen, alike in _dealt(there[kind], several, record, parallel, duty):
            worth = worth_of(chosen, pack.module_types[kind], len(alike[0]), parallel=parallel, duty=duty)
            match, placed = _match(chosen, alike, worth, warmth, choose)
            plan |= placed
            matches.append(match)
    spares = tuple(one.serial for one in kept if one.serial not in plan.values())
    ordered = {name: plan[name] for name in pack.positions}
    at = {one.serial: one.at for one in kept if one.at}
    moves = sum(at.get(serial) != name for name, serial in ordered.items()) if at else None
    return Arrangement(ordered, tuple(matches), out, spares, {}, (), parallel, duty, moves)


def _is_measured(modules: Sequence[Tested]) -> bool:
    """Return whether every module has a capacity, or every one a resistance."""
    return all(one.capacity_ah for one in modules) or all(one.resistance_ohm for one in modules)


def _dealt(
    modules: Sequence[Tested], units: Sequence[tuple[str, ...]], record: Record, parallel: bool, duty: Duty
) -> list[tuple[list[Tested], list[tuple[str, ...]]]]:
    """Return the modules chosen for the units of each size: the most alike of all, and of these the rarest size first.

    Those of the rarer sizes are taken from the middle, so that the others have both ends to pair.
    """
    kind = record.pack.module_types[modules[0].kind]
    values = worth_of(modules, kind, 1, parallel=parallel, duty=duty).values
    chosen = least_range(values, sum(map(len, units)))
    middle = values[chosen[len(chosen) // 2]]
    ordered = sorted(chosen, key=lambda i: (abs(values[i] - middle), i))
    by_size: dict[int, list[tuple[str, ...]]] = defaultdict(list)
    for unit in units:
        by_size[len(unit)].append(unit)
    dealt = []
    for size, alike in sorted(by_size.items(), key=lambda item: item[0] * len(item[1])):
        number = size * len(alike)
        dealt.append(([modules[i] for i in ordered[:number]], alike))
        ordered = ordered[number:]
    return dealt


def _match(
    modules: Sequence[Tested],
    units: Sequence[tuple[str, ...]],
    worth: Worth,
    warmth: Mapping[str, float],
    choose: int | None,
) -> tuple[Match, dict[str, str]]:
    size = len(units[0])
    grouping = group(len(modules), size, worth.cost, worth.values, folds=worth.folds)
    choices = choices_of(size, worth.weighed, grouping)
    least = _least(choices, worth)
    number = least if choose is None else min(max(choose, 1), len(choices.front)) - 1
    groups = choices.front[number].groups
    placed = place(warmth, units, groups, worth.heats)
    together = tuple(_together(modules, worth, {name: placed[name] for name in unit}) for unit in units)
    recorded = _recorded(modules, units, worth.values)
    match = Match(
        kind=modules[0].kind,
        size=size,
        unit=worth.unit,
        together=together,
        spread=_spread(worth.values, groups),
        bound=spread_bound(worth.values, size),
        proven=(grouping.proven or choices.all_seen) and number == least,
        random=_at_random(worth.values, size),
        recorded=recorded,
        half=_half_of_spread(worth, groups),
        hidden=max(max(worth.values[i] for i in g) - min(worth.values[i] for i in g) for g in groups),
        choices=choices,
        chosen=number,
        alike_unit=worth.alike_unit,
        serials=tuple(one.serial for one in modules),
    )
    return match, {name: modules[thing].serial for name, thing in placed.items()}


def _together(modules: Sequence[Tested], worth: Worth, placed: Mapping[str, int]) -> Together:
    things = tuple(placed.values())
    serials = {name: modules[thing].serial for name, thing in placed.items()}
    return Together(serials, sum(worth.values[thing] for thing in things), _half_of(worth, things))


def _half_of(worth: Worth, group: Group) -> float:
    """Return how far the sum of a group may be off."""
    gains = _gains(worth, group)
    return sum(worth.halves[i] for i in group) + sum(abs(gain) for gain in gains.values())


def _half_of_spread(worth: Worth, groups: Sequence[Group]) -> float:
    """Return how far the largest sum less the smallest may be off, whichever two groups those are.

    What an instrument reads too high everywhere it reads too high in both: of that only the difference is left.
    """
    if len(groups) < 2:
        return 0.0
    own = sorted(sum(worth.halves[i] for i in group) for group in groups)
    gains = [_gains(worth, group) for group in groups]
    apart = (
        [gain.get(instrument, 0.0) for gain in gains] for instrument in dict.fromkeys(name for g in gains for name in g)
    )
    half = sum(own[-2:]) + sum(max(of_one) - min(of_one) for of_one in apart)
    return half if half > ROUNDED * max(abs(value) for value in worth.values) else 0.0


def _gains(worth: Worth, group: Group) -> dict[str, float]:
    """Return by instrument what an error in proportion to the reading adds to the sum of a group."""
    found: dict[str, float] = defaultdict(float)
    for i in group:
        for instrument, gain in worth.gains[i].items():
            found[instrument] += gain
    return found


def _least(choices: Choices, worth: Worth) -> int:
    """Return which of the groupings costs least."""
    costs = [sum(map(worth.cost, one.groups)) for one in choices.front]
    return costs.index(min(costs))


def _spread(values: Sequence[float], groups: Sequence[Group]) -> float:
    sums = [sum(values[i] for i in one) for one in groups]
    return max(sums) - min(sums)


def _at_random(values: Sequence[float], size: int) -> float:
    dice, order, total = random.Random(len(values)), list(range(len(values))), 0.0
    for _ in range(_SHUFFLES):
        dice.shuffle(order)
        total += _spread(values, [tuple(order[i : i + size]) for i in range(0, len(order), size)])
    return total / _SHUFFLES


def _recorded(modules: Sequence[Tested], units: Sequence[tuple[str, ...]], values: Sequence[float]) -> float | None:
    """Return the spread of the modules as they stand, if all of the chosen stand in these units."""
    at = {one.at: number for number, one in enumerate(modules)}
    if any(name not in at for unit in units for name in unit):
        return None
    return _spread(values, [tuple(at[name] for name in unit) for unit in units])
