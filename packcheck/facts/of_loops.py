"""Facts about rings that voltage drives a current around: those of the drawing, and those of the build."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import SHORT, Evidence
from packcheck.facts.measured_values import worked_out
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.network.graph import Edge
from packcheck.network.rings import Ring, driven_rings, worst_of_each
from packcheck.network.solution import solve
from packcheck.rules.catalogue import Row, Value

FEW = 3
"""A loop of so many conductors or less is told by all of them."""
LOAD_OHM = 0.5
"""A device of this resistance or more is a load, which limits a current by itself [ohm]; common practice, no source."""


def drawn_loop_rows(drawn: Drawn) -> Iterator[Row]:
    """Yield one row for each part of the layout in which a ring is driven: with every switch open, and closed."""
    if not drawn.loops_through_modules:
        return
    pack = drawn.pack
    for ring, flows_now in _rings_of(pack, drawn.network.closed(()), drawn.edges):
        values, name = _common(pack, ring, flows_now), _name(pack, ring)
        values |= {"driving_v": ring.driving_v}
        written = next((w for part in (*ring.conductors, *ring.modules) if (w := pack.origins.get(part))), None)
        yield Row(name, values, {}, frozenset((*ring.modules, *ring.conductors)), _place(pack, None, ring), "", written)


def loop_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each ring of the build that is driven, or that a part not as drawn closes."""
    record = evidence.record
    if record is None or (evidence.joins_as_drawn and not evidence.drawn.loops):
        return
    for ring, flows_now in _rings_of(evidence.pack, evidence.built.closed(()), evidence.built_edges):
        if flows_now or ring.odd:
            yield _built_row(evidence, record, ring, flows_now)


def _rings_of(pack: Pack, switches_open: Sequence[Edge], all_closed: Sequence[Edge]) -> Iterator[tuple[Ring, bool]]:
    """Yield the rings driven with every switch open, then those that closing switches adds; True for the first."""
    now = driven_rings(_without_loads(pack, switches_open), _currents)
    seen = {ring.steps[0].edge.name for ring in now}
    later = driven_rings(_without_loads(pack, all_closed), _currents)
    yield from ((ring, True) for ring in worst_of_each(now))
    yield from ((ring, False) for ring in worst_of_each([r for r in later if r.steps[0].edge.name not in seen]))


def _currents(edges: Sequence[Edge]) -> Sequence[float]:
    return solve(edges).currents


def _without_loads(pack: Pack, edges: Sequence[Edge]) -> list[Edge]:
    """Return the edges that do not limit a current by themselves: a heater across the mains is no short."""
    ohm = {name: device.resistance_ohm or 0.0 for name, device in pack.devices.items()}
    loads = {name for name, device in pack.devices.items() if device.is_load or ohm[name] >= LOAD_OHM}
    return [edge for edge in edges if edge.part not in loads]


def _built_row(evidence: Evidence, record: Record, ring: Ring, flows_now: bool) -> Row:
    known = all(_is_known(record, edge) for edge, _ in ring.steps if edge.kind == "module")
    rests = [m.rest_v for name in ring.modules if (m := record.modules.get(name)) and m.rest_v]
    low, high = max(0.0, ring.driving_v - ring.half_v), ring.driving_v + ring.half_v
    values = _common(evidence.pack, ring, flows_now)
    values |= {
        "driving_v": worked_out(low, high, rests) if known else None,
        "current_a": ring.current_a if known else None,
        "power_w": ring.power_w if known else None,
    }
    name = _name(evidence.pack, ring)
    origins = [record.conductors[c].origin for c in (*ring.odd, *ring.conductors) if c in record.conductors]
    origins += [record.modules[m].origin for m in ring.odd if m in record.modules]
    origin = next((origin for origin in origins if origin), None)
    touched = frozenset((*(ring.odd or (*ring.modules, *ring.conductors)), SHORT))
    return Row(name, values, {}, touched, _place(evidence.pack, record, ring), "", origin)


def _is_known(record: Record, edge: Edge) -> bool:
    """Return whether the sign of a module's voltage was recorded; its size is the layout's where nobody read it."""
    module = record.modules.get(edge.part)
    return edge.emf_known or (module is not None and module.plus is not None)


def _name(pack: Pack, ring: Ring) -> str:
    closed_by = _closed_by(pack, ring)
    return f"loop of {list_places(ring.modules)}" + (f" closed by {list_places(closed_by)}" if closed_by else "")


def _closed_by(pack: Pack, ring: Ring) -> tuple[str, ...]:
    """Return the conductors to look at: those not as drawn, else all of a short loop, else those with most landings."""
    odd = tuple(name for name in ring.odd if name in ring.conductors)
    if odd or len(ring.conductors) <= FEW:
        return odd or ring.conductors
    return tuple(name for name in ring.conductors if len(pack.conductors[name].lands) > 2)[:FEW]


def _place(pack: Pack, record: Record | None, ring: Ring) -> str:
    """Return the loop, and where the conductors that close it land."""
    told = []
    for name in _closed_by(pack, ring):
        fitted = record.conductors.get(name) if record else None
        planned = pack.conductors.get(name)
        lands = fitted.lands if fitted and fitted.lands else [x.node for x in planned.lands] if planned else []
        told.append(f"{name} on {list_places(lands)}")
    return ", ".join((f"loop of {list_places(ring.modules)}", *told))


def _common(pack: Pack, ring: Ring, flows_now: bool) -> dict[str, Value]:
    switches = [
        s.edge.part for s in ring.steps if s.edge.kind == "device" and not pack.devices[s.edge.part].always_closed
    ]
    return {
        "loop": _name(pack, ring),
        "closed_by": list_places(_closed_by(pack, ring)),
        "through": list_places(ring.modules),
        "modules": len(ring.modules),
        "flows_now": flows_now,
        "flows": "it flows with every switch open" if flows_now else f"it flows with {list_places(switches)} closed",
        "module_v": ring.module_v,
        "resistance_ohm": ring.resistance_ohm,
        "current_a": ring.current_a,
        "power_w": ring.power_w,
    }
