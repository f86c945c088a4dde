"""When everything was done: the steps of the work in the order of the layout, and the times between them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import places_under, read_order
from packcheck.simulate.drawn import joint_kind

FIRST_DAY = datetime(2026, 2, 2)
DAYS = 220
"""Builds begin on one of so many days from the first."""
_NUMBER = re.compile(r"(.*?)(\d+)(\D*)$")


@dataclass(frozen=True)
class Steps:
    """The steps of the work in the words of the layout, and in which of them each conductor goes on."""

    words: tuple[tuple[str, ...], ...]
    step_of: dict[str, int]
    clamp: int
    plug: int | None


@dataclass(frozen=True)
class Calendar:
    """When each step began, each joint was made and tried again, and each state was read."""

    begun: tuple[datetime, ...]
    joints: dict[str, datetime]
    rechecks: dict[str, datetime]
    clamp: datetime
    looked: datetime
    read: dict[str, datetime]

    @property
    def first(self) -> datetime:
        """Return when the modules were read and the work began."""
        return self.begun[0]


def steps_of(pack: Pack) -> Steps:
    """Return the steps of the work on a layout: its own order, else the one that covers a face before the next."""
    words = [tuple(words) for words in pack.order] or list(_usual_order(pack))
    stages = read_order(pack, words).stages
    step_of: dict[str, int] = {}
    clamp, plug = 0, None
    for stage in stages:
        found = re.match(r"\d+", stage.number)
        number = max(0, int(found[0]) - 1) if found else len(words) - 1
        step_of.update(dict.fromkeys(stage.items if stage.kind == "conductors" else (), number))
        clamp = number if stage.kind == "clamp" else clamp
        if stage.kind == "disconnect":
            plug = number if plug is None else min(plug, number)
    return Steps(tuple(words), step_of, clamp, plug)


def _usual_order(pack: Pack) -> Iterator[tuple[str, ...]]:
    """Yield steps for a layout that states none: the stack, then face by face what lands there, its taps, its covers.

    What lands on more than one face comes with the last of them.  A harness with eyelets on several faces is told of
    nowhere: each eyelet goes on with its bar.
    """
    yield (*ranges(pack.groups), *(("clamp",) if pack.clamp else ()))
    plugs = [d.name for d in pack.devices.values() if d.kind == "service disconnect"]
    lands = {name: _faces_under(pack, [landing.node for landing in c.lands]) for name, c in pack.conductors.items()}
    tapped = _faces_under(pack, [tap.node for tap in pack.taps.values()])
    faces = sorted(pack.faces, key=lambda face: sum(face in own and len(own) > 1 for own in lands.values()))
    harness = ["taps"] if pack.taps and len(tapped) < 2 else []
    seen: set[str] = set()
    on: set[str] = set()
    for face in faces:
        seen.add(face)
        last = face == faces[-1]
        bars = [n for n, own in lands.items() if n not in on and pack.conductors[n].kind == "bar" and own == {face}]
        others = [
            n for n, own in lands.items() if n not in on and n not in bars and ((own <= seen and face in own) or last)
        ]
        covers = [c.name for c in pack.covers.values() if c.name not in on and (c.faces == (face,) or last)]
        on.update(bars, others, covers)
        devices = [n for n in pack.devices if n not in plugs] if last else []
        for step in (bars, [*others, *devices], [*(harness if last else ()), *covers]):
            if step:
                yield tuple(ranges(step))
    if plugs:
        yield tuple(plugs)


def _faces_under(pack: Pack, nodes: Iterable[str]) -> set[str]:
    return {face for node in nodes for place in places_under(pack, node) if (face := pack.face_of(place))}


def ranges(names: Iterable[str]) -> list[str]:
    """Return names with those that count on by one written as a range: ``P01..P24``."""
    found: list[list[str]] = []
    for name in names:
        if found and _counts_on(found[-1][-1], name):
            found[-1].append(name)
        else:
            found.append([name])
    return [run[0] if len(run) == 1 else f"{run[0]}..{run[-1]}" for run in found]


def _counts_on(one: str, other: str) -> bool:
    first, second = _NUMBER.match(one), _NUMBER.match(other)
    if not first or not second or (first[1], first[3]) != (second[1], second[3]):
        return False
    return len(first[2]) == len(second[2]) and int(second[2]) == int(first[2]) + 1


def calendar(pack: Pack, steps: Steps, states: Sequence[str], random: Random) -> Calendar:
    """Return the times of one build: each act after what must come before it."""
    now = FIRST_DAY + timedelta(days=random.randrange(DAYS), hours=7, minutes=random.randrange(30, 75, 5))
    by_step: dict[int, list[str]] = {}
    for name, (conductor, _) in pack.joints.items():
        by_step.setdefault(steps.step_of.get(conductor.name, len(steps.words) - 1), []).append(name)
    begun: list[datetime] = []
    joints: dict[str, datetime] = {}
    clamp = now
    for number in range(len(steps.words)):
        if number == steps.plug:
            break
        begun.append(now)
        made = by_step.get(number, [])
        start = now + timedelta(minutes=random.randrange(20, 40))
        if number == steps.clamp:
            clamp = now + timedelta(minutes=random.randrange(40, 70))
            start = max(start, clamp + timedelta(minutes=5))
        for index, name in enumerate(made):
            joints[name] = start + timedelta(minutes=int(index * 0.6))
        after = start + timedelta(minutes=int(len(made) * 0.6) + random.randrange(25, 55))
        now = _in_working_hours(after, random)
    for name in pack.joints:
        joints.setdefault(name, begun[-1] + timedelta(minutes=15))
    looked = max(begun[-1] + timedelta(minutes=5), now - timedelta(minutes=10))
    now = max(now, max(joints.values(), default=now) + timedelta(minutes=10))
    read: dict[str, datetime] = {}
    for state in states:
        read[state] = now
        now += timedelta(minutes=random.randrange(30, 55))
    wait = max((joint_kind(pack, name).recheck_after_h or 0.5 for name in pack.joints), default=0.5)
    again = _in_working_hours(max(joints.values(), default=now) + timedelta(hours=wait), random, next_day=True)
    rechecks = {name: again + timedelta(minutes=int(index * 0.3)) for index, name in enumerate(pack.joints)}
    return Calendar(tuple(begun), joints, rechecks, clamp, looked, read)


def _in_working_hours(moment: datetime, random: Random, *, next_day: bool = False) -> datetime:
    """Return a time itself, on a grid of five minutes, or the next morning where it is late."""
    moment = moment.replace(minute=moment.minute // 5 * 5) + timedelta(minutes=5)
    if 7 <= moment.hour < 16 and not next_day:
        return moment
    morning = moment.replace(hour=7, minute=random.randrange(15, 60, 5))
    return morning if morning >= moment else morning + timedelta(days=1)
