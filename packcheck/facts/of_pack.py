"""Facts about the pack as a whole: one row."""

from __future__ import annotations

from math import inf

from packcheck.facts.checked_readings import rest_datum
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.of_drawn_covers import uncovered, vented
from packcheck.facts.of_drawn_taps import harnessed, unsensed
from packcheck.facts.of_isolation import is_tested
from packcheck.facts.of_places import clamped_stack
from packcheck.facts.open_switches import DISCONNECTS, is_one_place
from packcheck.facts.without_faults import without_faults_in_the_path
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import CHASSIS, Pack
from packcheck.model.pack.types import Bounds
from packcheck.model.record.model import Reading
from packcheck.network.topology import Forest
from packcheck.rules.catalogue import Datum, Measured, Row, Value

HASH_SHOWN = 12
"""How many digits of a SHA-256 are enough for people to tell two files apart."""


def pack_row(evidence: Evidence) -> Row:
    """Return the one row about the whole pack."""
    values = _drawn(evidence)
    values |= _built(evidence) if evidence.record else {}
    missing = {"path": evidence.fitted_datum, "mains_v": _mains_datum(evidence)} if evidence.record else {}
    name = evidence.pack.name
    without = without_faults_in_the_path(evidence, values.get("mains_read_v"), values.get("mains_v"))
    reckoned = frozenset({"mains_read_v"} if without else ())
    return Row(name, values, missing, place=f"pack {name}", reckoned=reckoned, without=without)


def _drawn(evidence: Evidence) -> dict[str, Value]:
    pack, clamp = evidence.pack, evidence.pack.clamp
    between = evidence.drawn.between
    kinds = {device.kind for device in pack.devices.values()}
    chemistries = positions_by_chemistry(pack)
    unused = [p.name for p in pack.positions.values() if not {p.plus_place, p.minus_place} <= between]
    return {
        "pack": pack.name,
        "modules": len(pack.positions),
        "highest_v": evidence.drawn.highest_v,
        "prospective_a": evidence.drawn.short_current_a,
        "layout_path": bool(between),
        "layout_uses_every_module": not unused,
        "layout_unused": list_places(unused),
        "layout_loops_only_in_groups": evidence.drawn.loops_through_modules == _loops_of_groups(pack),
        "layout_modules_aid": not evidence.drawn.against,
        "layout_against": list_places(evidence.drawn.against),
        "layout_chemistries": len(chemistries),
        "layout_chemistry_names": "; ".join(f"{name} at {list_places(at)}" for name, at in chemistries.items()),
        "has_disconnect": not kinds.isdisjoint(DISCONNECTS),
        "has_fuse": _has_fuse(evidence.drawn),
        **_precharge(evidence.drawn),
        "assumed_numbers": len(pack.assumed_lines),
        "assumed_lines": list_places(map(str, pack.assumed_lines)) if pack.assumed_lines else "none",
        "isolation_asked": pack.insulation.least_ohm_per_v is not None or pack.insulation.floor_ohm is not None,
        "isolation_ohm_per_v": pack.insulation.least_ohm_per_v or 0.0,
        **_switched(evidence.drawn),
        "chassis_bonded": evidence.drawn.forest.joined(CHASSIS, evidence.drawn.minus),
        "idle_conductors": list_places(name for name in pack.conductors if name not in evidence.drawn.served),
        "conductors_lead_on": evidence.drawn.served.issuperset(pack.conductors) or not between,
        "tapped": len(pack.taps) > 1,
        "unsensed": len(missed := unsensed(evidence.drawn)),
        "unsensed_names": list_places(missed) if missed else "none",
        **harnessed(pack),
        "has_clamp": clamp is not None,
        **_band("length", "mm", clamp.length_mm if clamp else Bounds()),
        **_band("torque", "n_m", clamp.torque_n_m if clamp else Bounds()),
        **clamped_stack(pack),
        **vented(pack),
        **uncovered(pack),
    }


def _has_fuse(drawn: Drawn) -> bool:
    """Return whether a fuse lies in the path between the mains; any fuse counts where nothing joins them."""
    fuses = [device for device in drawn.pack.devices.values() if device.kind == "fuse"]
    return any(drawn.acts_in_path(fuse) for fuse in fuses) if drawn.between else bool(fuses)


def _switched(drawn: Drawn) -> dict[str, Value]:
    """Return whether the path between the mains can be opened, and whether some state of the layout closes it."""
    states = drawn.pack.states.values()
    closed = [state for state in states if drawn.joins(state.closed).joined(drawn.minus, drawn.plus)]
    switched = bool(drawn.between) and not drawn.joins(frozenset()).joined(drawn.minus, drawn.plus)
    return {"switched": switched, "states": len(states), "closing_states": len(closed)}


def _precharge(drawn: Drawn) -> dict[str, Value]:
    """Return the contactors that part the path, and whether anything drawn charges past one of them slowly."""
    devices = drawn.pack.devices
    parting = [d for d in devices.values() if d.kind in ("main contactor", "contactor") and drawn.acts_in_path(d)]
    past = {load for contactor in parting for load in drawn.past_loads.past(contactor.name, contactor.ends)}
    resistors = any(devices[load].kind == "precharge resistor" for load in past)
    return {
        "contactors": list_places(contactor.name for contactor in parting),
        "contactors_in_path": len(parting),
        "has_precharge": resistors or any(device.kind == "precharge contactor" for device in devices.values()),
    }


def _band(what: str, unit: str, bounds: Bounds) -> dict[str, Value]:
    """Return the ends of a band of the clamp; one that the layout leaves open is 0, or without end."""
    low, high = bounds.low, bounds.high
    stated = low is not None or high is not None
    return {
        f"clamp_{what}_stated": stated,
        f"clamp_{what}_bare": not stated and bounds.aim is not None,
        f"clamp_{what}_low_{unit}": 0.0 if stated and low is None else low,
        f"clamp_{what}_high_{unit}": inf if stated and high is None else high,
    }


def positions_by_chemistry(pack: Pack) -> dict[str, list[str]]:
    """Return the positions of each chemistry the layout has."""
    found: dict[str, list[str]] = {}
    for position in pack.positions.values():
        found.setdefault(pack.module_types[position.module_type].chemistry, []).append(position.name)
    return found


def _loops_of_groups(pack: Pack) -> int:
    """Return how many independent loops parallel groups and parallel strings make."""
    in_groups = sum(len(members) - 1 for members in pack.groups.values())
    return in_groups + sum(len(bank) - 1 for bank in pack.parallel_strings)


def _built(evidence: Evidence) -> dict[str, Value]:
    record = evidence.record
    assert record is not None
    compression = record.compression
    surely, possibly = bool(evidence.surely_between), bool(evidence.possibly_between)
    return {
        "layout_hash_recorded": bool(record.layout_sha256),
        "layout_unchanged": record.layout_sha256 == evidence.pack.sha256,
        "layout_sha256": evidence.pack.sha256[:HASH_SHOWN],
        "recorded_sha256": record.layout_sha256[:HASH_SHOWN],
        "path": True if surely else None if possibly else False,
        "extra_ruled_out": True if record.extra_none else None,
        "mains_v": _mains_v(evidence),
        "mains_read_v": _mains_read(evidence),
        "clamped": True if compression.at else None,
        "tools_counted": True if record.tools else None,
        "isolation_tested": True if is_tested(evidence) else None,
        "clamp_length_mm": measured(compression.length_mm),
        "clamp_torque_n_m": measured(compression.torque_n_m),
    }


def _mains_v(evidence: Evidence) -> Measured | None:
    """Return what the recorded modules give between the mains, everything closed."""
    solution = evidence.built_solution
    if not evidence.built.is_certain or not evidence.surely_between or not evidence.record:
        return None
    unknown = [edge for edge in evidence.built_edges if edge.kind == "module" and not edge.emf_known]
    if unknown:
        return None
    middle = solution.voltage_v(evidence.drawn.plus, evidence.drawn.minus) or 0.0
    half = sum(edge.half_v for edge in evidence.built_edges)
    rests = [m.rest_v for m in evidence.record.modules.values() if m.rest_v]
    return worked_out(middle - half, middle + half, rests)


def _mains_datum(evidence: Evidence) -> Datum:
    unknown = [e.part for e in evidence.built.edges if e.kind == "module" and not e.emf_known]
    return rest_datum(unknown) if unknown else evidence.fitted_datum


def _mains_read(evidence: Evidence) -> Measured | None:
    """Return a reading between the battery sides of the mains, in a state that joins them, if one was taken."""
    record, pack = evidence.record, evidence.pack
    plain = evidence.drawn.conductors
    for reading in record.readings if record else ():
        forward = _spans(plain, reading, evidence)
        state = pack.states.get(reading.value_v.state)
        if not forward or state is None:
            continue
        if evidence.drawn.joins(state.closed).joined(reading.plus, reading.minus):
            entry = reading.value_v
            low, high = (entry.low, entry.high) if forward > 0 else (-entry.high, -entry.low)
            return worked_out(low, high, [entry])
    return None


def _spans(plain: Forest, reading: Reading, evidence: Evidence) -> int:
    """Return 1 when a reading runs from main − to main +, −1 the other way round, 0 when it does not."""
    plus, minus = evidence.drawn.plus, evidence.drawn.minus
    if is_one_place(plain, reading.plus, plus) and is_one_place(plain, reading.minus, minus):
        return 1
    return -1 if is_one_place(plain, reading.minus, plus) and is_one_place(plain, reading.plus, minus) else 0
