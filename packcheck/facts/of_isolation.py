"""Facts about isolation tests: the resistance to the chassis by both forms, and where along the string a leak lies."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from packcheck.facts.checked_readings import Checked, check_poles
from packcheck.facts.evidence import Evidence, with_sign
from packcheck.facts.isolation_of_parts import modules_between, told_by_halves
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.open_switches import GHOST_V, METER_OHM
from packcheck.files.name_lists import list_places
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.entry import Entry
from packcheck.model.record.test_results import IsolationTest
from packcheck.physics.isolation import (
    isolation_un_ohm,
    isolation_us_ohm,
    leak_share,
    parallel_total_ohm,
    pull_to_middle,
    seen_by_loading_ohm,
    seen_through_meter_ohm,
)
from packcheck.rules.catalogue import Datum, Measured, Row, Value

BACKGROUND_OHM = 5e6
"""What a dry, clean pack has to its chassis at least [ohm]; common practice, no source."""
LOCATED_OHM = 1e6
"""A leak above this is not looked for along the string [ohm]: the background hides its place; common practice."""
METER_TIMES = 2.0
"""Meters have up to so many times what is stated; common practice, no source."""
METER_SHARE = 0.02
"""Readings of a meter are off by no more than this share of the pole voltage together; common practice, no source."""


def isolation_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each isolation test of the record."""
    checked = check_poles(evidence)
    for test in evidence.record.isolation.values() if evidence.record else ():
        between = f"{with_sign(evidence.pack, test.minus)} and {with_sign(evidence.pack, test.plus)}"
        touches = frozenset({test.name, *modules_between(evidence, test)})
        place = f"{test.name}, {between}"
        again = _to_read_again(test)
        missing = dict.fromkeys(_OHMS, Datum(again, test.name, "multimeter")) if again else {}
        yield Row(
            test.name,
            _values(evidence, test, between, checked.get(test.name)),
            missing,
            touches,
            place,
            "",
            test.origin,
        )


_OHMS = ("isolation_ohm", "us_ohm", "total_ohm")


class _Readings(NamedTuple):
    """All five readings of a test: the higher pole and the other, pole to pole, the resistor, the higher with it in."""

    pole: Entry
    other: Entry
    poles: Entry
    resistor: Entry
    after: Entry


def _readings(test: IsolationTest) -> _Readings | None:
    """Return the readings of a test; None where one of them is missing."""
    pole, other = _sorted(test)
    poles, resistor, after = test.poles_v, test.resistor_ohm, test.with_resistor_v
    if not (pole and other and poles and resistor and after):
        return None
    return _Readings(pole, other, poles, resistor, after)


def _to_read_again(test: IsolationTest) -> str:
    """Return what has to be read again, and why, where no pack reads so; "" where one does, or a reading is missing."""
    read = _readings(test)
    if read is None:
        return ""
    if min(read.pole.low, read.poles.low) <= 0:
        return "the voltages of the poles, again: a lead that touches nothing reads 0 V too"
    if read.pole.low + read.other.low > read.poles.high:
        return "all three voltages, again: no chassis is further from both poles than they are from each other"
    if read.after.low <= 0:
        return "the reading with the resistor in, again, in a finer range or with a larger resistor: it may be 0 V"
    if read.after.low > read.pole.high:
        return "the reading with the resistor in, again: a resistor put in raises no reading"
    if not _resistor_tells(read, test.meter_ohm or 0.0):
        return "the known resistor and the reading with it, again: beside this meter no pack reads as written"
    return ""


def _values(evidence: Evidence, test: IsolationTest, between: str, checked: Checked | None) -> dict[str, Value]:
    isolation, us = _isolation(test)
    total = _total(test, isolation)
    asked = evidence.pack.insulation
    volts = abs(evidence.drawn.at_rest.voltage_v(evidence.drawn.plus, evidence.drawn.minus) or 0.0)
    entries = [test.minus_v, test.plus_v, test.tester_ohm]
    instruments = {entry.instrument for entry in entries if entry}
    return {
        "isolation": test.name,
        "between": between,
        "state": test.state,
        "isolation_ohm": isolation,
        "us_ohm": us,
        "total_ohm": total,
        "least_ohm": asked.least_ohm_per_v * volts if asked.least_ohm_per_v and volts else None,
        "least_known": bool(asked.least_ohm_per_v and volts),
        "floor_ohm": asked.floor_ohm,
        "floor_known": asked.floor_ohm is not None,
        "by_tester": test.tester_ohm is not None and test.state != LOOSE,
        **_poles(test, checked),
        "instrument": ", ".join(sorted(instruments)),
        "leak_at": _leak_at(evidence, test, total),
        "halves": told_by_halves(evidence, test, _total_of, asked.floor_ohm or LOCATED_OHM),
    }


def _poles(test: IsolationTest, checked: Checked | None) -> dict[str, Value]:
    """Return what was read between the poles, and by how much more than what the recorded parts give there."""
    read, expected = test.poles_v, _expected(test, checked)
    if read is None or expected is None:
        return {"poles_known": False}
    size = abs(expected.low + expected.high) / 2
    off = worked_out(read.low - size, read.high - size, [read, expected])
    return {"poles_known": True, "poles_v": measured(read), "poles_expected_v": size, "poles_off_v": off}


def _expected(test: IsolationTest, checked: Checked | None) -> Measured | None:
    """Return what the recorded parts give between the poles: nothing, where a voltage was read and nothing joins them.

    Poles that float and read next to nothing are left out: what they leave untested is told by other facts.
    """
    read = test.poles_v
    floats = checked is not None and checked.walk is None and not checked.joined_if_fitted and test.state != LOOSE
    if floats and read is not None and abs(read.value) > GHOST_V:
        return worked_out(0.0, 0.0, [read])
    return checked.expected if checked else None


def isolation_of(test: IsolationTest) -> Measured | None:
    """Return the smaller resistance of the two poles to the chassis [ohm]; None where a reading is missing."""
    return _isolation(test)[0]


def _resistor_tells(read: _Readings, meter_ohm: float) -> bool:
    """Return whether the reading with the resistor can be one of this pack.

    What the pole has to the chassis, the meter beside it, is told twice: by the resistor, and by how far the meter
    alone loads the leaks.  Where the resistor tells much more, it was not in, or is not the one written down: the
    higher it is written, the better the isolation would seem.  Accuracies play no part: a worse meter proves no more.
    """
    meter = METER_TIMES * max(meter_ohm, METER_OHM)
    told = seen_through_meter_ohm(read.resistor.value, read.pole.value, read.after.value)
    loaded = seen_by_loading_ohm(meter, read.poles.value, read.pole.value, read.other.value)
    return told <= max(0.0, loaded) + METER_SHARE * meter


def _isolation(test: IsolationTest) -> tuple[Measured | None, Measured | None]:
    """Return the resistance to the chassis by the form of the UN and by that of the US [ohm], as intervals."""
    read = _readings(test)
    if read is None or _to_read_again(test):
        return None, None
    pole, other, poles, resistor, after = read
    low = isolation_un_ohm(resistor.low, poles.low, max(pole.low, after.high), after.high)
    high = isolation_un_ohm(resistor.high, poles.high, pole.high, after.low)
    us_low = isolation_us_ohm(resistor.low, other.low, max(pole.low, after.high), after.high)
    us_high = isolation_us_ohm(resistor.high, other.high, pole.high, after.low)
    return worked_out(max(0.0, low), high, read), worked_out(max(0.0, us_low), us_high, read)


def _total_of(test: IsolationTest) -> Measured | None:
    return _total(test, _isolation(test)[0])


def is_tested(evidence: Evidence) -> bool:
    """Return whether tests that were read to the end lie over the whole pack, or over each of its modules."""
    record, drawn = evidence.record, evidence.drawn
    whole = [test for test in record.isolation.values() if _isolation(test)[0] is not None] if record else []
    ends = drawn.conductors
    if any(ends.joined(test.minus, drawn.minus) and ends.joined(test.plus, drawn.plus) for test in whole):
        return True
    groups = evidence.pack.groups
    reached = {name for test in whole for name in modules_between(evidence, test)}
    return bool(whole) and all(reached & set(members) for members in groups.values())


def _total(test: IsolationTest, isolation: Measured | None) -> Measured | None:
    pole, other = _sorted(test)
    if isolation is None or pole is None or other is None:
        return None
    ends = [parallel_total_ohm(ohm, pole.value, other.value) for ohm in (isolation.low, isolation.high)]
    return isolation._replace(low=ends[0], high=ends[1])


def _sorted(test: IsolationTest) -> tuple[Entry | None, Entry | None]:
    """Return the higher and the lower of the two readings of a pole to the chassis."""
    if test.minus_v is None or test.plus_v is None:
        return None, None
    pair = (test.minus_v, test.plus_v)
    return (pair[0], pair[1]) if pair[0].value >= pair[1].value else (pair[1], pair[0])


def _leak_at(evidence: Evidence, test: IsolationTest, total: Measured | None) -> str:
    """Return in words between which modules a single leak lies; "" where that is not looked for."""
    minus, plus, names = test.minus_v, test.plus_v, modules_between(evidence, test)
    if total is None or minus is None or plus is None or total.high > LOCATED_OHM or not names:
        return ""
    share = max((e.high - e.low) / 2 / abs(e.value) for e in (minus, plus) if e.value)
    low, high = leak_share(minus.value, plus.value, share)
    pull = pull_to_middle((low + high) / 2, total.high, BACKGROUND_OHM)
    low, high = min(low, low + pull), max(high, high + pull)
    first = min(len(names) - 1, max(0, int(low * len(names) - 1e-6)))
    last = min(len(names) - 1, max(first, int(high * len(names) + 1e-6)))
    return list_places(names[first : last + 1])
