"""Devices, outside terminals, switching states, sense taps and their harness."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from packcheck.fields import Fields, Path
from packcheck.pack.model import Device, State, Tap
from packcheck.quantities import Dimension


def read_devices(fields: Fields, table: Mapping[str, Any]) -> dict[str, Device]:
    """Return the devices by name; one that lies across another shares its ends."""
    return {name: _device(fields, name, spec, table) for name, spec in table.items()}


def _device(fields: Fields, name: str, spec: Mapping[str, Any], table: Mapping[str, Any]) -> Device:
    path: Path = ("devices", name)
    across = spec.get("across", "")
    if across and across not in table:
        fields.unknown((*path, "across"), across, table, "a device of this layout")
    elif across and (across == name or "across" in table[across]):
        fields.wrong((*path, "across"), found=f"'{across}'", needed="a device that has ends of its own")
    if spec["kind"] == "precharge resistor" and not across:
        fields.wrong(
            path, found="a precharge resistor on its own", needed="`across:` with the contactor it bypasses", key=True
        )
    if spec["kind"] == "precharge resistor" and "resistance" not in spec:
        fields.wrong(
            path, found="a precharge resistor without its resistance", needed="`resistance:`, e.g. 47 Ω", key=True
        )
    owner = across or name
    return Device(
        name=name,
        kind=spec["kind"],
        ends=(f"{owner}.1", f"{owner}.2"),
        across=across,
        resistance_ohm=fields.quantity((*path, "resistance"), spec.get("resistance"), Dimension.RESISTANCE),
        rating_a=fields.quantity((*path, "rating"), spec.get("rating"), Dimension.CURRENT),
        volts_v=fields.quantity((*path, "volts"), spec.get("volts"), Dimension.VOLTAGE),
        breaks_a=fields.quantity((*path, "breaks"), spec.get("breaks"), Dimension.CURRENT),
        current=spec.get("current", ""),
        part=spec.get("part", ""),
        interlock=spec.get("interlock", False),
    )


def read_outside(fields: Fields, table: Mapping[str, str], nodes: frozenset[str]) -> dict[str, str]:
    """Return the node of each main terminal; the two must differ."""
    for name, node in table.items():
        if node not in nodes:
            fields.unknown(("outside", name), node, sorted(nodes), "a place, a device's end or a conductor")
    if table["main+"] == table["main-"]:
        fields.wrong(
            ("outside", "main-"), found=f"main+ and main- both at '{table['main-']}'", needed="two different nodes"
        )
    return dict(table)


def read_states(fields: Fields, table: Mapping[str, Any], devices: Mapping[str, Device]) -> dict[str, State]:
    """Return the switching states by name."""
    states: dict[str, State] = {}
    for name, spec in table.items():
        for index, device in enumerate(spec["closed"]):
            path: Path = ("states", name, "closed", index)
            if device not in devices:
                fields.unknown(path, device, devices, "a device of this layout")
            elif devices[device].always_closed:
                fields.wrong(
                    path,
                    found=f"'{device}', a {devices[device].kind}",
                    needed="a device that can be opened",
                    do="leave it out: fuses and shunts conduct in every state",
                )
        states[name] = State(name, frozenset(spec["closed"]))
    if "loose" in table:
        fields.wrong(
            ("states", "loose"),
            found="a state named loose",
            key=True,
            needed="another name: loose means parts that are not fitted yet",
        )
    return states


def read_taps(
    fields: Fields, table: Mapping[str, Any], harness: Mapping[str, Any], nodes: frozenset[str]
) -> dict[str, Tap]:
    """Return the sense taps by name, with connector and pin where a harness is given."""
    node_by_tap: dict[str, str] = {}
    for key, written in table.items():
        taps = fields.names(("taps", key), key, key=True)
        on = fields.names(("taps", key), written)
        if len(taps) != len(on):
            fields.wrong(("taps", key), found=f"{len(taps)} taps on {len(on)} nodes", needed="one node for each tap")
        for tap, node in zip(taps, on, strict=False):
            if node not in nodes:
                fields.unknown(("taps", key), node, sorted(nodes), "a place, a device's end or a conductor")
            if tap in node_by_tap or tap in nodes:
                fields.wrong(("taps", key), found=f"'{tap}' a second time", needed="each name once", key=True)
            node_by_tap[tap] = node
    pins = _pins(fields, harness, node_by_tap)
    return {tap: Tap(tap, node, *pins.get(tap, ("", 0))) for tap, node in node_by_tap.items()}


def _pins(fields: Fields, harness: Mapping[str, Any], taps: Mapping[str, str]) -> dict[str, tuple[str, int]]:
    pins: dict[str, tuple[str, int]] = {}
    for connector, written in harness.items():
        if connector in ("wire", "fuse", "eyelet"):
            continue
        for number, tap in enumerate(fields.names(("harness", connector), written), start=1):
            if tap not in taps:
                fields.unknown(("harness", connector), tap, taps, "a tap of this layout")
            elif tap in pins:
                fields.wrong(
                    ("harness", connector), found=f"tap '{tap}' on a second pin", needed="one pin for each tap"
                )
            pins[tap] = (connector, number)
    return pins
