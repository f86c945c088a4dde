"""A pack, as drawn or as recorded, as an electrical network.

Nodes are places (``P01.A``), conductor bodies (``B01``), device ends (``SD.1``) and the chassis.  Edges are modules (an
EMF and a resistance, from − to +), joints (place to body) and devices.  An edge is *sure* when the record says it is
there, and only *possible* when nobody recorded it; of the layout every edge is sure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Conductor, Device, Landing, Pack
from packcheck.model.pack.types import JointType
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedConductor, Record
from packcheck.network.circuit import Branch

JOINT_OHM = 100e-6
"""Resistance of a joint whose type states none [ohm]; common practice, no source; only currents depend on it."""
BODY_OHM = 20e-6
"""Resistance of a conductor's body where none is stated [ohm]; common practice, no source."""
DEVICE_OHM = 100e-6
"""Resistance of a closed device where none is stated [ohm]; common practice, no source."""


class Edge(NamedTuple):
    """One part of the network: current flows from ``start`` to ``end``; ``emf_v`` drives it that way.

    ``half_v`` is the uncertainty of the EMF [V]; ``emf_known`` is False when the module's voltage or facing was not
    recorded (``emf_v`` is then the layout's).  ``part`` is the position, conductor or device the edge belongs to.
    """

    start: str
    end: str
    name: str
    kind: str
    part: str
    resistance_ohm: float
    emf_v: float = 0.0
    half_v: float = 0.0
    emf_known: bool = True
    sure: bool = True
    as_drawn: bool = True
    is_load: bool = False


@dataclass(frozen=True)
class Network:
    """All edges of a pack, those of open devices included."""

    pack: Pack
    edges: tuple[Edge, ...]

    def closed(self, devices: Iterable[str], possibly: bool = False) -> list[Edge]:
        """Return the edges that conduct when these devices are closed; ``possibly`` takes the unrecorded ones too."""
        shut = set(devices)
        known = self.pack.devices
        return [
            edge
            for edge in self.edges
            if (edge.sure or possibly)
            and (edge.kind != "device" or edge.part in shut or known[edge.part].always_closed)
        ]

    def all_closed(self, possibly: bool = False) -> list[Edge]:
        """Return the edges with every switch closed, loads left out: what limits a current by itself is no path."""
        return [edge for edge in self.edges if (edge.sure or possibly) and not edge.is_load]

    @cached_property
    def is_certain(self) -> bool:
        """Return whether every edge was recorded."""
        return all(edge.sure for edge in self.edges)

    @cached_property
    def unrecorded(self) -> tuple[str, ...]:
        """Return the parts that nobody recorded as fitted or not, in order."""
        return tuple(dict.fromkeys(edge.part for edge in self.edges if not edge.sure))


def branches(edges: Iterable[Edge]) -> list[Branch]:
    """Return edges as branches for the circuit solver."""
    return [Branch(edge.start, edge.end, edge.resistance_ohm, edge.emf_v) for edge in edges]


def network_of_layout(pack: Pack) -> Network:
    """Return the network as drawn, modules at the middle of their rest window."""
    return Network(pack, tuple(_layout_edges(pack)))


def _layout_edges(pack: Pack) -> Iterator[Edge]:
    for position in pack.positions.values():
        kind = pack.module_types[position.module_type]
        emf = kind.rest_middle_v
        yield Edge(
            position.minus_place, position.plus_place, position.name, "module", position.name, kind.resistance_ohm, emf
        )
    for conductor in pack.conductors.values():
        yield from _joints(pack, conductor, {}, sure=True)
    for device in conducting_devices(pack):
        yield _device(device, sure=True)


def conducting_devices(pack: Pack) -> Iterator[Device]:
    """Yield the devices that carry a current: an isolation monitor, with megohms to the chassis, does not."""
    return (device for device in pack.devices.values() if device.kind != "isolation monitor")


def monitors(pack: Pack) -> Iterator[Edge]:
    """Yield the edges of isolation monitors: they join nothing, and still are what their leads lead to."""
    return (_device(device, sure=True) for device in pack.devices.values() if device.kind == "isolation monitor")


def _joint_ohm(kind: JointType | None, read: Entry | None) -> float:
    if read is not None and read.value > 0:
        return read.value
    if kind is None:
        return JOINT_OHM
    bounds = kind.resistance_ohm
    return bounds.aim or bounds.high or bounds.low or JOINT_OHM


def _joints(pack: Pack, conductor: Conductor, read: Mapping[str, Entry | None], sure: bool) -> Iterator[Edge]:
    body = (conductor.resistance_ohm if conductor.resistance_ohm is not None else BODY_OHM) / 2
    planned = pack.conductors.get(conductor.name)
    drawn = {landing.node for landing in planned.lands} if planned else set()
    for landing in conductor.lands:
        joint = _joint_ohm(pack.joint_types.get(landing.joint_type), read.get(landing.joint))
        yield Edge(
            landing.node,
            conductor.name,
            landing.joint,
            "joint",
            conductor.name,
            joint + body,
            sure=sure,
            as_drawn=landing.node in drawn,
        )


def _device(device: Device, sure: bool) -> Edge:
    ohm = device.resistance_ohm if device.resistance_ohm is not None else DEVICE_OHM
    return Edge(
        device.ends[0],
        device.ends[1],
        device.name,
        "device",
        device.name,
        max(ohm, 1e-9),
        sure=sure,
        is_load=device.is_load,
    )


def network_of_record(record: Record) -> Network:
    """Return the network as recorded: what is fitted, where it lands, which way round, at what voltage."""
    return Network(record.pack, tuple(_record_edges(record)))


def _record_edges(record: Record) -> Iterator[Edge]:
    pack = record.pack
    for name in pack.positions:
        edge = _fitted_module(record, name)
        if edge:
            yield edge
    read = {name: joint.resistance_ohm for name, joint in record.joints.items() if joint.resistance_ohm}
    for conductor in pack.conductors.values():
        fitted = record.conductors.get(conductor.name)
        if fitted is None or fitted.fitted is not False:
            built = as_built(conductor, fitted)
            yield from _joints(
                pack, built, read, sure=fitted is not None and bool(fitted.fitted) and fitted.lands is not None
            )
    for name, fitted in record.conductors.items():
        if name not in pack.conductors and fitted.fitted and fitted.lands:
            yield from _joints(pack, beyond_layout(pack, fitted), read, sure=True)
    for device in conducting_devices(pack):
        state = record.devices.get(device.name)
        if state is None or state.fitted is not False:
            yield _device(device, sure=state is not None and bool(state.fitted))


def _fitted_module(record: Record, name: str) -> Edge | None:
    position, kind = record.pack.positions[name], record.pack.module_type_at(name)
    module = record.modules.get(name)
    if module is not None and module.fitted is False:
        return None
    turned = module is not None and module.plus is not None and module.plus != position.plus
    start, end = position.minus_place, position.plus_place
    if turned:
        start, end = end, start
    if module is None or module.rest_v is None:
        return Edge(
            start,
            end,
            name,
            "module",
            name,
            kind.resistance_ohm,
            kind.rest_middle_v,
            0.0,
            False,
            sure=module is not None and bool(module.fitted),
        )
    rest = module.rest_v
    ohm = (
        module.resistance_ohm.value
        if module.resistance_ohm and module.resistance_ohm.value > 0
        else kind.resistance_ohm
    )
    return Edge(start, end, name, "module", name, ohm, rest.value, (rest.high - rest.low) / 2, module.plus is not None)


def as_built(conductor: Conductor, fitted: FittedConductor | None) -> Conductor:
    """Return a planned conductor with the landings and part recorded; joints keep their names where they can."""
    if fitted is None:
        return conductor
    part = fitted.part if fitted.part is not None else conductor.part
    planned = {landing.node: landing for landing in conductor.lands}
    if fitted.lands is None or fitted.lands == tuple(planned):
        return conductor if part == conductor.part else replace(conductor, part=part)
    kinds = [landing.joint_type for landing in conductor.lands]
    lands = tuple(
        planned.get(node) or Landing(node, f"{conductor.name}/{node}", kinds[min(i, len(kinds) - 1)] if kinds else "")
        for i, node in enumerate(fitted.lands)
    )
    return replace(conductor, lands=lands, part=part)


def same_landings(conductor: Conductor, fitted: FittedConductor | None) -> bool:
    """Return whether a conductor was recorded exactly where the layout lands it (True while nothing is recorded)."""
    if fitted is None or fitted.lands is None:
        return True
    return sorted(fitted.lands) == sorted(landing.node for landing in conductor.lands)


def beyond_layout(pack: Pack, fitted: FittedConductor) -> Conductor:
    """Return a conductor that the layout does not have; its joints are of the type of the posts it lands on."""
    lands = tuple(Landing(node, f"{fitted.name}/{node}", pack.post_joint(node)) for node in fitted.lands or ())
    return Conductor(fitted.name, "bar" if fitted.section == "bars" else "lead", lands, fitted.part or "")


def at_highest(pack: Pack, edges: Iterable[Edge]) -> list[Edge]:
    """Return edges with every module at the highest voltage of the type planned there."""
    kind = pack.module_type_at
    return [edge._replace(emf_v=kind(edge.part).highest_v) if edge.kind == "module" else edge for edge in edges]


def unit_push(network_edges: Iterable[Edge]) -> list[Branch]:
    """Return the edges as branches with every EMF taken out, for pushing a current through."""
    return [Branch(edge.start, edge.end, edge.resistance_ohm, 0.0) for edge in network_edges]
