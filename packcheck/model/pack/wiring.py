"""Devices and how they stand at first, outside terminals, switching states, sense taps and their harness."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

from packcheck.files.fields import Fields, Path, counted
from packcheck.files.quantities import Dimension
from packcheck.files.quantities.bands import most_of_device_ohm
from packcheck.model.pack.model import CHASSIS, Device, Outlet, Pack, State, Tap
from packcheck.physics.conductors import diameter_of_area_mm, fusing_current_a, gauge_diameter_mm

THINNEST_AWG = 40
LEAST_MM2, MOST_MM2 = 0.005, 50.0
"""Sense wires are of sizes between these [mm²]; common practice, no source."""
NODE = "a place, a device's end or a conductor"
"""What a tap or a main may sit on, in words."""


RESISTANCE_OF = {
    "precharge resistor": ("a precharge resistor without its resistance", "47 Ω"),
    "heater": ("a heater without its resistance", "20 Ω"),
}
"""Kinds of device whose resistance must be known, what is said where it is not, and an example."""

CARRIES = ("fuse", "main contactor", "contactor", "service disconnect", "isolator", "shunt")
"""Kinds of device that the current of a branch runs through, at a drop of some tenths of a volt."""


def read_devices(fields: Fields, table: Mapping[str, Any], landed: Collection[str] = ()) -> dict[str, Device]:
    """Return the devices by name; one that lies across another shares its ends.

    ``landed`` are the nodes that bars and leads land on, as written: a resistor with leads of its own needs no other
    device to lie across.
    """
    return {name: _device(fields, name, spec, table, landed) for name, spec in table.items()}


def _device(
    fields: Fields, name: str, spec: Mapping[str, Any], table: Mapping[str, Any], landed: Collection[str]
) -> Device:
    path: Path = ("devices", name)
    across = spec.get("across", "")
    if across and across not in table:
        fields.unknown((*path, "across"), across, table, "a device of this layout")
    elif across and (across == name or "across" in table[across]):
        found = f"'{across}'" + (" itself" if across == name else ", which lies across another device")
        fields.wrong((*path, "across"), found=found, needed="a device that has ends of its own",
                     do="write the device whose ends it shares")  # fmt: skip
    if spec["kind"] == "precharge resistor" and not across and f"{name}.1" not in landed:
        fields.wrong(
            path, found="a precharge resistor on its own", needed="the contactor that it bypasses", key=True,
            do="add across: with the name of the contactor, or draw leads to both of its ends",
        )  # fmt: skip
    if spec["kind"] in RESISTANCE_OF and "resistance" not in spec:
        found, example = RESISTANCE_OF[spec["kind"]]
        fields.wrong(path, found=found, needed="its resistance", key=True,
                     do=f"add resistance: {example}, or what it has")  # fmt: skip
    owner = across or name
    ohm = fields.positive((*path, "resistance"), spec.get("resistance"), Dimension.RESISTANCE, spec["kind"])
    rating = fields.positive((*path, "rating"), spec.get("rating"), Dimension.CURRENT)
    if spec["kind"] in CARRIES:
        fields.narrow((*path, "resistance"), most_of_device_ohm(rating))
    return Device(
        name=name,
        kind=spec["kind"],
        ends=(f"{owner}.1", f"{owner}.2"),
        across=across,
        resistance_ohm=ohm,
        rating_a=rating,
        volts_v=fields.positive((*path, "volts"), spec.get("volts"), Dimension.VOLTAGE),
        breaks_a=fields.positive((*path, "breaks"), spec.get("breaks"), Dimension.CURRENT),
        current=spec.get("current", ""),
        part=spec.get("part", ""),
        interlock=spec.get("interlock", False),
    )


def read_outside(fields: Fields, table: Mapping[str, str], nodes: frozenset[str]) -> dict[str, str]:
    """Return the node of each main terminal; the two must differ."""
    for name, node in table.items():
        if node not in nodes:
            fields.unknown(("outside", name), node, sorted(nodes), NODE)
    if table["main+"] == table["main-"]:
        fields.wrong(
            ("outside", "main-"), found=f"main+ and main- both at '{table['main-']}'", needed="two different places",
            why="a pack whose mains are one place is shorted", do="correct the wrong one of the two",
        )  # fmt: skip
    return dict(table)


def read_outlets(fields: Fields, table: Mapping[str, Any], nodes: frozenset[str]) -> dict[str, Outlet]:
    """Return the outlets by name; the two ends of one must differ."""
    outlets: dict[str, Outlet] = {}
    for name, spec in table.items():
        path: Path = ("outlets", name)
        ends = {end: spec[end] for end in ("plus", "minus") if end in spec}
        for end, node in ends.items():
            if node not in nodes:
                fields.unknown((*path, end), node, sorted(nodes), NODE)
        if not ends:
            fields.wrong(path, found="an outlet without an end", needed="plus:, minus: or both", key=True,
                         do="write the node where it meets the pack")  # fmt: skip
        if len(ends) == 2 and ends["plus"] == ends["minus"]:
            fields.wrong((*path, "minus"), found=f"plus and minus both at '{ends['minus']}'",
                         needed="two different places", do="correct the wrong one of the two")  # fmt: skip
        rating = fields.positive((*path, "rating"), spec.get("rating"), Dimension.CURRENT)
        own = spec.get("fed by", "pack") == "pack"
        outlets[name] = Outlet(name, ends.get("plus", ""), ends.get("minus", ""), rating, own)
        for taken in (outlets[name].ends.keys() & nodes) | ({name} & {"main", CHASSIS}):
            fields.wrong(path, found=f"'{taken}', which already means something else", needed="a name of its own",
                         key=True, do="give the outlet another name")  # fmt: skip
    return outlets


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
                    do="leave it out: it conducts in every state",
                )
        states[name] = State(name, frozenset(spec["closed"]))
    if "loose" in table:
        fields.wrong(
            ("states", "loose"),
            found="a state named loose",
            key=True,
            needed="another name: loose means parts that are not fitted yet",
            do="rename the state",
        )
    return states


def read_taps(
    fields: Fields, table: Mapping[str, Any], harness: Mapping[str, Any], nodes: frozenset[str]
) -> dict[str, Tap]:
    """Return the sense taps by name, with connector and pin where a harness is given."""
    node_by_tap: dict[str, str] = {}
    for key, written in table.items():
        taps = fields.names(("taps", key), key, key=True)
        noted = len(fields.problems)
        on = fields.names(("taps", key), written)
        if not taps or len(taps) != len(on):
            fields.leave_unread(key)
        if taps and len(taps) != len(on) and len(fields.problems) == noted:
            fields.wrong(
                ("taps", key), found=f"{counted(len(taps), 'tap')} on {counted(len(on), 'place')}",
                needed="one place for each tap", do="correct the range of taps or the list of places",
            )  # fmt: skip
        fields.all_known(("taps", key), on, nodes, NODE, choices=lambda: sorted(nodes))
        for tap, node in zip(taps, on, strict=False):
            if tap in node_by_tap:
                fields.wrong(("taps", key), found=f"the tap '{tap}' a second time", needed="each tap once", key=True,
                             do="let the ranges of taps not overlap")  # fmt: skip
            elif tap in nodes:
                fields.wrong(("taps", key), found=f"'{tap}', which is already a conductor or a place", key=True,
                             needed="a name of its own", do="give the tap another name")  # fmt: skip
            node_by_tap[tap] = node
    pins = _pins(fields, harness, node_by_tap)
    return {tap: Tap(tap, node, *pins.get(tap, ("", 0))) for tap, node in node_by_tap.items()}


def read_sense_limit(fields: Fields, harness: Mapping[str, Any]) -> float | None:
    """Return the current [A] a sense wire carries before its fuse opens or it melts; None where neither is told."""
    fuse_a = fields.positive(("harness", "fuse"), harness.get("fuse"), Dimension.CURRENT)
    wire_mm = _wire_mm(fields, harness.get("wire"))
    return min((a for a in (fuse_a, fusing_current_a(wire_mm) if wire_mm else None) if a), default=None)


def _wire_mm(fields: Fields, written: str | None) -> float | None:
    """Return the diameter of a sense wire [mm], written as a gauge or as an area."""
    if written is None:
        return None
    if (diameter := wire_diameter_mm(str(written))) is not None:
        return diameter
    fields.wrong(("harness", "wire"), found=str(written), needed="the size of a sense wire, e.g. 22 AWG or 0.35 mm²",
                 do="write its gauge or the area of its copper")  # fmt: skip
    return None


def wire_diameter_mm(written: str) -> float | None:
    """Return the diameter [mm] of a wire written as a gauge (22 AWG) or as an area (0.35 mm²); None for other words."""
    found = re.fullmatch(r"(\d{1,2}) ?AWG|(\d*\.?\d+) ?mm[²2]", written.strip())
    if found and found[1] and int(found[1]) <= THINNEST_AWG:
        return gauge_diameter_mm(int(found[1]))
    if found and found[2] and LEAST_MM2 <= float(found[2]) <= MOST_MM2:
        return diameter_of_area_mm(float(found[2]))
    return None


def _pins(fields: Fields, harness: Mapping[str, Any], taps: Mapping[str, str]) -> dict[str, tuple[str, int]]:
    pins: dict[str, tuple[str, int]] = {}
    for connector, written in harness.items():
        if connector in ("wire", "fuse", "eyelet"):
            continue
        wanted = fields.names(("harness", connector), written)
        fields.all_known(("harness", connector), wanted, taps, "a tap of this layout")
        for number, tap in enumerate(wanted, start=1):
            if tap in pins:
                first, pin = pins[tap]
                fields.wrong(
                    ("harness", connector), found=f"tap '{tap}' on pin {number}, and already on pin {pin} of {first}",
                    needed="one pin for each tap", do="take it off one of the two pins",
                )  # fmt: skip
            pins[tap] = (connector, number)
    return pins


WITHOUT_CONTACTS = ("precharge resistor", "heater", "isolation monitor")
"""Kinds that neither open nor close."""


def stands(pack: Pack, device: Device) -> str:
    """Return "open" or "closed" as a device stands in the state with the fewest closed; "" where it is neither."""
    if device.kind in WITHOUT_CONTACTS:
        return ""
    first = min(pack.states.values(), key=lambda state: len(state.closed), default=None)
    shut = device.always_closed or (first is not None and device.name in first.closed)
    return "closed" if shut else "open"
