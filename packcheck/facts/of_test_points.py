"""Facts about the points of tests: what each has to be, what was found there, and what became of its photo."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.of_instruments import WITHOUT_INSTRUMENT, instrument_facts
from packcheck.facts.tables.tests import FOUND
from packcheck.files.attached_files import Hashed
from packcheck.files.quantities import Dimension, format_interval
from packcheck.model.pack.asked_tests import AskedTest, Point
from packcheck.model.pack.kinds_of_test import NAME
from packcheck.model.pack.test_limits import BY_CONDITION, LEAST_SHARE, MOST_SHARE, due_at, limit_of
from packcheck.model.pack.types import Bounds
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Record
from packcheck.model.record.taken_tests import name_of
from packcheck.model.record.test_results import TakenTest
from packcheck.model.record.work_done import read_work
from packcheck.physics.cells import NEUTRALISERS, REFERENCE_C, density_at_reference
from packcheck.rules.catalogue import Datum, Measured, Row, Value

_PER_CENT = 100.0


class At(NamedTuple):
    """One point of a test, what was found there, and its limit; ``limit`` is None where its condition is missing."""

    test: AskedTest
    point: Point
    taken: TakenTest
    value: Measured | None
    under: Measured | None
    limit: Bounds | None


def test_point_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each point of each test."""
    last = _last_time(evidence.record) if evidence.pack.tests and evidence.record else None
    for test in evidence.pack.tests.values():
        for point in test.points:
            at = at_point(evidence, test, point)
            name = name_of(test, point.name)
            touches = frozenset({name, point.part} - {""})
            place = f"{test.name}, {point.name}"
            yield Row(name, _point_values(evidence, at, last), _missing(at, name), touches, place, "", at.taken.origin)


def at_point(evidence: Evidence, test: AskedTest, point: Point) -> At:
    """Return one point of a test, what was found there, and its limit."""
    name = name_of(test, point.name)
    taken = evidence.record.tests.get(name, TakenTest(name)) if evidence.record else TakenTest(name)
    under = _as_set(taken.under)
    limit = limit_of(evidence.pack, test, point, _middle(under) if under else None)
    return At(test, point, taken, _compared(evidence, test, point, taken, under), under, limit)


def _middle(interval: Measured) -> float:
    return (interval.low + interval.high) / 2


def _as_set(entry: Entry | None) -> Measured | None:
    """Return a condition: as it was read, or as it was set where no instrument read it."""
    if entry is None or entry.instrument:
        return measured(entry)
    return Measured(entry.low, entry.high, written=entry.written)


def _compared(
    evidence: Evidence, test: AskedTest, point: Point, taken: TakenTest, under: Measured | None
) -> Measured | None:
    """Return what was found, brought to what it is compared with: 25 °C for acid, a share of a new one.

    Where the limit follows from the condition, what is not known of the condition widens the reading.
    """
    return _proving(test, under, _in_its_scale(evidence, test, point, taken, under))


def _proving(test: AskedTest, under: Measured | None, value: Measured | None) -> Measured | None:
    """Return a reading that proves nothing where it was not wholly taken under the condition that is asked."""
    if value is None or test.under == Bounds():
        return value
    low, high = test.under.low, test.under.high
    if under is None:
        because = f"its condition, {test.under_written}, was not recorded"
    elif (low is not None and under.low < low) or (high is not None and under.high > high):
        because = f"taken under {under.written}, {test.under_written} is asked"
    else:
        return value
    return value._replace(fit=False, unfit_because=value.unfit_because or because)


def _in_its_scale(
    evidence: Evidence, test: AskedTest, point: Point, taken: TakenTest, under: Measured | None
) -> Measured | None:
    """Return a reading in the scale of its limit."""
    entry, value = taken.value, measured(taken.value)
    if entry is None or value is None:
        return None
    if test.instrument in WITHOUT_INSTRUMENT and not entry.instrument:
        value = Measured(entry.low, entry.high, written=entry.written)
    if test.kind.curve == "acid density" or (test.kind.curve in BY_CONDITION and not test.written):
        return None if under is None else _at_condition(evidence, test, point, value, under)
    if test.reference_s:
        scale = _PER_CENT / test.reference_s
        return value._replace(low=value.low * scale, high=value.high * scale)
    return _size_of(value) if _asks_for_a_size(test) else value


def _asks_for_a_size(test: AskedTest) -> bool:
    """Return whether a voltage or a current is asked to be small, whichever way round the leads are."""
    return test.quantity in (Dimension.VOLTAGE, Dimension.CURRENT) and test.limit.low is None and bool(test.written)


def _size_of(value: Measured) -> Measured:
    low, high = sorted((abs(value.low), abs(value.high)))
    return value._replace(low=0.0 if value.low < 0 < value.high else low, high=high)


def _at_condition(
    evidence: Evidence, test: AskedTest, point: Point, value: Measured, under: Measured
) -> Measured | None:
    """Return a reading as it would be at 25 °C, or in the middle of what is known of its condition."""
    if test.kind.curve == "acid density":
        low, high = density_at_reference(value.low, under.low), density_at_reference(value.high, under.high)
    else:
        due = [due_at(evidence.pack, test, point, at) for at in (_middle(under), under.low, under.high)]
        if min(due) <= 0:
            return None
        shares = [due[0] / end for end in due[1:]]
        low, high = value.low * min(shares), value.high * max(shares)
    return worked_out(low, high, (value, under))._replace(written=value.written)


def _point_values(evidence: Evidence, at: At, last: datetime | None) -> dict[str, Value]:
    test, limit, condition = at.test, _limit_of(at), at.test.under
    by_condition = at.limit is None
    age = None
    if at.taken.at and last:
        age = max(0.0, (last - at.taken.at).total_seconds() / 3600)
    return {
        "test_point": at.taken.name,
        "test": test.name,
        "kind": test.kind.name,
        "point": at.point.name,
        "gate": test.gate,
        "asked": _asked(at, limit),
        "reading": _reading(at),
        "basis": test.basis or "no source stated",
        "value": at.value,
        "in_words": test.quantity is None,
        "asks_least": by_condition or limit.low is not None,
        "least": limit.low,
        "asks_most": by_condition or limit.high is not None,
        "most": limit.high,
        "word_right": _word_right(evidence, at),
        "condition_asked": bool(test.under_written),
        "condition_to_be": test.under_written,
        "condition_read": at.taken.under.written if at.taken.under else None,
        "condition": at.under,
        "asks_least_condition": condition.low is not None,
        "least_condition": condition.low,
        "asks_most_condition": condition.high is not None,
        "most_condition": condition.high,
        "age_asked": test.age_h is not None,
        "age_h": age,
        "most_age_h": test.age_h,
        **instrument_facts(evidence, test, at.taken),
        **photo_facts(evidence, at.taken),
    }


def _limit_of(at: At) -> Bounds:
    if at.limit is None:
        return Bounds()
    if at.test.reference_s and not at.test.written:
        return Bounds(LEAST_SHARE * _PER_CENT, MOST_SHARE * _PER_CENT)
    if at.test.reference_s:
        scale = _PER_CENT / at.test.reference_s
        low, high = at.limit.low, at.limit.high
        return Bounds(low and low * scale, high and high * scale)
    return at.limit


def _asked(at: At, limit: Bounds) -> str:
    """Return in words what a point has to be."""
    test = at.test
    if test.quantity is None:
        expects = {NAME: f"the answer of {at.point.part} itself", "": test.words[0] if test.words else ""}
        return expects.get(test.kind.expects, f"{test.kind.expects}")
    if test.written:
        return test.written
    if at.limit is None:
        return f"what follows from {test.condition.words if test.condition else 'its condition'}"
    if test.reference_s and limit.low is not None and limit.high is not None:
        return f"{limit.low:g} % to {limit.high:g} % of a new one"
    unit = "%" if test.reference_s else test.quantity.unit
    return format_interval(limit.low, limit.high, unit) if limit != Bounds() else "its points alike"


def _reading(at: At) -> str | None:
    """Return what was found as people read it, with what it is compared with where that is another number."""
    entry = at.taken.value
    if entry is None:
        return at.taken.found
    written = entry.written if entry.low == entry.high else format_interval(entry.low, entry.high, unit_of(at))
    if at.test.quantity is Dimension.TIME:
        written = entry.written
    if at.value is not None and at.value.low != entry.low:
        unit = "% of a new one" if at.test.reference_s else f"{unit_of(at)} at {REFERENCE_C:.0f} °C"
        written += f", which is {format_interval(at.value.low, at.value.high, unit)}"
    if at.under is not None and at.taken.under is not None:
        written += f" under {at.taken.under.written}"
    return written


def unit_of(at: At) -> str:
    """Return the unit in which the values of a point are; "" for a word."""
    return at.test.quantity.unit if at.test.quantity else ""


def _word_right(evidence: Evidence, at: At) -> bool | None:
    """Return whether the word that was found is the one that must be; None where none was."""
    word, test = at.taken.found, at.test
    if word is None or test.quantity is not None:
        return None
    if test.kind.expects:
        return word == at.point.part if test.kind.expects == NAME else True
    if test.kind.curve == "neutraliser":
        chemistries = {evidence.pack.module_type_at(name).chemistry for name in evidence.pack.positions}
        wanted = [NEUTRALISERS[one] for one in chemistries if one in NEUTRALISERS]
        return all(word in words for words in wanted) if wanted else True
    return word == test.words[0]


def _missing(at: At, name: str) -> dict[str, Datum]:
    """Return what to go and record, by the columns that lack it."""
    instrument = at.test.instrument
    found = Datum(FOUND, name, instrument)
    under = Datum("condition in which the test was taken", name, instrument)
    lacking = under if at.taken.value is not None else found
    return {"value": lacking, "word_right": found, "condition": under, "least": under, "most": under,
            "kind_as_asked": Datum("kind of the instrument", at.taken.value.instrument if at.taken.value else name),
            "age_h": Datum("time at which the test was taken", name, "clock")}  # fmt: skip


def _last_time(record: Record) -> datetime | None:
    """Return the last time of which the record tells."""
    times = [step.at for step in read_work(record)]
    times += [reading.value_v.at for reading in record.readings]
    times += [joint.recheck_at for joint in record.joints.values()]
    times += [taken.at for taken in record.tests.values()]
    return max((time for time in times if time), default=None)


UNSEEN = "was not looked for"
NO_PICTURE = "is no picture"


def photo_facts(evidence: Evidence, taken: TakenTest) -> dict[str, Value]:
    """Return what became of the photo of one point of a test; nothing where no file is named."""
    if not taken.file or evidence.record is None:
        return {"photo_named": False}
    hashed = evidence.record.photos.get(taken.name, Hashed("", UNSEEN))
    to_be = (taken.found or "").casefold()
    right = hashed.is_picture and hashed.sha256 == to_be if hashed.sha256 and to_be else None
    state = hashed.why_not or (f"has the number {hashed.sha256[:12]}…" if hashed.is_picture else NO_PICTURE)
    return {"photo_named": True, "photo_file": taken.file, "photo_right": right, "photo_state": state}
