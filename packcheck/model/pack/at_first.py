"""How the devices of a layout stand before the first bar goes on."""

from __future__ import annotations

from packcheck.model.pack.model import Device, Pack

WITHOUT_CONTACTS = ("precharge resistor", "heater", "isolation monitor")
"""Kinds that neither open nor close."""


def stands(pack: Pack, device: Device) -> str:
    """Return "open" or "closed" as a device stands in the state with the fewest closed; "" where it is neither."""
    if device.kind in WITHOUT_CONTACTS:
        return ""
    first = min(pack.states.values(), key=lambda state: len(state.closed), default=None)
    shut = device.always_closed or (first is not None and device.name in first.closed)
    return "closed" if shut else "open"
