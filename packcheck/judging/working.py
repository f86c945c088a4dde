"""The working behind computed numbers: formula, numbers put in, result; of the facts that the rules judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from packcheck.exposure.exposed import Exposure
from packcheck.facts.checked_readings import Checked, check_readings
from packcheck.facts.drawn import drawn
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_gaps import find_gaps
from packcheck.facts.of_groups import signed_interval
from packcheck.facts.of_joints import middle_nut_factor
from packcheck.model.pack.model import Pack
from packcheck.model.pack.wiring import wire_diameter_mm
from packcheck.model.record.model import Record
from packcheck.network.circuit import resistances_between
from packcheck.network.graph import branches
from packcheck.network.stress import SHORT_OHM
from packcheck.physics import formulas
from packcheck.physics.bolted_joints import (
    COARSE_PITCH_MM,
    PROOF_STRESS_MPA,
    coarse_stress_area_mm2,
    thread_diameter_mm,
)
from packcheck.physics.conductors import fusing_current_a
from packcheck.physics.formulas import Formula
from packcheck.physics.parallel_sources import greatest_surge
from packcheck.rules.catalogue import Facts, Row

MOST_GAPS = 12
"""How many kinds of gap are worked out on a page, those with the highest voltage first."""


class Number(NamedTuple):
    """A number with its symbol, its unit ("" for none) and what it is."""

    symbol: str
    value: float
    unit: str
    meaning: str = ""


class Working(NamedTuple):
    """One computed number: what it is of, by which formula, from which numbers."""

    about: str
    formula: Formula
    given: tuple[Number, ...]
    result: Number


def workings_of(
    pack: Pack, record: Record | None, facts: Facts, exposures: Sequence[Exposure] = ()
) -> Iterator[Working]:
    """Yield the working of every computed number that a page shows.

    Parameters
    ----------
    pack, record : what was judged.
    facts : the facts about it, of which the results are taken.
    exposures : the exposure at each step of the work.
    """
    yield from _mains(pack)
    yield from _steps(exposures)
    yield from _loops((*facts.get("loop", ()), *facts.get("drawn_loop", ())))
    if record:
        evidence = Evidence(pack, record)
        yield from _surges(evidence)
        yield from _readings(check_readings(evidence))
        yield from _accuracies(record)
        yield from _tools(record)
    yield from _gaps(pack, facts.get("gap", ()))
    yield from _joint_types(pack, facts.get("joint_type", ()))
    yield from _sense_wire(pack)


def _mains(pack: Pack) -> Iterator[Working]:
    """Yield the prospective current of a short between the mains, and the resistance that limits it."""
    layout = drawn(pack)
    volts, amperes = layout.highest_v, layout.short_current_a
    if not volts or amperes is None:
        return
    about, walk = "a short between the mains", layout.forest.walk(layout.minus, layout.plus) or []
    ohm = float(resistances_between(branches(layout.edges), [(layout.plus, layout.minus)])[0])
    if layout.loops == 0:
        shares = {kind: sum(s.edge.resistance_ohm for s in walk if s.edge.kind == kind)
                  for kind in ("module", "joint", "device")}  # fmt: skip
        given = [Number(f"R_{kind}s", share, "Ω", f"all {kind}s on the way") for kind, share in shares.items()]
        yield Working(about, formulas.PATH_RESISTANCE, tuple(given), Number("R", ohm, "Ω"))
    source = (Number("E", abs(volts), "V", "every module at its highest"), Number("R", ohm, "Ω"))
    yield _short(about, (*source, Number("R_out", SHORT_OHM, "Ω", "of the short")), abs(amperes))


def _short(about: str, given: tuple[Number, ...], amperes: float) -> Working:
    return Working(about, formulas.SHORT_CIRCUIT, given, Number("I", amperes, "A"))


def _steps(exposures: Iterable[Exposure]) -> Iterator[Working]:
    """Yield current and power of the largest section of each step, bridged end to end, each size once."""
    seen: set[tuple[float, float]] = set()
    for one in exposures:
        across = one.across
        if across is None or (across.highest_v, across.resistance_ohm) in seen:
            continue
        seen.add((across.highest_v, across.resistance_ohm))
        about = f"the largest section at step {one.stage.number}, bridged"
        source = (Number("E", across.highest_v, "V"), Number("R", across.resistance_ohm, "Ω"))
        yield _short(about, (*source, Number("R_out", across.external_ohm, "Ω")), across.current_a)
        yield Working(about, formulas.GREATEST_POWER, source, Number("P", across.power_w, "W"))


def _loops(rows: Iterable[Row]) -> Iterator[Working]:
    """Yield current and heat of each loop that one current runs around."""
    for row in rows:
        volts, ohm, amperes, watts = (_middle(row, name) for name in
                                      ("driving_v", "resistance_ohm", "current_a", "power_w"))  # fmt: skip
        if (
            volts is None
            or ohm is None
            or amperes is None
            or watts is None
            or abs(volts - amperes * ohm) > 1e-6 * volts
        ):
            continue
        current = Number("I", amperes, "A")
        yield Working(row.subject, formulas.LOOP_CURRENT, (Number("V", volts, "V"), Number("R", ohm, "Ω")), current)
        yield Working(row.subject, formulas.LOOP_HEAT, (current, Number("R", ohm, "Ω")), Number("P", watts, "W"))


def _middle(row: Row, column: str) -> float | None:
    value = row.values.get(column)
    if isinstance(value, tuple):
        return (value.low + value.high) / 2
    return float(value) if isinstance(value, int | float) else None


def _surges(evidence: Evidence) -> Iterator[Working]:
    """Yield the greatest current of each parallel group of which every voltage is known."""
    pack = evidence.pack
    for group, members in pack.groups.items():
        volts = [signed_interval(evidence.record, pack, member) for member in members]
        known = [(v.low, v.high) for v in volts if v is not None]
        surge = greatest_surge(known, [pack.module_type_at(member).resistance_ohm for member in members][: len(known)])
        if surge is None or len(known) < len(members):
            continue
        given = (Number("V", surge.volts_v, "V"), Number("V_rest", surge.rest_v, "V"), Number("r", surge.own_ohm, "Ω"),
                 Number("R_rest", surge.rest_ohm, "Ω"))  # fmt: skip
        yield Working(f"group {group}", formulas.SURGE, given, Number("I", surge.current_a, "A", "at most"))


def _readings(checked: Iterable[Checked]) -> Iterator[Working]:
    """Yield the sum behind each expectation where the way between the leads is a plain row of modules."""
    for one in checked:
        steps = [step for step in one.walk or () if step.edge.kind == "module"]
        if one.expected is None or not steps:
            continue
        given = [Number(s.edge.part, s.edge.emf_v if s.forward else -s.edge.emf_v, "V") for s in steps]
        middle = (one.expected.low + one.expected.high) / 2
        if abs(sum(number.value for number in given) - middle) < 1e-9 * (1 + abs(middle)):
            about = f"reading {one.reading.name}, {one.reading.words[0]} against {one.reading.words[1]}"
            yield Working(about, formulas.READING, tuple(given), Number("V", middle, "V"))


def _accuracies(record: Record) -> Iterator[Working]:
    """Yield the uncertainty of the largest voltage that each instrument read."""
    largest: dict[str, tuple[str, float, float, float, float]] = {}
    for reading in record.readings:
        entry = reading.value_v
        half = (entry.high - entry.low) / 2
        if half and abs(entry.value) >= abs(largest.get(entry.instrument, ("", 0.0))[1]):
            largest[entry.instrument] = (reading.name, entry.value, entry.share, entry.own_half, half)
    for instrument, (name, value, share, own, half) in largest.items():
        given = (Number("a", share, ""), Number("x", value, "V"), Number("b", own, "V"))
        yield Working(f"{name}, read with {instrument}", formulas.ACCURACY, given, Number("U", half, "V"))


def _tools(record: Record) -> Iterator[Working]:
    for tool in record.instruments.values():
        if tool.high and "wrench" in (tool.kind or ""):
            low = max(tool.low or 0.0, 0.2 * tool.high)
            given = (Number("T_max", tool.high, "N·m"), Number("T_mark", tool.low or 0.0, "N·m", "lowest mark"))
            yield Working(f"{tool.kind} {tool.name}", formulas.TOOL_RANGE, given, Number("T_low", low, "N·m"))


def _gaps(pack: Pack, rows: Sequence[Row]) -> Iterator[Working]:
    """Yield voltage and creepage of the kinds of gap with the highest voltages."""
    layout, asked = drawn(pack), pack.insulation
    pairs = sorted(zip(find_gaps(layout), rows, strict=True), key=lambda pair: -pair[0].voltage_v)
    for gap, row in pairs[:MOST_GAPS]:
        a, b = (layout.solution.voltage_v(node, layout.minus) for node in gap.nodes)
        if a is not None and b is not None and abs(abs(a - b) - gap.voltage_v) < 1e-9 * (1 + gap.voltage_v):
            given = (Number("V_a", a, "V", "against main −"), Number("V_b", b, "V", "against main −"))
            yield Working(gap.name, formulas.GAP_VOLTAGE, given, Number("V", gap.voltage_v, "V"))
        needed = _middle(row, "creepage_needed_mm")
        if needed is not None:
            what = f"pollution degree {asked.pollution_degree}, material group {asked.material_group}"
            volts = Number("V", gap.voltage_v, "V", what)
            yield Working(gap.name, formulas.CREEPAGE, (volts,), Number("d", needed, "mm"))


def _joint_types(pack: Pack, rows: Iterable[Row]) -> Iterator[Working]:
    """Yield clamp load and proof load of each joint type that has both."""
    for row in rows:
        kind = pack.joint_types[row.subject]
        load, proof, share, torque = (_middle(row, name) for name in (
            "clamp_load_at_high_n", "proof_load_n", "clamp_fraction", "torque_high_n_m"))  # fmt: skip
        diameter, area = thread_diameter_mm(kind.thread), coarse_stress_area_mm2(kind.thread)
        if load is None or proof is None or share is None or torque is None or diameter is None or area is None:
            continue
        about, d, whole = (
            f"joint type {kind.name}, at the most torque",
            Number("d", diameter, "mm"),
            Number("F_p", proof, "N"),
        )
        clamp, stress = Number("F", load, "N"), Number("A", area, "mm²")
        given = (Number("T", torque, "N·m"), Number("K", middle_nut_factor(kind), "", "nut factor"), d)
        yield Working(about, formulas.CLAMP_LOAD, given, clamp)
        yield Working(about, formulas.STRESS_AREA, (d, Number("p", COARSE_PITCH_MM[kind.thread], "mm")), stress)
        strength = Number("S", PROOF_STRESS_MPA[kind.property_class], "MPa", f"class {kind.property_class}")
        yield Working(about, formulas.PROOF_LOAD, (stress, strength), whole)
        yield Working(about, formulas.PROOF_SHARE, (clamp, whole), Number("share", share, ""))


def _sense_wire(pack: Pack) -> Iterator[Working]:
    written = pack.harness.get("wire")
    diameter = wire_diameter_mm(str(written)) if written is not None else None
    if diameter is not None:
        given = (Number("d", diameter, "mm", str(written)),)
        yield Working("a sense wire", formulas.FUSING, given, Number("I", fusing_current_a(diameter), "A"))
