"""Facts about the switching states of a layout: what they close, and what that joins."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.drawn import Drawn
from packcheck.files.name_lists import list_places
from packcheck.network.topology import Forest, spanning_forest
from packcheck.rules.catalogue import Row


def is_named_out(state: str) -> bool:
    """Return whether a state is called what the trade calls a pack whose disconnect is out."""
    return state.lower() in ("plug out", "plugs out", "out")


def state_rows(drawn: Drawn) -> Iterator[Row]:
    """Yield one row per switching state."""
    devices = drawn.pack.devices
    joins = {
        name: drawn.joins(state.closed).joined(drawn.minus, drawn.plus) for name, state in drawn.pack.states.items()
    }
    resistors = [device for device in devices.values() if device.kind == "precharge resistor"]
    for name, state in drawn.pack.states.items():
        words = name.lower()
        ways = [_plain_forest(drawn, state.closed).walk(*resistor.ends) or () for resistor in resistors]
        shorted = sorted({step.edge.part for way in ways for step in way if step.edge.part in state.closed})
        disconnects = [name for name, d in devices.items() if name in state.closed and d.kind == "service disconnect"]
        yield Row(
            name,
            {
                "state": name,
                "joins_mains": joins[name],
                "live_states": list_places(other for other, live in joins.items() if live),
                "closed": list_places(closed for closed in devices if closed in state.closed),
                "closed_disconnects": list_places(disconnects),
                "named_out": is_named_out(name),
                "named_live": words == "live",
                "precharges": "precharge" in words,
                "past_resistor": list_places(shorted),
                "past_resistors": len(shorted),
            },
            {},
            frozenset((name,)),
            f"state {name}",
            "",
            drawn.pack.origins.get(name),
        )


def _plain_forest(drawn: Drawn, closed: frozenset[str]) -> Forest:
    """Return what is joined without a module or a load between, with some switches closed."""
    return spanning_forest([e for e in drawn.network.closed(closed) if e.kind != "module" and not e.is_load])
