"""A layout -> a true build of it: as drawn, with the spread that real modules and joints have."""

from __future__ import annotations

from random import Random

from packcheck.model.pack.model import Conductor, Device, Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.model.pack.types import Bounds, JointType, ModuleType
from packcheck.model.record.vents import served_by
from packcheck.simulate.build import Build, Landed, TrueBody, TrueDevice, TrueJoint, TrueModule, TrueVent

SELF_DISCHARGE_DAY = {"NiMH": 0.010, "NiCd": 0.006, "lead-acid": 0.0017, "AGM": 0.0012}
"""Share of its charge that a module loses in a day at room temperature: NiMH 13.9 % to 70.6 % a month, NiCd 15 % to
20 %, lead-acid 4 % to 6 %; lithium cells 2 % to 3 % (docslib.org/doc/2728881 and dmitrywolf.com/notebook/batteries)."""
LITHIUM_DAY = 0.0008
CELL_SLOPE_V = {"NiMH": 0.12, "NiCd": 0.10, "lead-acid": 0.20, "AGM": 0.20, "LFP": 0.03}
"""What the resting voltage of a cell moves per whole charge in the middle of it [V]; common practice."""
LITHIUM_SLOPE_V = 0.45
BAR_OHM, JOINT_OHM = 5e-5, 1e-4
"""Where a layout states none [ohm]; common practice."""
LEAD_OHM_PER_MM = 5e-7
"""A lead of 35 mm² of copper: 0.0178 ohm mm²/m over 35 mm²."""


def build_as_drawn(pack: Pack, random: Random) -> Build:
    """Return a build of a layout in which nothing is wrong; the same random numbers give the same build."""
    return Build(
        pack,
        modules=_modules(pack, random),
        bodies={c.name: _body(pack, c) for c in pack.conductors.values()},
        joints={name: _joint(pack, name, random) for name in pack.joints},
        devices={device.name: _device(device) for device in pack.devices.values()},
        taps={tap.name: tap.node for tap in pack.taps.values()},
        covers=dict.fromkeys(pack.covers, True),
        screws={cover.name: cover.screws for cover in pack.covers.values()},
        parts=needed_parts(pack),
        clamp_mm=_near(pack.clamp.length_mm, random) if pack.clamp else None,
        clamp_n_m=_near(pack.clamp.torque_n_m, random) if pack.clamp else None,
        probes={name: _on(probe["on"]) for name, probe in pack.probes.items()},
        vents={name: TrueVent(tuple(served_by(pack, name)), str(line["to"])) for name, line in pack.vents.items()},
    )


def _on(positions: object) -> str:
    """Return the position a probe sits on."""
    return str(positions[0]) if isinstance(positions, tuple | list) else str(positions)


def middle(bounds: Bounds) -> float | None:
    """Return what is aimed at in a band, in its unit: its middle where no aim is stated, None where nothing is."""
    if bounds.aim is not None:
        return bounds.aim
    if bounds.low is not None and bounds.high is not None:
        return (bounds.low + bounds.high) / 2
    return bounds.high if bounds.low is None else bounds.low


def slope_v(kind: ModuleType) -> float:
    """Return what the resting voltage of a module moves per whole charge in the middle of it [V]."""
    return CELL_SLOPE_V.get(kind.chemistry, LITHIUM_SLOPE_V) * kind.cells


def loss_v_day(kind: ModuleType) -> float:
    """Return what a sound module loses of its resting voltage in a day on the shelf [V a day]."""
    return SELF_DISCHARGE_DAY.get(kind.chemistry, LITHIUM_DAY) * slope_v(kind)


def _near(bounds: Bounds, random: Random) -> float | None:
    aim = middle(bounds)
    if aim is None or bounds.low is None or bounds.high is None:
        return aim
    return aim + random.uniform(-0.3, 0.3) * min(bounds.high - aim, aim - bounds.low)


def _modules(pack: Pack, random: Random) -> dict[str, TrueModule]:
    """Return the modules: one delivery, brought to one charge, the members of a group closer than that."""
    charge = random.uniform(-0.25, 0.25)
    aged = random.uniform(0.0, 1.0)
    number = random.randrange(1000, 9000)
    found: dict[str, TrueModule] = {}
    for members in pack.groups.values():
        off = random.gauss(0.0, 1.0)
        for name in members:
            number += random.choice((1, 1, 2, 3, 5))
            serial = pack.plan.get(name, f"{pack.name[:1].upper()}-{number}")
            found[name] = _module(pack, name, serial, (charge, aged, off), random, alone=len(members) == 1)
    return found


def _module(
    pack: Pack, name: str, serial: str, delivery: tuple[float, float, float], random: Random, *, alone: bool
) -> TrueModule:
    charge, aged, off = delivery
    kind, position = pack.module_type_at(name), pack.positions[name]
    low, high = kind.rest_v.low, kind.rest_v.high
    window = high - low if low is not None and high is not None else 0.02 * kind.nominal_v
    of_group = off if alone else 0.3 * off
    own = random.gauss(0.0, 1.0) * (0.0 if alone else 0.00012 * kind.nominal_v / 3)
    capacity = kind.capacity_ah or 10.0
    return TrueModule(
        position=name,
        serial=serial,
        type=kind.name,
        plus=position.plus,
        minus=position.minus,
        emf_v=kind.rest_middle_v + charge * window + _cut(of_group, 2.5) * 0.0007 * kind.nominal_v + _cut(own, 2.5),
        resistance_ohm=kind.resistance_ohm * (1 + 0.25 * aged) * (1 + 0.04 * _cut(random.gauss(0, 1), 2.5)),
        capacity_ah=capacity * (1 - 0.08 * aged) * (1 + 0.012 * _cut(random.gauss(0, 1), 2.5)),
        mass_g=(middle(kind.mass_g) or 1000.0) * (1 + 0.002 * _cut(random.gauss(0, 1), 2.5)),
        loses_v_day=loss_v_day(kind) * random.uniform(0.7, 1.2),
    )


def _cut(number: float, most: float) -> float:
    return max(-most, min(most, number))


def _body(pack: Pack, conductor: Conductor) -> TrueBody:
    kind = pack.bar_types.get(conductor.bar_type or conductor.part)
    stated = conductor.resistance_ohm or (kind.resistance_ohm if kind else None)
    by_length = conductor.length_mm * LEAD_OHM_PER_MM if conductor.length_mm and conductor.kind == "lead" else BAR_OHM
    return TrueBody(
        name=conductor.name,
        section="leads" if conductor.kind == "lead" else "bars",
        lands=tuple(Landed(landing.node, landing.joint) for landing in conductor.lands),
        part=conductor.part,
        resistance_ohm=stated or by_length,
    )


def joint_kind(pack: Pack, joint: str) -> JointType:
    """Return the type of a joint of the layout; one without anything stated where the layout names none."""
    _, landing = pack.joints[joint]
    return pack.joint_types.get(landing.joint_type) or JointType("")


def _joint(pack: Pack, name: str, random: Random) -> TrueJoint:
    kind = joint_kind(pack, name)
    aim, usual = middle(kind.torque_n_m) or 0.0, kind.resistance_ohm.aim or JOINT_OHM
    return TrueJoint(name, aim, usual * (1 + 0.02 * _cut(random.gauss(0, 1), 2.5)))


def _device(device: Device) -> TrueDevice:
    return TrueDevice(
        name=device.name,
        part=device.part,
        rating_a=device.rating_a,
        volts_v=device.volts_v,
        breaks_a=device.breaks_a,
        current=device.current,
        resistance_ohm=device.resistance_ohm or 1e-4,
    )
