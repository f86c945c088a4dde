"""Which optional readings are worth taking: the cheapest set that finds all that any of them finds, in a good order."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from packcheck.model.pack.model import Pack


class Worth(NamedTuple):
    """An optional reading: the minutes of work that it takes, and how many faults it finds beyond those before it."""

    reading: str
    minutes: int
    finds: int


def minutes_of(pack: Pack) -> Mapping[str, int]:
    """Return what each optional reading takes of a person's time [min], waiting not counted; common practice."""
    modules, bars = len(pack.positions), sum(conductor.kind != "lead" for conductor in pack.conductors.values())
    return {
        "capacity": 10 * modules, "resistance": 2 * modules, "mass": modules, "rest again": modules, "load": 30,
        "isolation": 15, "tap leads": len(pack.taps), "bar resistance": bars, "across open": 5,
    }  # fmt: skip


def cheapest(shown_by: Sequence[Collection[str]], minutes: Mapping[str, int]) -> tuple[Worth, ...]:
    """Return the cheapest set of readings that finds every fault which any reading finds.

    Parameters
    ----------
    shown_by : for each fault the readings each of which alone finds it; none where no reading does.
    minutes : what each reading takes [min].

    Returns
    -------
    The readings, the one first that finds most for its time beyond those before it.  There are few of them, so that
    every set is looked at; of sets that take the same time the one with fewer readings is taken.
    """
    wanted = [frozenset(those) for those in shown_by if those]
    useful = sorted(frozenset().union(*wanted))
    sets = (chosen for size in range(len(useful) + 1) for chosen in combinations(useful, size))
    best = min((chosen for chosen in sets if all(those & set(chosen) for those in wanted)),
               key=lambda chosen: (sum(minutes[one] for one in chosen), len(chosen), chosen))  # fmt: skip
    return tuple(_in_order(list(best), wanted, minutes))


def _in_order(chosen: list[str], wanted: list[frozenset[str]], minutes: Mapping[str, int]) -> list[Worth]:
    found: list[Worth] = []
    while chosen:
        finds = {one: sum(one in those for those in wanted) for one in chosen}
        first = max(chosen, key=lambda one: (finds[one] / max(1, minutes[one]), one))
        found.append(Worth(first, minutes[first], finds[first]))
        wanted = [those for those in wanted if first not in those]
        chosen.remove(first)
    return found
