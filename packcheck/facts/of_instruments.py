"""Facts about the instruments that a record names or used."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.model.record.abilities import is_known_kind
from packcheck.model.record.model import Instrument, Record
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
