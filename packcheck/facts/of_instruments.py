"""Facts about the instruments that a record names or used, and the kind that a test is to be taken with."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.record.abilities import ability_of, is_known_kind, is_of_kind
from packcheck.model.record.model import Instrument, Record
from packcheck.model.record.test_results import TakenTest
from packcheck.rules.catalogue import Row, Value


def instrument_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per instrument that the record describes; one that it does not describe is refused when read."""
    record = evidence.record
    if record is None:
        return
    torque_tools = {joint.torque_n_m.instrument for joint in record.joints.values() if joint.torque_n_m}
    for name, instrument in record.instruments.items():
        yield _instrument_row(record, instrument, name in torque_tools)


def _instrument_row(record: Record, instrument: Instrument, applied_torque: bool) -> Row:
    times = record.uses.get(instrument.name, frozenset())
    dates = [moment.date() for moment in times if moment is not None]
    due = instrument.due
    overdue = any(date > due.date() for date in dates) if due else None
    in_calibration: bool | None = True if not times and due else None
    if due and times:
        in_calibration = False if overdue else None if None in times else True
    values: dict[str, Value] = {
        "instrument": instrument.name,
        "kind": instrument.kind,
        "kind_known": is_known_kind(instrument.kind) if instrument.kind else None,
        "due": instrument.due_text,
        "last_used": max(dates).isoformat() if dates else None,
        "in_calibration": in_calibration,
        "accuracy_stated": instrument.accuracy is not None,
        "was_used": bool(times),
        "is_torque_tool": applied_torque,
        "cycles": instrument.cycles,
    }
    words = f"{instrument.kind or 'instrument'} {instrument.name}"
    return Row(instrument.name, values, {}, frozenset((instrument.name,)), words)


WITHOUT_INSTRUMENT = frozenset({"eyes", "clock", "count"})
"""What is read off, timed or counted is taken as it was written down, where no instrument is named."""
_OF_NO_KIND = WITHOUT_INSTRUMENT | {"instrument", "monitor"}
"""A monitor is what is tested; what its current is held against is read with whatever reads it."""


def instrument_facts(evidence: Evidence, test: AskedTest, taken: TakenTest) -> dict[str, Value]:
    """Return with which kind of instrument a point was read, and whether that is the kind that is asked.

    One that cannot read the quantity at all proves nothing by itself, which is said at the reading.
    """
    entry, record = taken.value, evidence.record
    known = record.instruments.get(entry.instrument) if entry and record else None
    reads = known is not None and test.quantity is not None and not ability_of(known, test.quantity).none_because
    if known is None or not reads or test.instrument in _OF_NO_KIND:
        return {"kind_asked": test.instrument, "kind_by_layout": test.names_instrument, "read_by_instrument": False}
    return {
        "kind_asked": test.instrument,
        "kind_by_layout": test.names_instrument,
        "read_by_instrument": True,
        "kind_used": f"{known.name}, a {known.kind}" if known.kind else known.name,
        "kind_as_asked": is_of_kind(known.kind, test.instrument) if known.kind else None,
    }
