"""Facts about closed loops of the build that the layout does not have: their voltage, resistance, current, power."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.catalogue import Row, Value
from packcheck.facts.evidence import Evidence
from packcheck.places import list_places
from packcheck.topology import Loop, loops_closed_by


def loop_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each loop through a module that a conductor closes where the layout does not have it."""
    if evidence.record is None:
        return
    drawn = [edge for edge in evidence.built_edges if edge.as_drawn]
    odd = [edge for edge in evidence.built_edges if not edge.as_drawn]
    current = dict(zip((edge.name for edge in evidence.built_edges), evidence.built_solution.currents, strict=True))
    for loop in loops_closed_by(drawn, odd):
        if loop.modules:
            yield _loop_row(evidence, loop, abs(float(current[loop.closing.name])))


def _loop_row(evidence: Evidence, loop: Loop, current_a: float) -> Row:
    parts = list(dict.fromkeys(step.edge.part for step in loop.steps))
    conductors = [step.edge.part for step in loop.steps if step.edge.kind == "joint" and not step.edge.as_drawn]
    closed_by = list_places(dict.fromkeys(conductors))
    through = list_places(loop.modules)
    voltage = abs(loop.voltage_v)
    known = all(step.edge.emf_known for step in loop.steps)
    name = f"loop of {through} closed by {closed_by}"
    values: dict[str, Value] = {
        "loop": name,
        "closed_by": closed_by,
        "through": through,
        "certain": True,
        "in_layout": False,
        "modules": len(loop.modules),
        "voltage_v": voltage if known else None,
        "resistance_ohm": loop.resistance_ohm,
        "current_a": current_a if known else None,
        "power_w": voltage * current_a if known else None,
    }
    record = evidence.record
    line = next((record.conductors[c].line for c in conductors if record and c in record.conductors), 0)
    return Row(
        name,
        values,
        {},
        frozenset((*parts, *conductors)),
        f"{closed_by} with {through}",
        "",
        (record.file, line) if record and line else None,
    )
