"""What a record could say of its pack and does not, thing by thing, whether or not a rule asks for it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from packcheck.facts.open_switches import DISCONNECTS
from packcheck.judging.report import Stated
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.model.record.model import (
    FittedConductor,
    FittedCover,
    FittedDevice,
    FittedJoint,
    FittedModule,
    Instrument,
    Record,
)

WORDS: Mapping[type, Mapping[str, str]] = {
    FittedModule: {
        "fitted": "whether the module is fitted", "plus": "the post at which + is",
        "serial": "serial number of the module", "type": "type of the module",
        "rest_v": "rest voltage of the module", "resistance_ohm": "resistance of the module",
        "capacity_ah": "capacity of the module", "mass_g": "mass of the module",
    },
    FittedConductor: {
        "fitted": "whether the conductor is fitted", "lands": "where the conductor lands",
        "part": "part number of the conductor", "condition": "condition of the conductor",
        "resistance_ohm": "resistance of the conductor itself",
    },
    FittedDevice: {
        "fitted": "whether the device is fitted", "current": "direction of the device",
        "part": "part number of the device",
        "rating_a": "rated current printed on the device", "volts_v": "DC voltage printed on the device",
        "breaks_a": "breaking capacity printed on the device", "seen": "the device seen open or closed by itself",
    },
    FittedJoint: {
        "torque_n_m": "torque of the joint", "resistance_ohm": "resistance of the joint",
        "recheck": "re-check of the joint", "mark": "paint mark on the joint",
    },
    FittedCover: {"fitted": "whether the cover is fitted", "screws": "number of screws in the cover"},
    Instrument: {
        "kind": "kind of the instrument", "accuracy": "accuracy of the instrument",
        "due": "when its calibration is due",
    },
}  # fmt: skip
"""What a field of a fitted part that is None, or "", means in words."""


def unrecorded(pack: Pack, record: Record) -> tuple[Stated, ...]:
    """Return each kind of thing that the record leaves out, with the names of the parts it is left out of.

    Asked of what can be told at all: a torque of a joint with a thread, a breaking capacity of a fuse, screws of a
    cover that has some.  A part stated *as drawn* is taken to be what is drawn.
    """
    found: dict[str, list[str]] = {}
    for table, blank, things in _tables(pack, record):
        for name, asked in things.items():
            part = table.get(name, blank)
            for field, words in WORDS[type(part)].items():
                if field in asked and getattr(part, field) in (None, ""):
                    found.setdefault(words, []).append(name)
    for words, names in _beside(pack, record):
        found.setdefault(words, []).extend(names)
    return tuple(Stated(words, tuple(names)) for words, names in found.items() if names)


_Asked = Mapping[str, Collection[str]]


def _tables(pack: Pack, record: Record) -> Iterator[tuple[Mapping[str, object], object, _Asked]]:
    """Yield the parts as fitted, what a part that the record does not name is, and which fields are asked of each."""
    every = {kind: frozenset(words) for kind, words in WORDS.items()}
    modules = {
        name: every[FittedModule] - ({"mass_g"} if pack.module_type_at(name).mass_g.high is None else set())
        for name in pack.positions
    }
    yield record.modules, FittedModule(""), modules
    conductors = {
        name: every[FittedConductor] - (set() if drawn.part else {"part"}) for name, drawn in pack.conductors.items()
    }
    yield record.conductors, FittedConductor("", ""), conductors
    yield record.devices, FittedDevice(""), {name: _of_device(pack, name) for name in pack.devices}
    yield record.joints, FittedJoint(""), {name: _of_joint(pack, name) for name in pack.joints}
    covers = {name: {"fitted", "screws"} if cover.screws else {"fitted"} for name, cover in pack.covers.items()}
    yield record.covers, FittedCover(), covers
    yield record.instruments, Instrument(""), dict.fromkeys(record.instruments, every[Instrument])


def _of_device(pack: Pack, name: str) -> set[str]:
    device = pack.devices[name]
    drawn = {
        "current": device.current, "part": device.part, "rating_a": device.rating_a, "volts_v": device.volts_v,
        "breaks_a": device.breaks_a,
    }  # fmt: skip
    asked = {"fitted", *(field for field, value in drawn.items() if value)}
    return asked | {"seen"} if device.kind in DISCONNECTS else asked


def _of_joint(pack: Pack, name: str) -> set[str]:
    kind = pack.joint_types.get(pack.joints[name][1].joint_type)
    asked = {"resistance_ohm"} | ({"torque_n_m"} if kind is None or kind.thread else set())
    return asked | ({"recheck", "mark"} if kind and kind.recheck_after_h else set())


def _beside(pack: Pack, record: Record) -> Iterator[tuple[str, Iterable[str]]]:
    yield "whether a cap is on", [place for place in capped_places(pack) if place not in record.caps]
    yield "where the sense tap sits", [name for name in pack.taps if name not in record.taps]
    yield "count of the loose part", [name for name in needed_parts(pack) if name not in record.parts]
    yield "what became of the probe", [name for name in pack.probes if name not in record.probes]
    yield "what became of the vent", [name for name in pack.vents if name not in record.vents]
    if pack.clamp:
        wanted = (("length of the clamped stack", record.compression.length_mm, pack.clamp.length_mm.high),
                  ("torque of the clamp rods", record.compression.torque_n_m, pack.clamp.torque_n_m.high))  # fmt: skip
        for words, entry, asked in wanted:
            if asked is not None and entry is None:
                yield words, ["clamp"]
    isolation = pack.insulation
    if (isolation.least_ohm_per_v or isolation.floor_ohm) and not record.isolation:
        yield "isolation resistance, which the layout asks for", ["the pack"]
    if not record.extra_none:
        yield "that nothing conducts which is not listed", ["extra: none"]
    if not record.tools:
        yield "count of the tools", ["tools"]
