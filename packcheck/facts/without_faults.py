"""What faults on record do to the numbers of other facts, taken out: whatever is then still wrong is a second fault."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from statistics import median

from packcheck.facts.checked_readings import Checked, check_readings
from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.of_readings import expectations
from packcheck.facts.slips_of_the_pen import shifted_into
from packcheck.model.pack.types import ModuleType
from packcheck.model.record.model import FittedModule
from packcheck.physics.cells import chemistry_named
from packcheck.rules.catalogue import Measured, Value, Without


def without_contradictions(
    evidence: Evidence, checked: Sequence[Checked], confirmed: Confirmed
) -> Mapping[str, tuple[Without, ...]]:
    """Return for each reading what it would be without the modules that the record itself shows to be wrong there.

    The network is solved once more with all whose sign contradicts the recorded facing turned round, as their signs
    show, and the decimal point of every rest voltage that slipped put right.  A reading that fits then follows from
    those of them between its leads.
    """
    turned = {**_slipped(evidence), **_contradicted(evidence, confirmed)}
    if not turned or evidence.record is None:
        return {}
    modules = {**evidence.record.modules, **turned}
    shown = check_readings(replace(evidence, record=replace(evidence.record, modules=modules)))
    found = {}
    for one, other in zip(checked, shown, strict=True):
        parts = _beside(evidence, one) & turned.keys()
        if parts and other.difference is not None:
            found[one.reading.name] = (Without(frozenset(parts), expectations(other)),)
    return found


def _contradicted(evidence: Evidence, confirmed: Confirmed) -> dict[str, FittedModule]:
    """Return the modules that a reading between their own posts shows turned, as it shows them."""
    found: dict[str, FittedModule] = {}
    for name, module in evidence.record.modules.items() if evidence.record else ():
        position = evidence.pack.positions.get(name)
        shown = confirmed.plus_of(position) if position else None
        if shown and module.plus is not None and shown != module.plus:
            found[name] = replace(module, plus=shown)
    return found


def _slipped(evidence: Evidence) -> dict[str, FittedModule]:
    """Return the modules whose rest voltage is a slip of point or sign, with the number as it belongs."""
    found: dict[str, FittedModule] = {}
    for name, module in evidence.record.modules.items() if evidence.record else ():
        if name in evidence.pack.positions and (entry := module.rest_v):
            window = evidence.pack.module_type_at(name).rest_v
            factor = shifted_into(entry.value, window.low, window.high)
            if factor != 1.0:
                low, high = sorted((entry.low * factor, entry.high * factor))
                value = entry.value * factor
                found[name] = replace(module, rest_v=entry._replace(low=low, high=high, value=value))
    return found


def _beside(evidence: Evidence, one: Checked) -> set[str]:
    """Return the modules between a reading's leads, with those in parallel to them."""
    groups, positions = evidence.pack.groups, evidence.pack.positions
    return {member for edge in one.modules for member in groups[positions[edge.part].group]}


def without_other_type(name: str, planned: ModuleType, fitted: ModuleType | None) -> tuple[Without, ...]:
    """Return what a module's row would be if its own type stood in the plan; nothing where that is unknown or so."""
    if fitted is None or fitted == planned:
        return ()
    chemistry = chemistry_named(fitted.chemistry)
    values: dict[str, Value] = {"rest_low_v": fitted.rest_v.low, "rest_high_v": fitted.rest_v.high}
    if chemistry:
        values |= {"copper_at_risk": chemistry.copper, "lead_acid": chemistry.name == "lead-acid"}
    return (Without(frozenset({name}), values),)


def without_faults_in_the_path(evidence: Evidence, read: Value, predicted: Value) -> tuple[Without, ...]:
    """Return what would be read between the mains if every module and conductor were as drawn."""
    if not isinstance(read, Measured) or not isinstance(predicted, Measured) or not evidence.record:
        return ()
    drawn = evidence.drawn.at_rest.voltage_v(evidence.drawn.plus, evidence.drawn.minus)
    if drawn is None:
        return ()
    pack, by = evidence.pack, drawn - (predicted.low + predicted.high) / 2
    parts = {name for name, m in evidence.record.modules.items() if m.plus != pack.positions[name].plus}
    parts |= {edge.part for edge in evidence.built_edges if edge.kind == "joint" and not edge.as_drawn}
    moved = read._replace(low=read.low + by, high=read.high + by)
    return (Without(frozenset(parts), {"mains_read_v": moved}),)


def as_planned(evidence: Evidence, positions: Sequence[str]) -> tuple[frozenset[str], list[Measured | None]]:
    """Return which of some modules are not those drawn, and what each would rest at, planned − to planned +.

    One turned round is taken as if it stood as drawn; one that is missing, or of another type, as the middle one of
    the others that are of the type drawn.
    """
    modules, faulty, volts = evidence.record.modules if evidence.record else {}, set(), list[Measured | None]()
    for name in positions:
        module, drawn = modules.get(name, FittedModule(name)), evidence.pack.positions[name]
        rest = measured(module.rest_v)
        other = module.fitted is False or (module.type is not None and module.type != drawn.module_type)
        if other or (module.plus is not None and module.plus != drawn.plus):
            faulty.add(name)
        volts.append(_middle_of_its_type(evidence, name) if other else rest)
    return frozenset(faulty), volts


def _middle_of_its_type(evidence: Evidence, position: str) -> Measured | None:
    drawn, record = evidence.pack.positions[position].module_type, evidence.record
    like = [m.rest_v for m in record.modules.values() if m.rest_v and m.fitted and m.type == drawn] if record else []
    middle = median(entry.value for entry in like) if like else None
    return None if middle is None else worked_out(middle, middle, like)
