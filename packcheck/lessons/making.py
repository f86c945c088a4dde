"""Cases of a lesson: which faults, where, and the records of the builds that have them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from packcheck.files.names import names_within
from packcheck.files.problems import WrongUsage, nearest_name
from packcheck.lessons.measurements import settling
from packcheck.lessons.sealing import mark_of, seal, seed_of
from packcheck.lessons.trial import Trial, heard, near_names, spoken
from packcheck.rules.findings import Verdict
from packcheck.simulate.build import Build
from packcheck.simulate.faults.fault import Fault, parts_of
from packcheck.simulate.faults.library import BY_NAME, FAULTS, Placed, faulty_record
from packcheck.simulate.record_text import record_text

ALWAYS = ("capacity", "resistance")
"""Optional readings that the records of every lesson have."""
ROOM_FOR_MARK = "Sealed key of this record: {mark}"


@dataclass(frozen=True)
class Wishes:
    """What a trainer asks of a lesson: how many cases, of what, how hard.

    ``healthy`` is the share of cases with nothing wrong; ``pairs`` how many pairs have one first symptom and two
    causes; ``compound`` how many cases have two faults.
    """

    cases: int = 8
    faults: tuple[str, ...] = ()
    levels: tuple[int, int] = (1, 6)
    healthy: float = 0.2
    pairs: int = 1
    compound: int = 0


@dataclass(frozen=True)
class Case:
    """One case: its record as text, its key, and its key sealed."""

    name: str
    text: str
    key: dict[str, Any]
    sealed: str


def make_cases(trial: Trial, secret: bytes, salt: bytes, wishes: Wishes) -> list[Case]:
    """Return the cases of a lesson; the same secret and wishes give the same bytes.

    Raises
    ------
    WrongUsage : no fault of the library fits the wishes on this layout, or a fault named is none of the library.
    """
    random = Random(seed_of(secret, "choice"))
    plans = _plans(trial, wishes, random)
    takes = {one.fault.takes for plan in plans for one in plan} - {""}
    wanted = tuple(dict.fromkeys([*ALWAYS, *sorted(takes)]))
    return [case_of(trial, f"case-{i:02d}", plan, wanted, secret, salt) for i, plan in enumerate(plans, 1)]


def case_of(
    trial: Trial, name: str, plan: Sequence[Placed], wanted: tuple[str, ...], secret: bytes, salt: bytes
) -> Case:
    """Return one case: its record carries the hash of its sealed key, and its key that of its record."""
    seed = seed_of(secret, name)
    data = faulty_record(trial.bench, seed, plan, wanted)
    text = record_text(data)
    key = _key(trial, name, seed, plan, wanted, text)
    sealed = seal(key, secret, salt)
    notes = [*data["notes"], ROOM_FOR_MARK.format(mark=mark_of(sealed))]
    return Case(name, record_text({**data, "notes": notes}), key, sealed)


def _key(
    trial: Trial, name: str, seed: str, plan: Sequence[Placed], wanted: tuple[str, ...], text: str
) -> dict[str, Any]:
    judgement = trial.judged(text)
    answers = [heard(trial.bench, one, judgement, frozenset()) for one in plan]
    sound = spoken(trial.of_sound(seed, wanted))
    return {
        "case": name,
        "layout": hashlib.sha256(trial.layout.content).hexdigest(),
        "record": hashlib.sha256(text.encode()).hexdigest(),
        "seed": seed,
        "wanted": list(wanted),
        "faults": [_fault(trial, one, bool(answer.right)) for one, answer in zip(plan, answers, strict=True)],
        "energize": not plan,
        "verdict": judgement.verdict.value,
        "rules": sorted({rule for rule, subject, outcome in spoken(judgement) - sound}),
        "quiet": judgement.verdict is Verdict.NO_RULE_BROKEN,
    }


def _fault(trial: Trial, placed: Placed, is_found: bool) -> dict[str, Any]:
    fault = placed.fault
    return {
        "name": fault.name, "title": fault.title, "family": fault.family, "place": placed.place,
        "variant": placed.variant, "weight": fault.weight, "looks": fault.looks, "settles": fault.settles,
        "next": sorted(settling(fault)), "near": list(fault.near), "beside": sorted(beside(trial, placed.place)),
        "found": is_found,
    }  # fmt: skip


def beside(trial: Trial, place: str) -> frozenset[str]:
    """Return the names that are nearly right for a place: what it is made of, and what stands next to it."""
    pack = trial.bench.pack
    found = set(near_names(trial.bench, place)) - {pack.name, "whole"}
    for part in parts_of(place):
        position = pack.part_at(names_within(part)[-1])
        for string in pack.strings.values():
            members = [name for group in string.groups for name in pack.groups[group]]
            if position in members:
                at = members.index(position)
                found.update(members[max(0, at - 1) : at + 2])
        taps = list(pack.taps)
        if part in taps:
            found.update(taps[max(0, taps.index(part) - 1) : taps.index(part) + 2])
    return frozenset(found) - {"", *parts_of(place)}


# -- which faults, and where -----------------------------------------------------------------------------------------


def _plans(trial: Trial, wishes: Wishes, random: Random) -> list[tuple[Placed, ...]]:
    _refuse(wishes)
    build = trial.bench.build("places")
    pool = _pool(build, wishes)
    healthy = round(wishes.cases * wishes.healthy)
    pairs = [pair for _ in range(wishes.pairs) if (pair := _pair(pool, random))]
    singles = wishes.cases - healthy - 2 * len(pairs) - wishes.compound
    if singles < 0:
        raise WrongUsage(f"{wishes.cases} cases are too few for the pairs, compound and sound ones that are asked for")
    chosen = _spread_out(pool, singles + 2 * wishes.compound, random)
    plans: list[tuple[Placed, ...]] = [(place_of(build, fault, random),) for fault in chosen[:singles]]
    plans += [(place_of(build, one, random),) for pair in pairs for one in pair]
    rest = chosen[singles:]
    plans += [
        (place_of(build, a, random), place_of(build, b, random)) for a, b in zip(rest[::2], rest[1::2], strict=True)
    ]
    plans += [()] * healthy
    random.shuffle(plans)
    return plans


def _refuse(wishes: Wishes) -> None:
    """Refuse numbers that no lesson can have.

    Raises
    ------
    WrongUsage : the first of them.
    """
    for option, number, least in (("cases", wishes.cases, 1), ("pairs", wishes.pairs, 0),
                                  ("compound", wishes.compound, 0)):  # fmt: skip
        if number < least:
            raise WrongUsage(f"--{option}: found {number}, needed {least} or more")
    if not 0 <= wishes.healthy <= 1:
        raise WrongUsage(f"--healthy: found {wishes.healthy:g}, needed a share from 0 to 1, such as 0.2")


def _pool(build: Build, wishes: Wishes) -> list[Fault]:
    for name in wishes.faults:
        if name not in BY_NAME:
            near = nearest_name(name, BY_NAME)
            raise WrongUsage(f"no fault '{name}'" + (f"; did you mean '{near}'?" if near else ""))
    low, high = wishes.levels
    pool = [f for f in FAULTS if f.is_expressible and _shows(f) and f.places(build)
            and (f.name in wishes.faults if wishes.faults else low <= f.difficulty <= high)]  # fmt: skip
    if not pool:
        raise WrongUsage("no fault of the library fits these wishes on this layout")
    return pool


def _shows(fault: Fault) -> bool:
    """Return whether some record of a build with it differs from that of a sound one where people can see it."""
    return any(fault.expected(variant) for variant in fault.variants)


def _pair(pool: Iterable[Fault], random: Random) -> tuple[Fault, Fault] | None:
    by_name = {fault.name: fault for fault in pool}
    found = [(fault, by_name[near]) for fault in by_name.values() for near in fault.near if near in by_name]
    return random.choice(found) if found else None


def _spread_out(pool: Sequence[Fault], count: int, random: Random) -> list[Fault]:
    """Return so many faults, family after family, none twice before all were taken."""
    families: dict[str, list[Fault]] = {}
    for fault in random.sample(list(pool), len(pool)):
        families.setdefault(fault.family, []).append(fault)
    order = random.sample(list(families), len(families))
    found: list[Fault] = []
    turn = 0
    while len(found) < count:
        round_ = [families[name][turn] for name in order if turn < len(families[name])]
        if not round_:
            turn, round_ = 0, [families[name][0] for name in order]
        found += round_
        turn += 1
    return found[:count]


def place_of(build: Build, fault: Fault, random: Random, but: str = "") -> Placed:
    """Return a fault at one of its places, in one of the ways in which it shows; not at ``but`` where it has others."""
    places = [place for place in fault.places(build) if place != but] or list(fault.places(build))
    ways = [variant for variant in fault.variants if fault.expected(variant)]
    return Placed(fault, random.choice(places), random.choice(ways))


def again(trial: Trial, key: dict[str, Any], name: str, secret: bytes, salt: bytes) -> Case:
    """Return the mastery test of a case: the same faults at other places of another build."""
    random, build = Random(seed_of(secret, f"{name} again")), trial.bench.build("places")
    plan = []
    for told in key["faults"]:
        moved = place_of(build, BY_NAME[told["name"]], random, but=told["place"])
        plan.append(moved._replace(variant=told["variant"]))
    return case_of(trial, name, plan, tuple(key["wanted"]), secret, salt)
