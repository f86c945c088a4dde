"""Facts about two records of one pack: what was read in both, and how it has changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median

from packcheck.facts.checked_readings import fitted_type
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.of_isolation import isolation_of
from packcheck.files.names import names_within
from packcheck.files.quantities import format_quantity
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedModule, Record
from packcheck.model.record.shelf import plain_serial
from packcheck.rules.catalogue import Measured, Row, Value

REST, MODULE_OHM, CAPACITY, JOINT_OHM, ISOLATION = (
    "rest", "module resistance", "capacity", "joint resistance", "isolation",
)  # fmt: skip
KINDS = (REST, MODULE_OHM, CAPACITY, JOINT_OHM, ISOLATION)
"""What is compared, in the order in which it is told."""


def since_rows(evidence: Evidence, earlier: Record) -> Iterator[Row]:
    """Yield one row for each thing that was read in both records; meters of two records are taken for two meters."""
    record = evidence.record
    assert record is not None
    likes = _likes(evidence, earlier)
    for name in record.modules:
        if name in earlier.modules:
            like = likes.get(fitted_type(evidence, name).name, [])
            yield from _module(evidence, record.modules[name], earlier.modules[name], like)
    for name, joint in record.joints.items():
        before = earlier.joints.get(name)
        if before is not None and joint.resistance_ohm and before.resistance_ohm:
            yield _ohms(JOINT_OHM, name, before.resistance_ohm, joint.resistance_ohm, same=True)
    yield from _isolation(record, earlier)


def _likes(evidence: Evidence, earlier: Record) -> dict[str, list[float]]:
    """Return what the modules of each type lost [V], those that are surely the same as before."""
    found: dict[str, list[float]] = {}
    for name, now in evidence.record.modules.items() if evidence.record else ():
        before = earlier.modules.get(name)
        if before and now.rest_v and before.rest_v and _same(now, before):
            kind = fitted_type(evidence, name).name
            found.setdefault(kind, []).append(before.rest_v.value - now.rest_v.value)
    return found


def _module(evidence: Evidence, now: FittedModule, before: FittedModule, like: Sequence[float]) -> Iterator[Row]:
    name, same = now.position, _same(now, before)
    if now.rest_v and before.rest_v:
        lost = worked_out(before.rest_v.low - now.rest_v.high, before.rest_v.high - now.rest_v.low,
                          (before.rest_v, now.rest_v))  # fmt: skip
        cells = fitted_type(evidence, name).cells
        yield _row(REST, name, before.rest_v, now.rest_v, "V", same, {
            "lost_v": lost, "cells": cells, "peers": len(like), "peer_lost_v": median(like) if like else 0.0,
        })  # fmt: skip
    if now.resistance_ohm and before.resistance_ohm:
        yield _ohms(MODULE_OHM, name, before.resistance_ohm, now.resistance_ohm, same=same)
    if now.capacity_ah and before.capacity_ah:
        yield _row(CAPACITY, name, before.capacity_ah, now.capacity_ah, "Ah", same, {})


def _same(now: FittedModule, before: FittedModule) -> bool | None:
    """Return whether it is the same module; None where a serial was not read."""
    if now.serial is None or before.serial is None:
        return None
    return plain_serial(now.serial) == plain_serial(before.serial)


def _ohms(what: str, name: str, before: Entry, now: Entry, *, same: bool | None) -> Row:
    values: dict[str, Value] = {"first_ohm": measured(before), "later_ohm": measured(now)}
    return _row(what, name, before, now, "Ω", same, values)


def _isolation(record: Record, earlier: Record) -> Iterator[Row]:
    """Yield the tests between the same two poles of which the earlier gave a number."""
    tested = {(test.minus, test.plus): test for test in earlier.isolation.values()}
    for test in record.isolation.values():
        before = tested.get((test.minus, test.plus))
        first, later = isolation_of(before) if before else None, isolation_of(test)
        if before is None or first is None:
            continue
        began, ended = (one.with_resistor_v and one.with_resistor_v.at for one in (before, test))
        gap = (ended - began).total_seconds() / 3600 if began and ended else None
        about = f"{ISOLATION} of {test.name}"
        values: dict[str, Value] = {
            "since": about, "what": ISOLATION, "first": _words(first), "later": _words(later), "gap_h": gap,
            "same": True, "cells": 0, "first_ohm": first, "later_ohm": later,
        }  # fmt: skip
        yield Row(about, values, {}, frozenset({test.name}), about, "", test.origin)


def _words(ohms: Measured | None) -> str:
    if ohms is None:
        return "a test that gives no number"
    return f"{format_quantity(ohms.low, 'Ω')} to {format_quantity(ohms.high, 'Ω')}"


def _row(
    what: str, name: str, before: Entry, now: Entry, unit: str, same: bool | None, more: dict[str, Value]
) -> Row:  # fmt: skip
    gap = (now.at - before.at).total_seconds() / 3600 if now.at and before.at else None
    about = f"{what} of {name}"
    values: dict[str, Value] = {
        "since": about, "what": what, "first": format_quantity(before.value, unit),
        "later": format_quantity(now.value, unit), "gap_h": gap, "same": same, "cells": 0, **more,
    }  # fmt: skip
    return Row(about, values, {}, frozenset(names_within(name)), about, "", now.origin)
