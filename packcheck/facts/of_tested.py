"""Facts about what a test bench said of each module: capacity and internal resistance, the drawn and its like."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from statistics import median

from packcheck.facts.common import measured
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_readings import fitted_type
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedModule
from packcheck.model.record.remarks import LEAST_PEERS
from packcheck.rules.catalogue import Value


def tested(evidence: Evidence) -> Mapping[str, Mapping[str, Value]]:
    """Return by position what a module's capacity and resistance were, and what they are held against.

    A number is asked for where its row has a cell for it, or where most modules have theirs.  What the drawing leaves
    out stands for itself by the middle of at least five modules alike, and the other way round.
    """
    modules = evidence.record.modules if evidence.record else {}
    capacity = {name: m.capacity_ah for name, m in modules.items() if m.capacity_ah}
    resistance = {name: m.resistance_ohm for name, m in modules.items() if m.resistance_ohm}
    capacities, resistances = _middles(evidence, capacity), _middles(evidence, resistance)
    half = len(evidence.pack.positions) / 2
    found: dict[str, dict[str, Value]] = {}
    for name in evidence.pack.positions:
        module, kind = modules.get(name) or FittedModule(name), fitted_type(evidence, name)
        drawn_ah, drawn_ohm = kind.capacity_ah, kind.resistance_ohm
        peers_ah, peers_ohm = capacities.get(kind.name, drawn_ah), resistances.get(kind.name, drawn_ohm)
        comparable = drawn_ah is not None or peers_ah is not None
        found[name] = {
            "capacity_asked": comparable and ("capacity" in module.told or len(capacity) > half),
            "capacity_ah": measured(module.capacity_ah),
            "drawn_capacity_ah": peers_ah if drawn_ah is None else drawn_ah,
            "peer_capacity_ah": peers_ah,
            "resistance_asked": "resistance" in module.told or len(resistance) > half,
            "resistance_ohm": measured(module.resistance_ohm),
            "drawn_resistance_ohm": drawn_ohm,
            "peer_resistance_ohm": peers_ohm,
        }
    return found


def _middles(evidence: Evidence, read: Mapping[str, Entry]) -> Mapping[str, float]:
    """Return the middle of what was read, by module type; only of types of which enough were read."""
    by_kind: dict[str, list[float]] = defaultdict(list)
    for name, entry in read.items():
        by_kind[fitted_type(evidence, name).name].append(entry.value)
    return {kind: float(median(values)) for kind, values in by_kind.items() if len(values) >= LEAST_PEERS}
