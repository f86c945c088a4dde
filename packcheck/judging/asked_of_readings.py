"""Questions about voltages between two places, and the switching state in which each is to be read."""

from __future__ import annotations

from packcheck.judging.asked import UNITS, Ask, Asked, Asking
from packcheck.judging.readings_to_take import all_open
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import DISCONNECT


def asked_reading(a: Asking) -> Asked | None:
    """Ask a voltage whose two ends the errand names."""
    ends = a.words.groupdict()
    plus, minus = ends.get("plus"), ends.get("minus")
    if not plus or not minus:
        plus, _, minus = a.place.partition(" to ")
    return _between(a, plus, minus, _state(a)) if plus and minus else None


def _between(a: Asking, plus: str, minus: str, state: str) -> Asked:
    name = f"{plus} to {minus}"
    if any(reading.name == name for reading in a.record.readings) or any(one.name == name for one in a.record.unread):
        name += f", {state}" if state else " again"
    one = Ask("value", "number", f"red lead on {plus}, black lead on {minus}", UNITS["value"])
    nodes = tuple(node for end in (plus, minus) if (node := a.pack.node_of(end)))
    return Asked("readings", name, (one,), f"{plus} to {minus}", state, (("between", plus), ("and", minus)),
                 (plus, minus, *nodes))  # fmt: skip


def asked_mains(a: Asking) -> Asked | None:
    """Ask the voltage between the mains; nothing where another reading of the errand shows it as well."""
    if any(what.startswith("voltage from ") and what != a.words[0] for what in a.errand.what):
        return Asked("readings", "", ())  # the other reading of the errand shows it as well
    return _between(a, a.pack.outside["main+"], a.pack.outside["main-"], _plugged(a.pack))


def asked_across(a: Asking) -> Asked | None:
    """Ask the voltage across a module or a conductor."""
    if a.place in a.pack.positions:
        position = a.pack.positions[a.place]
        return _between(a, f"{a.place}.{position.plus}", f"{a.place}.{position.minus}", all_open(a.pack))
    conductor = a.pack.conductors.get(a.place)
    if conductor is None or len(conductor.lands) < 2:
        return None
    return _between(a, conductor.lands[0].node, conductor.lands[-1].node, all_open(a.pack))


def asked_unread(a: Asking) -> Asked | None:
    """Ask the value of a reading that has none."""
    return a.number("readings", "value", "the value of the reading")


def asked_voltage(a: Asking) -> Asked | None:
    """Ask a reading that is to be taken once more."""
    known = any(reading.name == a.place for reading in a.record.readings)
    return a.number("readings", "value", "voltage") if known else None


def _plugged(pack: Pack, but: str = "") -> str:
    """Return the first state in which every disconnect is closed and ``but`` is open; fewest closed first."""
    plugs = {name for name, device in pack.devices.items() if device.kind == DISCONNECT}
    fit = [s for s in pack.states.values() if plugs <= s.closed and s.closed and but not in s.closed]
    return min(fit, key=lambda state: len(state.closed)).name if fit else ""


def _state(a: Asking) -> str:
    said, pack = a.words.groupdict().get("state") or "", a.pack
    if said in pack.states:
        return said
    if said.endswith(" open") and "disconnects in" in said:
        return _plugged(pack, said.removesuffix(" open").rpartition(" ")[2])
    return _plugged(pack) if said.endswith("plug in") else all_open(pack)
