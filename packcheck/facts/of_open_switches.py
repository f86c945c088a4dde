"""Facts about readings past an open switch: what shows that a disconnect or a contactor really parts the string."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from packcheck.facts.common import worked_out
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_readings import Checked
from packcheck.model.pack.model import Device
from packcheck.model.record.model import Reading
from packcheck.network.topology import Forest
from packcheck.rules.catalogue import Datum, Measured, Value

CLOSED_SHARE = 0.95
"""Share of the voltage with everything closed that a bridge surely shows: drift and charge; common practice."""
METER_OHM = 10e6
"""Input resistance of a voltmeter that states none [ohm]; common practice, no source."""
ISOLATION_OHM_PER_V = 100.0
"""Least isolation of a direct-current circuit [ohm/V]; 49 CFR 571.305 S5.4.3.1(c), and UN R100 (clause from memory)."""
DISCONNECTS = ("service disconnect", "isolator")
CONTACTOR = "main contactor"


class Bridged(NamedTuple):
    """The least that a meter shows [V] past a bridge, and its input resistance [ohm]."""

    least_v: float
    meter_ohm: float


def bridged(evidence: Evidence, reading: Reading) -> Bridged:
    """Return the least that a meter would show if what is open in its state were bridged, or leaked too much.

    A meter of input resistance R in series with leakage of r shows U R / (R + r) of the voltage U that stands between
    the two places once everything is closed; r at the least isolation allowed is the most that counts as a bridge.
    """
    closed = evidence.built_solution.voltage_v(reading.plus, reading.minus)
    if closed is None:
        closed = evidence.drawn.at_rest.voltage_v(reading.plus, reading.minus)
    known = evidence.record.instruments.get(reading.value_v.instrument) if evidence.record else None
    meter = (known.input_ohm if known else None) or METER_OHM
    if closed is None:
        return Bridged(0.0, meter)
    leak = ISOLATION_OHM_PER_V * abs(closed)
    return Bridged(CLOSED_SHARE * abs(closed) * meter / (meter + leak), meter)


def mains_past_disconnects(evidence: Evidence, checked: Iterable[Checked]) -> dict[str, Value]:
    """Return what was read between the mains with every disconnect open, for the row about the pack.

    Of several readings the one nearest to nothing counts here; each is judged by itself among the readings.
    """
    drawn, pack = evidence.drawn, evidence.pack
    disconnects = {device.name for device in pack.devices.values() if device.kind in DISCONNECTS}
    open_, shut = drawn.switches_open, drawn.joins(disconnects)
    others = drawn.joins(pack.devices.keys() - disconnects)
    parts = bool(disconnects and drawn.between) and not others.joined(drawn.plus, drawn.minus)
    values: dict[str, Value] = {"disconnects_part_mains": parts}
    if not parts:
        return values
    found = [
        one.reading
        for one in checked
        if _closed(evidence, one.reading).isdisjoint(disconnects)
        and _between_mains(evidence, one.reading)
        and not open_.joined(one.reading.plus, one.reading.minus)
        and shut.joined(one.reading.plus, one.reading.minus)
    ]
    return values | _nearest_to_nothing(evidence, found, "mains_out_v", "mains_bridged_v")


def past_contactor(evidence: Evidence, device: Device, checked: Iterable[Checked]) -> dict[str, Value]:
    """Return what was read past one open contactor, with a module in the way that would show it welded."""
    drawn = evidence.drawn
    weldable = device.kind == CONTACTOR and drawn.acts_in_path(device)
    values: dict[str, Value] = {"parts_mains": weldable}
    if not weldable:
        return values
    found = []
    for reading in (one.reading for one in checked):
        closed = _closed(evidence, reading)
        if device.name in closed or drawn.joins(closed).joined(reading.plus, reading.minus):
            continue
        walk = drawn.joined_with(closed | {device.name}).walk(reading.minus, reading.plus) or ()
        if any(step.edge.kind == "module" for step in walk):
            found.append(reading)
    return values | _nearest_to_nothing(evidence, found, "open_read_v", "open_bridged_v")


def is_one_place(plain: Forest, a: str, b: str) -> bool:
    """Return whether conductors alone join two nodes, or they are one: a bare post may be the main terminal itself."""
    return a == b or plain.joined(a, b)


def mains_datum(evidence: Evidence) -> Datum:
    """Return the reading that shows the disconnects open: main + against main − with the plug out."""
    pack, drawn = evidence.pack, evidence.drawn
    what = f"voltage from {inner_end(evidence, drawn.plus)} to {inner_end(evidence, drawn.minus)} with the plug out"
    return Datum(what, pack.name, "multimeter")


def inner_end(evidence: Evidence, main: str) -> str:
    """Return the end of a contactor that looks into the pack, where its other end is a main terminal; else that."""
    plain = evidence.drawn.conductors_switches_open
    devices = evidence.pack.devices.values()
    return next((end for d in devices if d.kind == CONTACTOR for end in _inner(d, main, plain)), main)


def outer_end_datum(evidence: Evidence, device: Device) -> Datum:
    """Return the reading that shows a contactor open: its outer end against the inner side of the other main."""
    plus, minus = evidence.drawn.plus, evidence.drawn.minus
    plain = evidence.drawn.conductors_switches_open
    is_at_plus = any(is_one_place(plain, end, plus) for end in device.ends)
    outer, far = (plus, minus) if is_at_plus else (minus, plus)
    what = f"voltage from {outer} to {inner_end(evidence, far)}, disconnects in and {device.name} open"
    return Datum(what, device.name, "multimeter")


def _inner(device: Device, main: str, plain: Forest) -> Iterator[str]:
    """Yield the end of a contactor that looks into the pack, where its other end is a main terminal."""
    for end, other in (device.ends, device.ends[::-1]):
        if is_one_place(plain, other, main):
            yield end


def _closed(evidence: Evidence, reading: Reading) -> frozenset[str]:
    """Return what is closed in a reading's state; everything where nobody said which it was."""
    state = evidence.pack.states.get(reading.value_v.state)
    return frozenset(state.closed) if state else frozenset(evidence.pack.devices)


def _between_mains(evidence: Evidence, reading: Reading) -> bool:
    drawn, ends = evidence.drawn, (reading.plus, reading.minus)
    return any(
        is_one_place(drawn.conductors, one, drawn.plus) and is_one_place(drawn.conductors, other, drawn.minus)
        for one, other in (ends, ends[::-1])
    )


def _nearest_to_nothing(evidence: Evidence, readings: Iterable[Reading], column: str, beside: str) -> dict[str, Value]:
    found = [(_size(reading), bridged(evidence, reading).least_v) for reading in readings]
    if not found:
        return {}
    size, least_v = min(found, key=lambda one: (not one[0].fit, one[0].high - one[1]))
    return {column: size, beside: least_v}


def _size(reading: Reading) -> Measured:
    """Return a reading without its sign."""
    entry = reading.value_v
    ends = sorted((abs(entry.low), abs(entry.high)))
    low = 0.0 if entry.low <= 0 <= entry.high else ends[0]
    return worked_out(low, ends[1], [entry])
