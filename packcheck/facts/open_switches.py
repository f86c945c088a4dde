"""Facts about readings past an open switch: what shows that a disconnect or a contactor really parts the string."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from packcheck.facts.checked_readings import Checked
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import worked_out
from packcheck.model.pack.model import CHASSIS, Device, Pack
from packcheck.model.record.model import Reading
from packcheck.network.topology import Forest, Step
from packcheck.rules.catalogue import Datum, Measured, Value

CLOSED_SHARE = 0.95
"""Share of the voltage with everything closed that a bridge surely shows: drift and charge; common practice."""
METER_OHM = 10e6
"""Input resistance of a voltmeter that states none [ohm]: the least that 49 CFR 571.305 S7.6.2 lets measure with."""
ISOLATION_OHM_PER_V = 100.0
"""Least isolation of a direct-current circuit [ohm/V]; 49 CFR 571.305 S5.4.3.1(c), and UN R100 (clause from memory)."""
DISCONNECTS = ("service disconnect", "isolator")
CONTACTOR = "main contactor"
GHOST_V = 1.0
"""Two floating parts read so much at most [V], as the rules have it: less than this tells nothing; common practice."""


class Bridged(NamedTuple):
    """The least that a meter shows [V] past a bridge, and its input resistance [ohm]."""

    least_v: float
    meter_ohm: float


def bridged(evidence: Evidence, reading: Reading) -> Bridged:
    """Return the least that a meter would show if what is open in its state were bridged, or leaked too much.

    A meter of input resistance R in series with leakage of r shows U R / (R + r) of the voltage U that stands between
    the two places once everything is closed; r at the least isolation allowed is the most that counts as a bridge.
    Against the chassis, U is what would stand there if the farther of the mains touched it.
    """
    closed = evidence.built_solution.voltage_v(reading.plus, reading.minus)
    if closed is None:
        closed = evidence.drawn.at_rest.voltage_v(reading.plus, reading.minus)
    if closed is None and CHASSIS in (reading.plus, reading.minus):
        closed = _farther_main_v(evidence.drawn, reading.plus if reading.minus == CHASSIS else reading.minus)
    known = evidence.record.instruments.get(reading.value_v.instrument) if evidence.record else None
    meter = (known.input_ohm if known else None) or METER_OHM
    if closed is None:
        return Bridged(0.0, meter)
    leak = ISOLATION_OHM_PER_V * abs(closed)
    return Bridged(CLOSED_SHARE * abs(closed) * meter / (meter + leak), meter)


def _farther_main_v(drawn: Drawn, node: str) -> float | None:
    """Return the larger voltage of a node against the mains with everything closed [V]; None where neither is known."""
    known = [drawn.at_rest.voltage_v(node, main) for main in (drawn.plus, drawn.minus)]
    return max((abs(one) for one in known if one is not None), default=None)


def disconnects_part_mains(drawn: Drawn) -> bool:
    """Return whether, as drawn, the mains are parted by the disconnects alone."""
    disconnects = {device.name for device in drawn.pack.devices.values() if device.kind in DISCONNECTS}
    others = drawn.joins(drawn.pack.devices.keys() - disconnects)
    return bool(disconnects and drawn.between) and not others.joined(drawn.plus, drawn.minus)


class Past(NamedTuple):
    """What the readings past one open switch say: columns of its row, what to record next, the readings that tell.

    ``otherwise``: the build is recorded to join what such a reading lies over in another way than drawn.
    """

    values: dict[str, Value]
    missing: Datum | None = None
    otherwise: bool = False
    told_by: tuple[str, ...] = ()


def past_switch(evidence: Evidence, device: Device, checked: Iterable[Checked]) -> Past:
    """Return what was read past one open disconnect or main contactor.

    A reading tells of it only if it would show another voltage were this very switch closed, and all others as they
    were: by the drawing, and by what is recorded of the build.  What stands between the mains with two plugs out tells
    of neither.
    """
    parts: dict[str, Value] = {
        "parts_mains": parts_mains(evidence.drawn, device), "parts_branch": parts_branch(evidence.drawn, device),
        "parts_outlet": parts_outlet(evidence.drawn, device),
    }  # fmt: skip
    if not any(parts.values()):
        return Past(parts)
    told, first, otherwise = [], "", False
    for reading in (one.reading for one in checked if _would_tell(evidence.drawn, device, one.reading)):
        closed, ends = _closed(evidence.pack, reading), (reading.minus, reading.plus)
        surely, possibly = evidence.joined_with(closed | {device.name})
        if surely.joined(*ends):
            told.append(reading)
            otherwise = otherwise or evidence.joined_with(closed)[0].joined(*ends)
        elif walk := possibly.walk(*ends):
            first = first or next(step.edge.part for step in walk if not step.edge.sure)
        else:
            otherwise = True
    values = {**parts, **_nearest_to_nothing(evidence, told)}
    datum = evidence.fitted_datum_of(first) if first and not told else open_datum(evidence, device)
    return Past(values, datum, otherwise, tuple(reading.name for reading in told))


def way_past(evidence: Evidence, reading: Reading) -> Sequence[Step]:
    """Return the way that one more closed switch would make between two places that nothing joins."""
    closed = _closed(evidence.pack, reading)
    for device in evidence.pack.devices.values():
        if device.name not in closed and device.kind in (*DISCONNECTS, CONTACTOR, "contactor"):
            surely, _ = evidence.joined_with(closed | {device.name})
            if walk := surely.walk(reading.minus, reading.plus):
                return walk
    return ()


def parts_mains(drawn: Drawn, device: Device) -> bool:
    """Return whether a disconnect or a main contactor parts, as drawn, what lies between the mains."""
    if device.kind not in (*DISCONNECTS, CONTACTOR, "contactor") or not drawn.acts_in_path(device):
        return False
    return device.kind not in DISCONNECTS or not drawn.switches_open.joined(*device.ends)


def parts_branch(drawn: Drawn, device: Device) -> bool:
    """Return whether a disconnect of a branch parts, as drawn, what a reading can be taken over with every switch open.

    A branch that nothing feeds before another switch is closed has no such reading.
    """
    return device.kind in DISCONNECTS and _parts_beside_the_path(drawn, device)


def parts_outlet(drawn: Drawn, device: Device) -> bool:
    """Return the same of a contactor next to an outlet that the pack feeds: one that welded leaves its pins live."""
    here, ends = drawn.switches_open, [e for o in drawn.pack.outlets.values() if o.fed_by_pack for e in o.ends.values()]
    if device.kind != "contactor" or not any(is_one_place(here, one, end) for one in ends for end in device.ends):
        return False
    return _parts_beside_the_path(drawn, device)


def _parts_beside_the_path(drawn: Drawn, device: Device) -> bool:
    if drawn.acts_in_path(device) or not drawn.acts_in_branch(device) or drawn.switches_open.joined(*device.ends):
        return False
    return _furthest(drawn, device).volts > GHOST_V


def is_at_a_main(drawn: Drawn, device: Device) -> bool:
    """Return whether conductors alone join an end of a device to a main terminal: a contactor in a string has none."""
    plain, mains = drawn.conductors_switches_open, (drawn.plus, drawn.minus)
    return any(is_one_place(plain, end, main) for end in device.ends for main in mains)


def is_main_contactor(drawn: Drawn, device: Device) -> bool:
    """Return whether a device is a main contactor by its kind, or a contactor drawn in the path of the mains."""
    return device.kind == CONTACTOR or (device.kind == "contactor" and drawn.acts_in_path(device))


def _would_tell(drawn: Drawn, device: Device, reading: Reading) -> bool:
    """Return whether a reading, as drawn, would show a voltage if an open switch were closed, and floats else."""
    closed = _closed(drawn.pack, reading)
    if device.name in closed or drawn.joins(closed).joined(reading.plus, reading.minus):
        return False
    if not drawn.joins(closed | {device.name}).joined(reading.plus, reading.minus):
        return False
    walk = drawn.joined_with(closed | {device.name}).walk(reading.minus, reading.plus) or ()
    volts = sum(edge.emf_v if forward else -edge.emf_v for edge, forward in walk)
    return CLOSED_SHARE * abs(volts) > GHOST_V


def is_one_place(plain: Forest, a: str, b: str) -> bool:
    """Return whether conductors alone join two nodes, or they are one: a bare post may be the main terminal itself."""
    return a == b or plain.joined(a, b)


def open_datum(evidence: Evidence, device: Device) -> Datum:
    """Return the reading that shows a switch open."""
    if is_main_contactor(evidence.drawn, device) and is_at_a_main(evidence.drawn, device):
        return outer_end_datum(evidence, device)
    plugs = [one for one in evidence.pack.devices.values() if one.kind in DISCONNECTS]
    when = "with the plug out" if len(plugs) == 1 else "with every disconnect open"
    plus, minus = ends_past(evidence, device)
    return Datum(f"voltage from {plus} to {minus} {when}", device.name, "multimeter")


def ends_past(evidence: Evidence, device: Device) -> tuple[str, str]:
    """Return the two places furthest apart that a switch alone parts while every switch is open, + first.

    Of places at one potential the inner end of a main comes first, then the end of a device.
    """
    mains = [inner_end(evidence, evidence.drawn.plus), inner_end(evidence, evidence.drawn.minus)]
    furthest = _furthest(evidence.drawn, device, mains)
    return furthest.plus, furthest.minus


class _Furthest(NamedTuple):
    """The voltage [V] that stands between two places with one switch closed and every other one open, and these."""

    volts: float
    plus: str
    minus: str


def _furthest(drawn: Drawn, device: Device, first: Sequence[str] = ()) -> _Furthest:
    """Return the same; of places at one potential ``first`` come first, and a branch is looked at either way round."""
    rises = drawn.forwards.get(device.name)
    ways = [device.ends, device.ends[::-1]] if rises is None else [device.ends if rises else device.ends[::-1]]
    usual = [*first, *(end for one in drawn.pack.devices.values() if one is not device for end in one.ends)]
    rank = {node: number for number, node in reversed([*enumerate(usual)])}
    here, potential = drawn.switches_open, drawn.potentials_switches_open

    def furthest(end: str, sign: float) -> tuple[float, str]:
        """Return how far [V] above the end, or below it, the furthest place of its island stands, and that place."""
        island = drawn.places_switches_open.get(here.root.get(end, end)) or [end]
        best = max(sign * potential.get(node, 0.0) for node in island)
        there = [node for node in island if sign * potential.get(node, 0.0) > best - 1e-9]
        return best - sign * potential.get(end, 0.0), min(there, key=lambda node: rank.get(node, len(rank)))

    found = []
    for low, high in ways:
        (above, plus), (below, minus) = furthest(high, 1.0), furthest(low, -1.0)
        found.append(_Furthest(above + below, plus, minus))
    return max(found, key=lambda one: one.volts)


def inner_end(evidence: Evidence, main: str) -> str:
    """Return the end of a contactor that looks into the pack, where its other end is a main terminal; else that."""
    plain = evidence.drawn.conductors_switches_open
    devices = evidence.pack.devices.values()
    return next((end for d in devices if is_main_contactor(evidence.drawn, d) for end in _inner(d, main, plain)), main)


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


def _closed(pack: Pack, reading: Reading) -> frozenset[str]:
    """Return what is closed in a reading's state; everything where nobody said which it was."""
    state = pack.states.get(reading.value_v.state)
    return frozenset(state.closed) if state else frozenset(pack.devices)


def _nearest_to_nothing(evidence: Evidence, readings: Iterable[Reading]) -> dict[str, Value]:
    """Return the reading nearest to nothing; each is judged by itself among the readings."""
    found = [(_size(reading), bridged(evidence, reading).least_v) for reading in readings]
    if not found:
        return {}
    size, least_v = min(found, key=lambda one: (not one[0].fit, one[0].high - one[1]))
    return {"open_read_v": size, "open_bridged_v": least_v}


def _size(reading: Reading) -> Measured:
    """Return a reading without its sign."""
    entry = reading.value_v
    ends = sorted((abs(entry.low), abs(entry.high)))
    low = 0.0 if entry.low <= 0 <= entry.high else ends[0]
    return worked_out(low, ends[1], [entry])
