"""Facts about joints and joint types: torque, tool, order of work, resistance against peers, clamp load."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from math import inf
from statistics import median
from typing import NamedTuple

from packcheck.facts.evidence import Evidence, face_of_conductor, with_sign
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.slips_of_the_pen import torque_slip
from packcheck.model.pack.model import Conductor, Landing, Pack
from packcheck.model.pack.types import Bounds, JointType
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedJoint, Record
from packcheck.physics.bolted_joints import (
    COARSE_PITCH_MM,
    clamp_load_n,
    coarse_stress_area_mm2,
    pitch_diameter_mm,
    proof_fraction,
    proof_load_n,
    thread_diameter_mm,
    thread_torque_n_m,
    tightening_stress_mpa,
    tool_range_n_m,
)
from packcheck.rules.catalogue import Datum, Measured, Row, Value

NUT_FACTOR = 0.20
"""Nut factor K where a joint type states none: zinc-plated (Shigley, 9th ed., Table 8-15: 0.30 black, 0.20 zinc-plated,
0.18 lubricated, 0.16 cadmium-plated); K scatters by about ± 25 %: common practice."""
THREAD_FRICTION = 0.12
"""Thread friction taken for the twist of the shank while tightening; common practice, no source."""


def band_of(evidence: Evidence, kind: JointType) -> tuple[Bounds, str]:
    """Return the torque band of a joint type, and where it comes from."""
    if kind.torque_n_m.low is not None or kind.torque_n_m.high is not None:
        return kind.torque_n_m, "the layout"
    if kind.thread in evidence.adopted.torque_bands:
        return evidence.adopted.torque_bands[kind.thread], "the shop profile's default"
    return Bounds(), "nowhere"


def joint_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per joint of the layout whose type has a thread or a torque."""
    record = evidence.record
    if record is None:
        return
    peers = _peers(evidence.pack, record)
    for name, (conductor, landing) in evidence.pack.joints.items():
        kind = evidence.pack.joint_types.get(landing.joint_type)
        if kind is not None and (kind.thread or kind.torque_n_m != Bounds()):
            yield _joint_row(
                evidence,
                record,
                record.joints.get(name) or FittedJoint(name),
                conductor,
                landing,
                kind,
                peers[kind.peers],
            )


def _joint_row(
    evidence: Evidence,
    record: Record,
    joint: FittedJoint,
    conductor: Conductor,
    landing: Landing,
    kind: JointType,
    peers: _Peers,
) -> Row:
    pack, name = evidence.pack, joint.name
    fitted = record.conductors.get(conductor.name)
    is_there = fitted.fitted if fitted else None
    if is_there and fitted and fitted.lands is not None and landing.node not in fitted.lands:
        is_there = False
    band, origin = band_of(evidence, kind)
    torque, resistance = joint.torque_n_m, joint.resistance_ohm
    slip = torque_slip(torque.value, band.low, band.high) if torque else ""
    tool = record.instruments.get(torque.instrument) if torque else None
    tool_low, tool_high = _tool_range(tool.low, tool.high) if tool else (None, None)
    values: dict[str, Value] = {
        "joint": name,
        "joint_type": kind.name,
        "fitted": is_there,
        "carries_pack_current": conductor.name in evidence.drawn.between,
        "band_stated": origin == "the layout",
        "band_from": origin,
        "torque_low_n_m": band.low,
        "torque_high_n_m": band.high,
        "torque_n_m": measured(torque),
        "torque_written": torque is not None,
        "torque_slip": slip,
        "torque_slipped": None if torque is None else bool(slip),
        "tool_kind": tool.kind if tool else None,
        "torque_read_n_m": torque.value if torque else None,
        "tool_low_n_m": tool_low,
        "tool_high_n_m": tool_high,
        "torqued_after_clamp": _after_clamp(pack, record, torque),
        "resistance_ohm": measured(resistance),
        "resistance_high_ohm": kind.resistance_ohm.high,
        "peer_median_ohm": peers.median,
        "above_peers_ohm": peers.above(resistance),
        "peers": peers.number,
        "recheck": joint.recheck,
        "rechecked": True if joint.recheck is not None else None,
        "recheck_after_h": kind.recheck_after_h,
        "recheck_waited_h": _waited(joint),
        "recheck_asked": kind.recheck_after_h is not None,
        "recheck_told": joint.recheck is not None,
        "mark": joint.mark,
        "marked": None if joint.mark is None else joint.mark not in ("no", "not marked"),
    }
    face = pack.face_of(landing.node)
    place = f"joint {name} at {with_sign(pack, landing.node)}"
    missing: Mapping[str, Datum] = {}
    if is_there is None:
        fitting = Datum("whether it is fitted", conductor.name, "eyes", face_of_conductor(pack, conductor))
        missing = {"fitted": fitting}
    if torque is None:
        lacking = Datum("torque", name, "click wrench", face)
        asked = ("tool_kind", "tool_low_n_m", "tool_high_n_m", "torqued_after_clamp")
        missing = {**missing, **dict.fromkeys(asked, lacking)}
    if torque and tool:
        missing = {**missing, **_of_tool(torque.instrument)} if missing else _of_tool(torque.instrument)
    position = pack.part_at(landing.node)
    return Row(name, values, missing, frozenset((name, conductor.name, position)), place, face, joint.origin)


@lru_cache(maxsize=64)
def _of_tool(name: str) -> Mapping[str, Datum]:
    """Return what to record next of a torque tool; one tool turns thousands of joints."""
    width = Datum("range of the tool", name, "eyes")
    return {"tool_kind": Datum("kind of tool", name, "eyes"), "tool_low_n_m": width, "tool_high_n_m": width}


def _tool_range(low: float | None, high: float | None) -> tuple[float | None, float | None]:
    """Return the part of a torque tool's range it is fit for: no less than 20 % of its highest mark."""
    if high is None:
        return None, None
    fit_low, fit_high = tool_range_n_m(high)
    return max(low or 0.0, fit_low), fit_high


def _after_clamp(pack: Pack, record: Record, torque: Entry | None) -> bool | None:
    if pack.clamp is None:
        return True
    clamped = record.compression.at
    if torque is None or torque.at is None or clamped is None:
        return None
    return torque.at >= clamped


def _waited(joint: FittedJoint) -> float | None:
    if joint.torque_n_m is None or joint.torque_n_m.at is None or joint.recheck_at is None:
        return None
    return (joint.recheck_at - joint.torque_n_m.at).total_seconds() / 3600


class _Peers(NamedTuple):
    """The joints of one kind: how many were read, their median resistance [ohm], and that of the numbers as read.

    Joints that were not read widen both medians.
    """

    number: int
    median: Measured | None
    as_read: tuple[float, float]

    def above(self, read: Entry | None) -> Measured | None:
        """Return by how much a joint reads above the median [ohm].

        One meter's scale error is in the reading and in the median alike: it counts on their difference only.
        """
        if read is None or self.median is None:
            return None
        low, high = read.value - self.as_read[1], read.value - self.as_read[0]
        apart = max(abs(low), abs(high))
        half = read.own_half + (read.share * apart if apart < inf else 0.0)
        return worked_out(low - half, high + half, [read, self.median])


def _peers(pack: Pack, record: Record) -> dict[str, _Peers]:
    """Return the peers of each kind of joint."""
    read: dict[str, list[Entry | None]] = {}
    for name, (_, landing) in pack.joints.items():
        kind = pack.joint_types.get(landing.joint_type)
        if kind is not None:
            joint = record.joints.get(name)
            read.setdefault(kind.peers, []).append(joint.resistance_ohm if joint else None)
            read.setdefault(kind.name, [])
    return {kind: _peers_of(entries) for kind, entries in read.items()}


def _peers_of(entries: Sequence[Entry | None]) -> _Peers:
    number = sum(e is not None for e in entries)
    if not number:
        return _Peers(0, None, (-inf, inf))
    low = median(e.value if e else -inf for e in entries)
    high = median(e.value if e else inf for e in entries)
    return _Peers(number, _median(entries), (low, high))


def _median(entries: Sequence[Entry | None]) -> Measured | None:
    if not any(entries):
        return None
    low = median(e.low if e else -inf for e in entries)
    high = median(e.high if e else inf for e in entries)
    return worked_out(low, high, [e for e in entries if e])


# joint types


def joint_type_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per joint type that has a thread or a torque."""
    for kind in evidence.pack.joint_types.values():
        if kind.thread or kind.torque_n_m != Bounds():
            yield _joint_type_row(evidence, kind)


def _joint_type_row(evidence: Evidence, kind: JointType) -> Row:
    band, origin = band_of(evidence, kind)
    proof = proof_load_n(kind.thread, kind.property_class)
    values: dict[str, Value] = {
        "joint_type": kind.name,
        "thread": kind.thread,
        "property_class": kind.property_class,
        "band_stated": origin == "the layout",
        "band_from": origin,
        "torque_low_n_m": band.low,
        "torque_high_n_m": band.high,
        "class_known": proof is not None,
        "proof_load_n": proof,
        **_loads(kind, band.high, proof),
    }
    joints = [name for name, (_, landing) in evidence.pack.joints.items() if landing.joint_type == kind.name]
    return Row(
        kind.name,
        values,
        {},
        frozenset((kind.name, *joints)),
        f"joint type {kind.name} ({kind.thread or '?'} {kind.property_class or '?'})",
        "",
        evidence.pack.origins.get(kind.name),
    )


def middle_nut_factor(kind: JointType) -> float:
    """Return the nut factor that a joint type is reckoned with: the one stated, the middle of a band, else the usual.

    Without a unit.
    """
    given = kind.nut_factor
    if given.aim is not None:
        return given.aim
    if given.low is not None and given.high is not None:
        return (given.low + given.high) / 2
    return NUT_FACTOR


def _loads(kind: JointType, torque_n_m: float | None, proof_n: float | None) -> Mapping[str, Value]:
    """Return clamp load and thread stress at the top of the torque band, at the middle nut factor."""
    diameter = thread_diameter_mm(kind.thread)
    area = coarse_stress_area_mm2(kind.thread)
    if torque_n_m is None or proof_n is None or diameter is None or area is None:
        return {}
    load = clamp_load_n(torque_n_m, middle_nut_factor(kind), diameter)
    pitch = COARSE_PITCH_MM[kind.thread]
    twist = thread_torque_n_m(load, pitch, pitch_diameter_mm(diameter, pitch), THREAD_FRICTION)
    stress = tightening_stress_mpa(load, twist, area)
    return {
        "clamp_load_at_high_n": load,
        "clamp_fraction": proof_fraction(load, proof_n),
        "stress_fraction": stress / (proof_n / area),
    }
