"""Which faults of the library the rules of a layout find: every fault at every place, in every way it is written.

First with the readings that every record has; what is not found then is tried once more with each optional reading
by itself.  Of them the cheapest set is told that finds all that any of them finds.
"""

from __future__ import annotations

import signal
from collections import Counter, deque
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from pathlib import Path
from typing import NamedTuple

from packcheck.facts.tables import table_by_name
from packcheck.files.problems import InputProblems
from packcheck.lessons.beside_sound import BesideSound
from packcheck.lessons.trial import Heard, Trial, near_names
from packcheck.model.opening import Text, open_bytes
from packcheck.model.pack.model import Pack
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule
from packcheck.simulate.faults.library import BY_NAME, FAULTS, Placed, faulty_record
from packcheck.simulate.scribe import OPTIONAL, Bench

RIGHT, ONE, READING, ELSEWHERE, NOT = "found", "by one rule only", "with a reading", "found elsewhere", "not found"
"""By a rule that ought to, at its place; by that one rule alone; only with an optional reading; by another rule or at
another place; not at all."""
RESULTS = (RIGHT, ONE, READING, ELSEWHERE, NOT)
REFUSED = "refused as it is read"
"""What stands for a rule where the record contradicts itself so that it is not judged at all."""
SEED = "coverage"
CHUNK = 24
"""How many trials go to a process at a time."""
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Tried:
    """One fault at one place in one way: what came of it, the rules that spoke.

    ``takes`` are the optional readings each of which alone shows it, where it takes one.
    """

    fault: str
    place: str
    variant: str
    result: str
    rules: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Coverage:
    """What the rules find on one layout, fault by fault and place by place."""

    pack: str
    tried: tuple[Tried, ...]
    places: int
    silent: tuple[str, ...]
    readings: tuple[Worth, ...]

    def of(self, fault: str, variant: str) -> Counter[str]:
        """Return how often each result came of one fault in one way."""
        return Counter(one.result for one in self.tried if (one.fault, one.variant) == (fault, variant))

    @property
    def counted(self) -> Counter[str]:
        """Return how often each result came."""
        return Counter(one.result for one in self.tried)


def cover(
    layout: Text,
    folders: tuple[Path, ...],
    *,
    most: int | None = None,
    jobs: int = 2,
    progress: Progress | None = None,
    known: Sequence[Tried] = (),
    keep: Callable[[Sequence[Tried]], None] | None = None,
) -> Coverage:
    """Return which faults the rules find on a layout.

    Parameters
    ----------
    layout : its bytes.
    folders : those of the rules that its records are held to.
    most : places of each fault that are tried, spread evenly; all of them where left out.
    jobs : processes that share the work.
    progress : told at first and after each chunk how many trials of how many are done.
    known : trials that were done before and are not done again.
    keep : given what came of each chunk as soon as it is there.
    """
    trial = _trial(layout, folders)
    build = trial.bench.build(SEED)
    places = [(fault, place) for fault in FAULTS for place in _spread(fault.places(build), most)]
    wanted = [(fault.name, place, variant) for fault, place in places for variant in fault.variants]
    done = {(one.fault, one.place, one.variant): one for one in known}
    left = [one for one in wanted if one not in done]
    chunks = [left[i : i + CHUNK] for i in range(0, len(left), CHUNK)]
    if progress:
        progress(len(wanted) - len(left), len(wanted))
    for part in _shared(layout, folders, chunks, jobs):
        done |= {(one.fault, one.place, one.variant): one for one in part}
        if keep:
            keep(part)
        if progress:
            progress(sum(one in done for one in wanted), len(wanted))
    tried = tuple(done[one] for one in wanted)
    worth = cheapest([one.takes for one in tried], minutes_of(trial.bench.pack))
    return Coverage(trial.bench.pack.name, tried, len(places), _silent(trial.rules, tried), worth)


def _spread(places: Sequence[str], most: int | None) -> Sequence[str]:
    if most is None or len(places) <= most:
        return places
    return [places[index * len(places) // most] for index in range(most)]


def _shared(
    layout: Text, folders: tuple[Path, ...], chunks: Sequence[list[tuple[str, str, str]]], jobs: int
) -> Iterator[list[Tried]]:
    if jobs < 2 or len(chunks) < 2:
        yield from (_try_all(layout, folders, chunk) for chunk in chunks)
        return
    with ProcessPoolExecutor(jobs, initializer=_stop_at_once) as pool:  # few wait in it: what is stopped ends soon
        begun: deque[Future[list[Tried]]] = deque()
        for chunk in chunks:
            begun.append(pool.submit(_try_all, layout, folders, chunk))
            if len(begun) > jobs:
                yield begun.popleft().result()
        while begun:
            yield begun.popleft().result()


def _stop_at_once() -> None:
    """Let a key press that stops the program stop this process in the middle of a fault."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _try_all(layout: Text, folders: tuple[Path, ...], wanted: Iterable[tuple[str, str, str]]) -> list[Tried]:
    trial = _trial(layout, folders)
    return [_try(trial, Placed(BY_NAME[name], place, variant)) for name, place, variant in wanted]


@lru_cache(maxsize=2)
def _trial(layout: Text, folders: tuple[Path, ...]) -> Trial:
    return Trial(layout, Bench(open_bytes(*layout).pack), tuple(load_rules(list(folders), table_by_name())))


@lru_cache(maxsize=16)
def _beside_sound(trial: Trial, wanted: tuple[str, ...]) -> BesideSound:
    return BesideSound(trial, SEED, wanted)


def _try(trial: Trial, placed: Placed) -> Tried:
    """Return what comes of one fault: read as every record is, then with the readings that may show it."""
    name = (placed.fault.name, placed.place, placed.variant)
    try:
        first = _hear(trial, placed, ())
    except InputProblems:
        return Tried(*name, ELSEWHERE, (REFUSED,))
    if first.right:
        return Tried(*name, ONE if len(first.rules) == 1 else RIGHT, first.rules)
    shown = {reading: more for reading in _may_show(placed) if (more := _hear(trial, placed, (reading,))).right}
    if shown:
        return Tried(*name, READING, next(iter(shown.values())).rules, tuple(shown))
    return Tried(*name, ELSEWHERE if first.rules else NOT, first.rules)


def _hear(trial: Trial, placed: Placed, wanted: tuple[str, ...]) -> Heard:
    findings = _beside_sound(trial, wanted).beyond(faulty_record(trial.bench, SEED, [placed], wanted))
    return Heard(placed, findings, near_names(trial.bench, placed.place))


def _may_show(placed: Placed) -> tuple[str, ...]:
    """Return the optional readings to try, the one first that the fault is said to take."""
    if not placed.fault.expected(placed.variant):
        return ()
    return tuple(sorted(OPTIONAL, key=lambda reading: reading != placed.fault.takes))


def _silent(rules: Sequence[Rule], tried: Iterable[Tried]) -> tuple[str, ...]:
    """Return the rules about records that spoke of no fault."""
    spoke = {rule for one in tried for rule in one.rules}
    return tuple(sorted(rule.name for rule in rules if not rule.judges_layout and rule.name not in spoke))


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
