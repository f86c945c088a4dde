"""Facts for people: what the record predicts at every tap, block, half and in total, beside what was read there."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.diagnosis.foreseen import Foreseen, foresee
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Measured, Row, Value


def predicted_rows(record: Record) -> Iterator[Row]:
    """Yield one row for each spot, switching state and load."""
    for one in foresee(record):
        yield _row(one)


def _row(one: Foreseen) -> Row:
    spot, seen, read = one.spot, one.seen, one.read
    load = f", {one.load_a:g} A" if one.load_a else ""
    name = f"{spot.what} {spot.name} ({one.state}{load})"
    values: dict[str, Value] = {
        "predicted": name, "what": spot.what, "between": spot.name, "state": one.state, "load_a": one.load_a,
        "joined": seen.joined, "predicted_v": Measured(seen.volts - seen.half, seen.volts + seen.half),
        "reading": read.probe.reading if read else "",
        "value_v": Measured(read.value - read.half, read.value + read.half) if read else None, "fits": one.fits,
    }  # fmt: skip
    return Row(name, values, {}, frozenset({spot.plus, spot.minus}), name)
