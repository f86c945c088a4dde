"""Faults of bolted joints and of the bars between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

from packcheck.simulate.build import Build
from packcheck.simulate.drawn import joint_kind
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import ADVISE, FIX, NEVER, WHOLE, Data, Fault
from packcheck.simulate.meters import Figure
from packcheck.simulate.scribe import stamp

LBF_IN_PER_N_M = 8.851
RESISTANCE, RECHECK, RECHECK_AT, MARK, AT = 1, 2, 3, 4, 5
"""Columns of a joint in a record."""


def _usual(build: Build, joint: str) -> float:
    return build.joints[joint].resistance_ohm


def _finger_tight(build: Build, place: str, random: Random) -> Build:
    ohm = _usual(build, place) * random.uniform(4, 12)
    return build.with_joint(place, torque_n_m=0.0, resistance_ohm=ohm, moves=True)


def _set_low(build: Build, _place: str, random: Random) -> Build:
    return _all(build, random.uniform(0.6, 0.8), 1.15)


def _all(build: Build, torque: float, ohm: float) -> Build:
    joints = {n: replace(j, torque_n_m=j.torque_n_m * torque, resistance_ohm=j.resistance_ohm * ohm)
              for n, j in build.joints.items()}  # fmt: skip
    return replace(build, joints=joints)


def _too_tight(build: Build, place: str, random: Random) -> Build:
    high = joint_kind(build.pack, place).torque_n_m.high or build.joints[place].torque_n_m
    return build.with_joint(place, torque_n_m=high * random.uniform(1.2, 1.5))


def _cross_threaded(build: Build, place: str, random: Random) -> Build:
    return build.with_joint(place, resistance_ohm=_usual(build, place) * random.uniform(2.6, 5))


def _washer_under(build: Build, place: str, random: Random) -> Build:
    return build.with_joint(place, resistance_ohm=_usual(build, place) + random.uniform(2e-4, 9e-4))


def _film(build: Build, place: str, random: Random) -> Build:
    return build.with_joint(place, resistance_ohm=_usual(build, place) * random.uniform(1.65, 1.8))


def _one_fewer(build: Build, place: str, _random: Random) -> Build:
    return build.with_parts(**{place: -1})


def _cracked(build: Build, place: str, random: Random) -> Build:
    ohm = build.bodies[place].resistance_ohm * random.uniform(2, 4)
    return build.with_body(place, condition="cracked", resistance_ohm=ohm)


def _other_part(build: Build, place: str, _random: Random) -> Build:
    body = build.bodies[place]
    others = [name for name in build.pack.bar_types if name != body.part]
    other = others[0] if others else f"{body.part}-thin"
    counted = {body.part: -1, **({other: 1} if others else {})}
    return build.with_body(place, part=other, resistance_ohm=body.resistance_ohm * 1.6).with_parts(**counted)


def _moved(build: Build, place: str, _random: Random) -> Build:
    return build.with_joint(place, moves=True)


def _with_joint(data: Data, joint: str, **cells: object) -> Data:
    columns = {"torque": 0, "resistance": 1, "recheck": 2, "recheck_at": 3, "mark": 4, "at": 5}
    row = [*data["joints"][joint]]
    for name, value in cells.items():
        row[columns[name]] = value
    return {**data, "joints": {**data["joints"], joint: row}}


def _untried(data: Data, place: str, _random: Random) -> Data:
    return _with_joint(data, place, recheck=None, recheck_at=None)


def _tried_early(data: Data, place: str, _random: Random) -> Data:
    at = datetime.fromisoformat(str(data["joints"][place][AT])) + timedelta(minutes=40)
    return _with_joint(data, place, recheck_at=stamp(at))


def _marked_moved(data: Data, place: str, _random: Random) -> Data:
    return _with_joint(data, place, recheck="moved", mark="white")


def _unmarked(data: Data, place: str, _random: Random) -> Data:
    return _with_joint(data, place, mark=None)


def _not_torqued(data: Data, place: str, _random: Random) -> Data:
    return _with_joint(data, place, torque=None)


def _not_read(data: Data, place: str, _random: Random) -> Data:
    again = [entry for entry in data["again"] if entry.get("joint") != place]
    return {**_with_joint(data, place, resistance=None), "again": again}


def _other_unit(data: Data, _place: str, _random: Random) -> Data:
    rows = {name: [Figure(f"{float(row[0]) * LBF_IN_PER_N_M:.1f}"), *row[1:]] if name not in ("columns", "taken")
            and row[0] is not None else row for name, row in data["joints"].items()}  # fmt: skip
    return {**data, "joints": rows}


def _clamped_late(data: Data, _place: str, _random: Random) -> Data:
    last = max(
        datetime.fromisoformat(str(row[AT])) for n, row in data["joints"].items() if n not in ("columns", "taken")
    )
    taken = {**data["clamp"]["taken"], "at": stamp(last + timedelta(minutes=20))}
    return {**data, "clamp": {**data["clamp"], "taken": taken}}


def _clamped(build: Build) -> Sequence[str]:
    return (WHOLE,) if build.pack.clamp else ()


def _wrench_too_large(data: Data, _place: str, _random: Random) -> Data:
    papers = {**data["instruments"]["W1"], "range": "20 N·m to 200 N·m", "accuracy": "4 %"}
    return {**data, "instruments": {**data["instruments"], "W1": papers}}


def _driver(data: Data, _place: str, _random: Random) -> Data:
    papers = {**data["instruments"]["W1"], "kind": "impact wrench"}
    return {**data, "instruments": {**data["instruments"], "W1": papers}}


J = "joints"
HIGH = ("joint-resistance-high", "joint-resistance-above-peers")
FAULTS = (
    Fault("nut-finger-tight", J, "A nut was never tightened", "nothing shows; it turns by hand", FIX, 2, spots.joints,
          _finger_tight, rules=(*HIGH, "joint-torque-low", "joint-moved-at-recheck"),
          believed=(*HIGH, "joint-moved-at-recheck"), near=("film-on-contact", "resistance-high"),
          settles="resistance of the joint, and the re-check at set-point"),
    Fault("wrench-set-low", J, "The wrench was set too low all day", "all alike", FIX, 3, spots.whole, _set_low,
          rules=("joint-torque-low",), believed=(), near=("torque-in-other-unit",),
          blind="the torque written is the one that the wrench was set to, and nobody looked at the setting",
          settles="the setting of the wrench; joints tried at set-point with another one"),
    Fault("torque-in-other-unit", J, "Torques are written in another unit", "all numbers nine times too large", FIX, 2,
          spots.whole, slip=_other_unit, rules=("torque-unit-slip", "joint-torque-high"), near=("wrench-set-low",),
          settles="the scale of the wrench"),
    Fault("nut-too-tight", J, "A nut was tightened beyond its band", "post turned or whitened plastic", FIX, 1,
          spots.joints, _too_tight, rules=("joint-torque-high",), believed=(), near=("nut-cross-threaded",),
          blind="a click wrench shows its setting, and a joint too tight reads as low as a sound one",
          settles="the thread, opened and looked at"),
    Fault("nut-cross-threaded", J, "A nut sits crooked on its thread", "torque reached with a gap under it", FIX, 3,
          spots.joints, _cross_threaded, looked=False, rules=HIGH, near=("washer-under-bar", "film-on-contact"),
          settles="thread that stands out of the nut; the joint opened"),
    Fault("washer-under-bar", J, "A washer lies between post and bar", "the bar stands a millimetre high", FIX, 3,
          spots.joints, _washer_under, looked=False, rules=HIGH, near=("nut-cross-threaded", "film-on-contact"),
          settles="the order of the parts, seen from the side"),
    Fault("film-on-contact", J, "Oxide or residue lies on a contact", "dull ring under the bar", FIX, 4, spots.joints,
          _film, looked=False, rules=("joint-resistance-above-peers",), near=("washer-under-bar", "nut-finger-tight"),
          settles="resistance before and after cleaning, at one torque"),
    Fault("washer-missing", J, "A washer is missing under a nut", "nut on bare bar", FIX, 3,
          lambda build: spots.parts(build, "washer"), _one_fewer,
          rules=("part-count-off",), believed=("part-unaccounted",), near=("washer-left-over",),
          settles="the washers, counted on the faces"),
    Fault("bar-cracked", J, "A bar is cracked", "hairline across the bend", FIX, 2, spots.series_bars, _cracked,
          rules=("conductor-damaged",), believed=(), near=("film-on-contact",), takes="bar resistance",
          blind="joints are read past the crack; only the resistance of the bar itself has it",
          settles="resistance of the bar itself"),
    Fault("bar-of-other-type", J, "A bar is another part than drawn", "thinner, or of another metal", FIX, 2,
          spots.marked_bars, _other_part, rules=("conductor-wrong-part",), believed=("part-unaccounted",),
          near=("bar-cracked",), takes="bar resistance", settles="part number on the bar"),
    Fault("joint-moved", J, "A joint gave at the re-check", "paint line sheared", FIX, 1, spots.rechecked, _moved,
          looked=False, rules=("joint-moved-at-recheck",), near=("nut-finger-tight",), settles="a second re-check"),
    Fault("recheck-left-out", J, "A joint was not tried again", "no entry", FIX, 1, spots.rechecked, slip=_untried,
          rules=("joint-recheck-missing",), near=("recheck-early",), settles="the re-check"),
    Fault("recheck-early", J, "A joint was tried again too soon", "within the hour", FIX, 3, spots.rechecked,
          slip=_tried_early, rules=("joint-recheck-early",), near=("recheck-left-out",), settles="the re-check, later"),
    Fault("marked-though-moved", J, "A joint carries its paint although it moved", "paint on a joint that gave", FIX, 3,
          spots.rechecked, slip=_marked_moved, rules=("joint-moved-at-recheck", "joint-marked-before-recheck"),
          near=("joint-moved",), settles="a second re-check"),
    Fault("mark-missing", J, "A joint has no paint mark", "bare among painted ones", ADVISE, 1, spots.rechecked,
          slip=_unmarked, rules=("joint-mark-missing",), near=("recheck-left-out",), settles="the face, looked along"),
    Fault("torque-not-written", J, "A torque was not written down", "no entry", FIX, 1, spots.joints,
          slip=_not_torqued, rules=("joint-torque-low", "joint-torque-high"), near=("nut-finger-tight",),
          settles="the joint, tried at set-point"),
    Fault("joint-not-read", J, "The resistance of a joint was not read", "no entry", FIX, 1, spots.joints,
          slip=_not_read, rules=HIGH, near=("torque-not-written",), settles="its resistance"),
    Fault("clamped-after-joints", J, "Joints were tightened before the stack was clamped", "times of the clamp", FIX, 4,
          _clamped, slip=_clamped_late, rules=("joint-torqued-before-clamp", "clamp-after-bars"),
          near=("step-out-of-order",), settles="the posts, looked at for strain"),
    Fault("wrench-too-large", J, "The wrench is too large for the joint", "range far above the torque", FIX, 2,
          spots.whole, slip=_wrench_too_large, rules=("torque-tool-out-of-range",), near=("wrench-set-low",),
          settles="the joints, tried with the right wrench"),
    Fault("impact-driver", J, "An impact wrench was used", "named among the instruments", FIX, 2, spots.whole,
          slip=_driver, rules=("torque-tool-forbidden",), near=("nut-too-tight",), settles="posts and threads"),
    Fault("lead-loose-at-device", J, "A lug is loose at a fuse or contactor", "lug turns on its stud", NEVER, 3,
          lambda build: [name for name in build.joints if name.rpartition("/")[2].endswith((".1", ".2"))],
          _finger_tight, rules=(*HIGH, "joint-torque-low", "joint-moved-at-recheck"),
          believed=(*HIGH, "joint-moved-at-recheck"), near=("nut-finger-tight",), settles="resistance of the joint"),
)  # fmt: skip
