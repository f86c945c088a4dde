"""Voltages of a true build through a real meter: at rest, under a load, and against the chassis."""

from __future__ import annotations

from collections.abc import Collection
from datetime import timedelta
from typing import Any

from packcheck.simulate.build import CHASSIS, Build
from packcheck.simulate.circuit import Circuit, Element, circuit_of
from packcheck.simulate.elements import elements, tap_node
from packcheck.simulate.meters import Figure
from packcheck.simulate.reading_plan import CONTACTOR, inner_end
from packcheck.simulate.scribe import Scribe, stamp

Data = dict[str, Any]
METER_OHM = 10e6
BACKGROUND_OHM = 60e6
"""What a dry, clean pack has from each pole to its chassis [ohm]; common practice."""
LOAD_HOURS = 1.0
"""Hours that a load is drawn for before it is read, in which nothing but resistances takes voltage."""


def node_of(build: Build, word: str) -> str:
    """Return the node where a lead of the meter goes: a tap's pin, or a place."""
    return tap_node(build, word) if word in build.taps else word


def volts_between(build: Build, closed: Collection[str], plus: str, minus: str, circuit: Circuit) -> float:
    """Return what a meter of 10 MΩ shows between two words of the layout [V]; next to nothing where nothing joins."""
    one, other = node_of(build, plus), node_of(build, minus)
    if build.tap_ohm or build.leaks:
        parts = [*elements(build, closed), Element("meter", one, other, METER_OHM)]
        return circuit_of(tuple(parts)).volts(one, other) or 0.0
    return circuit.volts(one, other) or 0.0


def reading_rows(scribe: Scribe) -> Data:
    """Return the table of readings at rest: neighbours and ends with every switch open, then as switches close."""
    build, plan, pack = scribe.build, scribe.bench.plan, scribe.pack
    circuits = {state: circuit_of(tuple(elements(build, pack.states[state].closed))) for state in plan.states}
    first = plan.open_state
    rows: Data = {
        "columns": ["between", "and", "value V"],
        "taken": {"at": stamp(scribe.when.read[first]), "by": scribe.team.reader, "with": "V1", "state": first},
    }
    for one in (*plan.readings, *(plan.across if "across open" in scribe.wanted else ())):
        closed = pack.states[one.state].closed
        true = volts_between(build, closed, one.plus, one.minus, circuits[one.state])
        value = scribe.team.volts.shows(true, scribe.random(f"reading {one.name}"))
        if one.state == first:
            rows[one.name] = [one.plus, one.minus, value]
        else:
            rows[one.name] = {"between": one.plus, "and": one.minus, "value": Figure(f"{value} V"), "state": one.state,
                              "at": stamp(scribe.when.read[one.state])}  # fmt: skip
    return rows


def load_rows(scribe: Scribe) -> Data:
    """Return the blocks once more with a load drawn from the mains; none where that was not read."""
    pack, build, plan = scribe.pack, scribe.build, scribe.bench.plan
    live = max(pack.states, key=lambda name: len(pack.states[name].closed))
    if "load" not in scribe.wanted or not any(pack.devices[d].kind == CONTACTOR for d in pack.states[live].closed):
        return {}
    amperes = load_a(build)
    closed = pack.states[live].closed
    out, back = pack.outside["main+"], pack.outside["main-"]
    circuit = Circuit(elements(build, closed), drawn_a=(out, back, amperes))
    if not circuit.joined(out, back):
        return {}
    at = stamp(scribe.when.read[plan.whole_state] + timedelta(hours=LOAD_HOURS))
    rows: Data = {}
    for one in plan.readings:
        if one.name.startswith("block "):
            true = circuit.volts(node_of(build, one.plus), node_of(build, one.minus)) or 0.0
            value = scribe.team.volts.shows(true, scribe.random(f"loaded {one.name}"))
            rows[f"{one.name} loaded"] = {"between": one.plus, "and": one.minus, "value": Figure(f"{value} V"),
                                          "load": Figure(f"{amperes:g} A"), "state": live, "at": at}  # fmt: skip
    return rows


def load_a(build: Build) -> float:
    """Return the load that is drawn [A]: what sags a block by some hundredths, at most a quarter of the fuse."""
    kind = next(iter(build.pack.module_types.values()))
    wished = 0.025 * kind.nominal_v / kind.resistance_ohm if kind.resistance_ohm else 20.0
    fuses = [d.rating_a for d in build.pack.devices.values() if d.kind == "fuse" and d.rating_a]
    return float(max(1, round(min([wished, *(0.25 * rating for rating in fuses)]))))


def isolation_rows(scribe: Scribe) -> Data:
    """Return the isolation tests: the whole pack between its poles; none where that was not tested.

    A pack whose poles do not hang together is tested like any other: the meter then shows next to nothing between them.
    """
    if "isolation" not in scribe.wanted or any(d.kind == "bond" for d in scribe.pack.devices.values()):
        return {}
    plus, minus = (inner_end(scribe.pack, end) for end in ("main+", "main-"))
    state = scribe.bench.plan.whole_state
    with_ = {"poles": "V1", "minus to chassis": "V1", "plus to chassis": "V1", "resistor in": "V1", "resistor": "D1"}
    at = stamp(scribe.when.read[state] + timedelta(minutes=12))
    row = _isolation(scribe, state, plus, minus)
    return {"whole": {"minus at": minus, "plus at": plus, **row, "state": state, "with": with_, "at": at,
                      "by": scribe.team.reader}}  # fmt: skip


def _isolation(scribe: Scribe, state: str, plus: str, minus: str) -> Data:
    pack, volts = scribe.pack, scribe.team.volts
    circuit = circuit_of(tuple(elements(scribe.build, pack.states[state].closed)))
    joined = circuit.volts(plus, minus)
    usual = joined or circuit_of(tuple(elements(scribe.bench.build(scribe.seed), pack.states[state].closed))).volts(
        plus, minus
    )
    resistor = round((pack.insulation.least_ohm_per_v or 100.0) * abs(usual or 0.0), -2)
    parts = [*elements(scribe.build, pack.states[state].closed), Element("ground +", plus, CHASSIS, BACKGROUND_OHM),
             Element("ground -", minus, CHASSIS, BACKGROUND_OHM)]  # fmt: skip

    def reads(one: str, other: str, *more: Element) -> float:
        return circuit_of((*parts, Element("meter", one, other, METER_OHM), *more)).volts(one, other) or 0.0

    poles = reads(plus, minus) if joined is None else joined
    to_minus, to_plus = reads(CHASSIS, minus), reads(plus, CHASSIS)
    at_minus = abs(to_minus) >= abs(to_plus)
    pair = (CHASSIS, minus) if at_minus else (plus, CHASSIS)
    beside = Element("resistor", pair[0], pair[1], resistor)
    random = scribe.random("isolation")
    return {
        "poles": _v(volts.shows(poles, random)),
        "minus to chassis": _v(volts.shows(to_minus, random)),
        "plus to chassis": _v(volts.shows(to_plus, random)),
        "resistor": Figure(f"{resistor / 1e3:g} kΩ"),
        "resistor in": _v(volts.shows(reads(*pair, beside), random)),
    }


def _v(value: Figure) -> Figure:
    return Figure(f"{value} V")
