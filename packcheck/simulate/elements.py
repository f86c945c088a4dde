"""A build with some devices closed -> the elements of its circuit."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import pairwise
from math import isinf

from packcheck.simulate.build import CHASSIS, Build, TrueDevice
from packcheck.simulate.circuit import Element

STRAY_OHM = 1e-4
"""A bar or tool that lies where none belongs [ohm]; common practice."""
BOARD_OHM = 2e6
"""What a board's input puts between two neighbouring taps [ohm]; an open tap floats between them; common practice."""


def elements(build: Build, closed: Collection[str]) -> Iterator[Element]:
    """Yield everything that conducts with some devices closed."""
    for module in build.modules.values():
        if module.fitted:
            minus, plus = f"{module.position}.{module.minus}", f"{module.position}.{module.plus}"
            yield Element(module.position, minus, plus, module.resistance_ohm, module.emf_v)
    for body in build.bodies.values():
        for node, name in body.lands if body.fitted else ():
            ohm = build.joints[name].resistance_ohm
            if not isinf(ohm):
                yield Element(name, node, body.name, ohm + body.resistance_ohm / 2)
    for device in build.devices.values():
        if conducts(build, device, closed):
            start, end = build.pack.devices[device.name].ends
            yield Element(device.name, start, end, device.resistance_ohm)
    for name, (start, end) in build.stray.items():
        yield Element(name, start, end, STRAY_OHM)
    for node, ohm in build.leaks:
        yield Element(f"leak at {node}", node, CHASSIS, ohm)
    yield from _harness(build)


def conducts(build: Build, device: TrueDevice, closed: Collection[str]) -> bool:
    """Return whether a device conducts with some devices closed, whatever holds its contacts."""
    drawn = build.pack.devices[device.name]
    if not device.fitted or device.stuck == "open":
        return False
    return device.stuck == "closed" or device.name in closed or drawn.always_closed


def tap_node(build: Build, tap: str) -> str:
    """Return the node that the pin of a tap is: the place it sits on, or its own where its lead is not sound."""
    return f"tap {tap}" if tap in build.tap_ohm else build.taps[tap]


def _harness(build: Build) -> Iterator[Element]:
    if not build.tap_ohm:
        return
    for tap, ohm in build.tap_ohm.items():
        if not isinf(ohm):
            yield Element(f"lead of {tap}", tap_node(build, tap), build.taps[tap], ohm)
    for one, other in pairwise(build.taps):
        if one in build.tap_ohm or other in build.tap_ohm:
            yield Element(
                f"board {one}", tap_node(build, one), tap_node(build, other), build.board_ohm.get(one, BOARD_OHM)
            )
