"""Facts about outlets: what a branch that is no main may carry, what protects it, and when it is live."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.drawn import Drawn
from packcheck.facts.of_devices import fuse_ratings
from packcheck.facts.of_states import is_named_out
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import CHASSIS, Outlet
from packcheck.network.solution import Solved
from packcheck.network.topology import spanning_forest
from packcheck.rules.catalogue import Row, Value


def outlet_rows(drawn: Drawn) -> Iterator[Row]:
    """Yield one row per outlet of the layout."""
    for outlet in drawn.pack.outlets.values():
        values = {**_of_its_circuit(drawn, outlet), **_with_the_plug_out(drawn, outlet)}
        ends = list_places(outlet.ends.values())
        yield Row(
            outlet.name,
            {"outlet": outlet.name, "ends": ends, "rating_a": outlet.rating_a, **values},
            {},
            frozenset((outlet.name, *(drawn.pack.part_at(node) for node in outlet.ends.values()))),
            f"outlet {outlet.name} at {ends}",
            "",
            drawn.pack.origins.get(outlet.name),
        )


def _of_its_circuit(drawn: Drawn, outlet: Outlet) -> dict[str, Value]:
    """Return what stands between its ends with every switch closed, and what a short there would do.

    An outlet with one end is held against both mains.
    """
    mains = (drawn.plus, drawn.minus)
    nodes = list(outlet.ends.values())
    pairs = [(outlet.plus, outlet.minus)] if len(nodes) == 2 else [(nodes[0], main) for main in mains]
    fuses = {device.name for device in drawn.pack.devices.values() if device.kind == "fuse"}
    unfused = spanning_forest([edge for edge in drawn.edges if edge.part not in fuses])
    volts = [v for pair in pairs if outlet.fed_by_pack and (v := drawn.solution.voltage_v(*pair)) is not None]
    shorts = [short for pair in pairs if (short := drawn.stress.between(*pair))]
    in_series = [a for short in shorts if (a := short.smallest_fuse_a(fuse_ratings(drawn.pack))) is not None]
    return {
        "joined": bool(volts),
        "fed_by_pack": outlet.fed_by_pack,
        "at_pack": any(drawn.forest.joined(node, drawn.minus) for node in nodes),
        "two_ended": len(nodes) == 2,
        "voltage_v": max(volts, key=abs, default=None),
        "prospective_a": max((short.total_a for short in shorts), default=None),
        "fused": not any(unfused.joined(*pair) for pair in pairs),
        "fuse_a": max(in_series, default=None),
        "rated": outlet.rating_a is not None and bool(in_series),
    }


def _with_the_plug_out(drawn: Drawn, outlet: Outlet) -> dict[str, Value]:
    """Return what it shows against its other end, any other terminal or the chassis, with the plug out."""
    state = next((s for s in drawn.pack.states.values() if is_named_out(s.name)), None)
    closed = state.closed if state else frozenset()
    open_v = _live_v(drawn, outlet, drawn.highest_with(frozenset()))
    values: dict[str, Value] = {"open_v": open_v, "state_out": state.name if state else "", "closed_out": False}
    if closed:
        values |= {"closed_out": True, "out_v": _live_v(drawn, outlet, drawn.highest_with(closed))}
        values["closes_out"] = list_places(sorted(closed))
    return values


def _live_v(drawn: Drawn, outlet: Outlet, solved: Solved) -> float:
    others = {*drawn.pack.terminals.values(), CHASSIS}
    return max((abs(solved.voltage_v(one, other) or 0.0) for one in outlet.ends.values() for other in others),
               default=0.0)  # fmt: skip
