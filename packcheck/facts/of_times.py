"""Facts about time: of every two acts of which one must come first, how much later the other was written down.

Acts of one kind and one time that stand the wrong way round make one row; all others of their kind one together.
A date without a time of day stands for any moment of that day; a row says the most the two entries allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime, time, timedelta
from itertools import pairwise
from typing import NamedTuple

from packcheck.facts import order_of_trade as order
from packcheck.facts.checked_readings import Checked, check_loaded, check_poles
from packcheck.facts.evidence import Evidence
from packcheck.facts.first_looks import first_seen_on, read_loose, was_on_before
from packcheck.facts.open_switches import way_past
from packcheck.facts.order_of_trade import Precedence
from packcheck.files.name_lists import list_places
from packcheck.files.names import conductor_of
from packcheck.files.origin import Origin
from packcheck.model.pack.order import DISCONNECT, Covers
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedJoint, Record
from packcheck.model.record.work_done import WorkStep, read_work
from packcheck.rules.catalogue import Row, Value

_REJOINED = ("", "lands", "part", "plus at", "type", "serial", "on", "rating", "volts", "breaks", "current")
"""Columns that tell of a part taken off, or put on, between two looks."""
_MIDNIGHT = time()
_DAY = timedelta(days=1) - timedelta(minutes=1)


class _Pair(NamedTuple):
    """Two acts: what they are about, the times written down, and where the later one stands."""

    rule: Precedence
    name: str
    earlier: datetime
    later: datetime
    origin: Origin | None
    touches: tuple[str, ...] = ()

    @property
    def gap_h(self) -> float:
        """Return the time [h] from the earlier to the later act, the most that the two entries allow."""
        return (_latest(self.later) - self.earlier).total_seconds() / 3600


class _Done(NamedTuple):
    """When the work says that something was put on: not before ``begun``, and not after ``ended``."""

    begun: datetime | None = None
    ended: datetime | None = None


_NEVER = _Done()


def sequence_rows(evidence: Evidence, checked: Iterable[Checked]) -> Iterator[Row]:
    """Yield a row for every two acts of a record that have an order, and a time each."""
    record = evidence.record
    if record is None:
        return
    turned: dict[tuple[Precedence, datetime, datetime], list[_Pair]] = {}
    kept: dict[Precedence, tuple[float, _Pair]] = {}
    for pair in _pairs(evidence, record, (*checked, *check_loaded(evidence)), tuple(check_poles(evidence).values())):
        gap_h = pair.gap_h
        if gap_h < 0:
            turned.setdefault((pair.rule, pair.earlier, pair.later), []).append(pair)
        elif pair.rule not in kept or gap_h < kept[pair.rule][0]:
            kept[pair.rule] = gap_h, pair
    for pairs in turned.values():
        names = list_places(dict.fromkeys(pair.name for pair in pairs), 6)
        yield _row(pairs, names)
    for _, closest in kept.values():
        yield _row([closest], "all others")


def _row(pairs: list[_Pair], where: str) -> Row:
    rule, _, earlier, later, origin, _ = first = pairs[0]
    subject = f"{where}, {rule.later} after {rule.earlier}"
    values: dict[str, Value] = {
        "pair": subject if where == "all others" else f"{subject}, {written(earlier)} and {written(later)}",
        "about": where,
        "first": rule.earlier,
        "first_at": written(earlier),
        "second": rule.later,
        "second_at": written(later),
        "gap_h": first.gap_h,
        "reason": rule.reason,
    }
    touches = frozenset(name for pair in pairs for name in (pair.name, *pair.touches))
    return Row(str(values["pair"]), values, {}, touches, where, "", origin)


def _is_date(moment: datetime) -> bool:
    """Return whether a date was written without a time of day."""
    return moment.time() == _MIDNIGHT


def _latest(moment: datetime) -> datetime:
    return moment + _DAY if _is_date(moment) else moment


def written(moment: datetime) -> str:
    """Return a time as it was written: a date alone without a time of day."""
    return f"{moment:%Y-%m-%d}" if _is_date(moment) else f"{moment:%Y-%m-%d %H:%M}"


def _pairs(
    evidence: Evidence, record: Record, checked: tuple[Checked, ...], poles: tuple[Checked, ...]
) -> Iterator[_Pair]:
    steps = [step for step in read_work(record) if step.origin]
    done = _done(steps)
    yield from _of_steps(steps)
    yield from _of_modules(record, done)
    yield from _of_clamp(record, done)
    yield from _of_conductors(record, done)
    yield from _of_joints(record, done)
    yield from _of_readings(evidence, record, checked, order.JOINT_READING)
    yield from _of_readings(evidence, record, poles, order.JOINT_ISOLATION)
    yield from _of_disconnect(record, done, poles)
    yield from _of_states(record)
    yield from _of_changes(record, (*checked, *poles))
    for again in record.superseded:
        if again.first and again.first.at and again.later.at:
            yield _Pair(order.FIRST_AGAIN, again.subject, again.first.at, again.later.at, again.later.origin)
    for look in record.amended:
        if look.first_at and look.at:
            yield _Pair(order.LOOK_AGAIN, look.subject, look.first_at, look.at, look.origin)


def _of_steps(steps: list[WorkStep]) -> Iterator[_Pair]:
    """Yield steps of the work in turn."""
    for one, two in pairwise(step for step in steps if step.at):
        if one.at and two.at:
            yield _Pair(order.STEP_STEP, f"step {two.number} of the work", one.at, two.at, two.origin)


def _done(steps: list[WorkStep]) -> dict[str, _Done]:
    """Return when each thing was put on for good: a step lasts from its time to that of the next."""
    done: dict[str, _Done] = {}
    for index, step in enumerate(steps):
        after = next((later.at for later in steps[index + 1 :] if later.at), None)
        for stage in step.stages:
            for item in stage.items:
                done[item] = _NEVER if stage.off else _Done(step.at, after)
    return done


def _of_modules(record: Record, done: Mapping[str, _Done]) -> Iterator[_Pair]:
    """Yield loose readings of modules against their place and their first conductor."""
    joined: dict[str, datetime] = {}
    for conductor in record.conductors.values():
        for node in conductor.lands or () if conductor.at else ():
            position = record.pack.part_at(node)
            if conductor.at and (position not in joined or conductor.at < joined[position]):
                joined[position] = conductor.at
    for position, module in record.modules.items():
        read = module.rest_v
        if read is None or read.at is None or read.state != LOOSE:
            continue
        if ended := done.get(position, _NEVER).ended:
            yield _Pair(order.TEST_FIT, position, read.at, ended, module.origin)
        if position in joined:
            yield _Pair(order.TEST_BAR, position, read.at, joined[position], module.origin)


def _of_clamp(record: Record, done: Mapping[str, _Done]) -> Iterator[_Pair]:
    at, origin = record.compression.at, record.compression.origin
    if at is None:
        return
    read = (record.compression.length_mm, record.compression.torque_n_m)
    at = min((entry.at for entry in read if entry and entry.at), default=at)
    if begun := done.get("clamp", _NEVER).begun:
        yield _Pair(order.CLAMP_READ, "clamp", begun, at, origin)
    for position in record.pack.positions:
        if begun := done.get(position, _NEVER).begun:
            yield _Pair(order.STAND_CLAMP, position, begun, at, origin, ("clamp",))


def _of_conductors(record: Record, done: Mapping[str, _Done]) -> Iterator[_Pair]:
    for name, conductor in record.conductors.items():
        begun = done.get(name, _NEVER).begun
        if conductor.at and conductor.fitted and begun:
            yield _Pair(order.FIT_SEEN, name, begun, conductor.at, conductor.origin)


def _of_joints(record: Record, done: Mapping[str, _Done]) -> Iterator[_Pair]:
    """Yield joints against their conductor, their module and the covers over them."""
    covers, on = Covers(record.pack), _covered_by(record, done)
    for name, joint in record.joints.items():
        part, drawn = conductor_of(name), record.pack.joints.get(name)
        node = drawn[1].node if drawn else ""
        position = record.pack.part_at(node)
        for at in _times(joint):
            if begun := done.get(part, _NEVER).begun:
                yield _Pair(order.FIT_JOINT, name, begun, at, joint.origin, (part,))
            if position in record.pack.positions and (begun := done.get(position, _NEVER).begun):
                yield _Pair(order.STAND_JOINT, name, begun, at, joint.origin, (part, position))
            if (read := read_loose(record, position)) and not was_on_before(record, part, read):
                yield _Pair(order.TEST_JOINT, name, read, at, joint.origin, (part, position))
            for cover in covers.over_place(node) if on else ():
                if cover in on:
                    yield _Pair(order.JOINT_COVER, name, at, on[cover], joint.origin, (part, cover))


def _times(joint: FittedJoint) -> Iterable[datetime]:
    return dict.fromkeys(entry.at for entry in (joint.torque_n_m, joint.resistance_ohm) if entry and entry.at)


def _covered_by(record: Record, done: Mapping[str, _Done]) -> dict[str, datetime]:
    """Return the time by which each cover was surely on."""
    found: dict[str, datetime] = {}
    for name in record.pack.covers:
        cover = record.covers.get(name)
        told = (done.get(name, _NEVER).ended, cover.at if cover and cover.fitted else None)
        times = [_latest(moment) for moment in told if moment]
        if times:
            found[name] = min(times)
    return found


def _of_readings(evidence: Evidence, record: Record, checked: Iterable[Checked], rule: Precedence) -> Iterator[_Pair]:
    """Yield joints and the readings, or isolation tests, whose way leads through them, or would past an open switch."""
    torqued = {name: joint.torque_n_m.at for name, joint in record.joints.items() if joint.torque_n_m}
    for one in checked:
        value = one.reading.value_v
        if value.at is None or value.state == LOOSE:
            continue
        way = one.walk or way_past(evidence, one.reading)
        at = {torqued[s.edge.name]: s.edge.name for s in way if s.edge.name in torqued}
        for moment, name in at.items():
            if moment is not None:
                yield _Pair(rule, one.reading.name, moment, value.at, value.origin, (name,))


def _of_changes(record: Record, checked: tuple[Checked, ...]) -> Iterator[_Pair]:
    """Yield what stood otherwise at the first look against what was torqued on it, and read over it."""
    other = [one for one in record.amended if one.first != one.later and one.column in _REJOINED]
    changed = {one.subject: one.at for one in other if one.at}
    if not changed:
        return
    for name, joint in record.joints.items():
        drawn = record.pack.joints.get(name)
        for part in (conductor_of(name), record.pack.part_at(drawn[1].node) if drawn else ""):
            for at in _times(joint) if part in changed else ():
                yield _Pair(order.CHANGE_JOINT, name, changed[part], at, joint.origin, (part,))
    for one in checked:
        value = one.reading.value_v
        over = {step.edge.part for step in one.walk or ()} | set(one.reading.words)
        if value.at is None or value.state == LOOSE:
            continue
        for part in sorted(changed.keys() & over):
            yield _Pair(order.CHANGE_READING, one.reading.name, changed[part], value.at, value.origin, (part,))


def _plugged(record: Record, value: Entry) -> list[str]:
    """Return the disconnects that are in while a value is read."""
    state = record.pack.states.get(value.state)
    return [name for name in sorted(state.closed if state else ()) if record.pack.devices[name].kind == DISCONNECT]


def _of_disconnect(record: Record, done: Mapping[str, _Done], poles: Iterable[Checked]) -> Iterator[_Pair]:
    """Yield covers, and the disconnect, against readings and isolation tests with the disconnect in."""
    covers = [(name, begun) for name in record.pack.covers if (begun := done.get(name, _NEVER).begun)]
    seen = [(name, at) for name in record.pack.covers if name not in done and (at := first_seen_on(record, name))]
    for reading in (*record.readings, *(one.reading for one in poles)):
        value = reading.value_v
        plugs = _plugged(record, value)
        if value.at is None or not plugs:
            continue
        for name, begun in covers:
            yield _Pair(order.COVER_PLUG, reading.name, begun, value.at, value.origin, (name,))
        for name, at in seen:
            yield _Pair(order.SEEN_PLUG, reading.name, at, value.at, value.origin, (name,))
        for plug in plugs:
            if put := done.get(plug, _NEVER).begun:
                yield _Pair(order.PLUG_READING, reading.name, put, value.at, value.origin, (plug,))


def _of_states(record: Record) -> Iterator[_Pair]:
    """Yield two states by their first readings, where one has all closed that the other has, and more."""
    first: dict[str, tuple[datetime, Origin | None]] = {}
    again = {(entry.subject, entry.later.at) for entry in record.superseded}
    for reading in record.readings:
        value = reading.value_v
        if value.at is None or value.state not in record.pack.states or (reading.name, value.at) in again:
            continue
        if value.state not in first or value.at < first[value.state][0]:
            first[value.state] = (value.at, value.origin)
    closed = {name: record.pack.states[name].closed for name in first}
    for less, more in ((a, b) for a in first for b in first if closed[a] < closed[b]):
        (one, _), (two, origin) = first[less], first[more]
        yield _Pair(order.STATE_STATE, f"{less}, then {more}", one, two, origin)
