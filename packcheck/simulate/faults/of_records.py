"""Faults of the record itself: what was done is one thing, what was written another."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from random import Random

from packcheck.simulate.build import Build
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, WHOLE, Data, Fault
from packcheck.simulate.meters import Figure
from packcheck.simulate.scribe import bench_of, stamp

INSTRUMENTS = ("V1", "W1", "R1")


def _moment(text: object) -> datetime:
    return datetime.fromisoformat(str(text))


def _swap_steps(data: Data, _place: str, _random: Random) -> Data:
    """Return a record in which the time of a step lies after the joints that were made in it."""
    work = [dict(step) for step in data["work"]]
    for step in work[1:-1]:
        step["at"] = stamp(_moment(step["at"]) + timedelta(hours=9))
    return {**data, "work": work}


def _overdue(data: Data, place: str, random: Random) -> Data:
    due = _moment(data["modules"]["taken"]["at"]) - timedelta(days=random.randrange(6, 60))
    papers = {**data["instruments"][place], "due": Figure(f"{due:%Y-%m-%d}")}
    return {**data, "instruments": {**data["instruments"], place: papers}}


def _coarse(data: Data, _place: str, _random: Random) -> Data:
    papers = {**data["instruments"]["V1"], "accuracy": "2 % + 0.5 V"}
    return {**data, "instruments": {**data["instruments"], "V1": papers}}


def _no_papers(data: Data, place: str, _random: Random) -> Data:
    papers = {key: value for key, value in data["instruments"][place].items() if key != "accuracy"}
    return {**data, "instruments": {**data["instruments"], place: papers}}


def _copied(data: Data, _place: str, _random: Random) -> Data:
    """Return a record in which a dozen resistances of joints stand twice."""
    names = [n for n, row in data["joints"].items() if n not in ("columns", "taken") and row[1] is not None]
    run = min(12, len(names) // 2)
    rows = dict(data["joints"])
    for source, target in zip(names[:run], names[run : 2 * run], strict=True):
        rows[target] = [rows[target][0], rows[source][1], *rows[target][2:]]
    again = [entry for entry in data["again"] if entry.get("joint") not in names[: 2 * run]]
    return {**data, "joints": rows, "again": again}


def _on_one_part(data: Data, place: str, random: Random) -> Data:
    """Return a record in which both probes stood on the bar, the last time too: a small part of what the joint has."""
    share = random.uniform(0.15, 0.4)
    again = [{**one, "resistance": _part_of(one["resistance"], share)} if _rereads(one, place) else one
             for one in data["again"]]  # fmt: skip
    if again != data["again"]:
        return {**data, "again": again}
    row = [*data["joints"][place]]
    row[1] = _part_of(row[1], share)
    return {**data, "joints": {**data["joints"], place: row}}


def _rereads(entry: Data, joint: str) -> bool:
    return entry.get("joint") == joint and "resistance" in entry


def _part_of(read: object, share: float) -> Figure:
    number, _, unit = str(read).partition(" ")
    digits = len(number.partition(".")[2])
    return Figure(f"{float(number) * share:.{digits}f} {unit}".rstrip())


def _reading(data: Data, place: str, text: str) -> Data:
    row = data["readings"][place]
    changed = [*row[:2], Figure(text)] if isinstance(row, list) else {**row, "value": Figure(f"{text} V")}
    return {**data, "readings": {**data["readings"], place: changed}}


def _value(data: Data, place: str) -> str:
    row = data["readings"][place]
    return str(row[2] if isinstance(row, list) else row["value"]).removesuffix(" V")


def _sign(data: Data, place: str, _random: Random) -> Data:
    text = _value(data, place)
    return _reading(data, place, text[1:] if text.startswith("-") else f"-{text}")


def _decimal(data: Data, place: str, _random: Random) -> Data:
    return _reading(data, place, f"{float(_value(data, place)) * 10:.2f}")


def _digits(data: Data, place: str, _random: Random) -> Data:
    """Return a record in which a reading was written with a digit too high."""
    number = float(_value(data, place))
    return _reading(data, place, f"{number + (1.0 if number > 20 else 0.1 * max(3.0, number)):.3f}")


def _rest_decimal(data: Data, place: str, _random: Random) -> Data:
    row = [*data["modules"][place]]
    row[3] = Figure(f"{float(row[3]) * 10:.2f}")
    return {**data, "modules": {**data["modules"], place: row}}


def _stranger(data: Data, _place: str, _random: Random) -> Data:
    work = [dict(step) for step in data["work"]]
    work[len(work) // 2]["by"] = "QX"
    return {**data, "work": work}


def _alone(data: Data, _place: str, _random: Random) -> Data:
    return {**data, "work": [{**step, "second": Figure("none")} if "did" in step else step for step in data["work"]]}


def _old_gloves(data: Data, _place: str, _random: Random) -> Data:
    old = _moment(data["modules"]["taken"]["at"]) - timedelta(days=400)
    return {**data, "work": [{**step, "gloves tested": Figure(f"{old:%Y-%m-%d}")} for step in data["work"]]}


def _tools_uncounted(data: Data, _place: str, _random: Random) -> Data:
    return {key: value for key, value in data.items() if key != "tools"}


def _nobody_looked(data: Data, _place: str, _random: Random) -> Data:
    return {key: value for key, value in data.items() if key != "extra"}


def _unread(data: Data, place: str, _random: Random) -> Data:
    readings = {name: row for name, row in data["readings"].items() if name != place}
    return {**data, "readings": readings}


def _blocks(build: Build) -> Sequence[str]:
    return tuple(one.name for one in bench_of(build.pack).plan.readings if one.name.startswith("block "))


def _past(build: Build) -> Sequence[str]:
    return tuple(one.name for one in bench_of(build.pack).plan.readings if one.name.startswith(("past ", "mains open")))


def _meters(_build: Build) -> Sequence[str]:
    return INSTRUMENTS


def _multi_step(build: Build) -> Sequence[str]:
    return (WHOLE,) if len(bench_of(build.pack).steps.words) > 2 else ()


R = "record"
READ = ("reading-disagrees", "sum-disagrees", "reading-apart-from-modules", "reading-unlike-its-kind")
FAULTS = (
    Fault("step-out-of-order", R, "Joints have times before the step they were made in", "times that cannot be", FIX, 4,
          _multi_step, slip=_swap_steps, rules=("written-out-of-order",), near=("clamped-after-joints",),
          settles="the day's own sheet"),
    Fault("instrument-overdue", R, "An instrument was past its calibration", "due date before the day", FIX, 2, _meters,
          slip=_overdue, rules=("instrument-overdue",), near=("meter-too-coarse",),
          settles="the readings again with one in date"),
    Fault("meter-too-coarse", R, "The meter cannot tell what it is read for", "accuracy wider than the limit", FIX, 4,
          spots.whole, slip=_coarse, rules=("reading-disagrees", "module-facing-unconfirmed", "module-unlike-its-kind",
                                            "rest-voltage-outside-window", "group-surge"),
          near=("accuracy-not-told",), settles="the readings again with a finer one"),
    Fault("accuracy-not-told", R, "An instrument has no accuracy in the record", "no entry", FIX, 2, _meters,
          slip=_no_papers, rules=("accuracy-not-stated",), near=("meter-too-coarse",), settles="its papers"),
    Fault("rows-copied", R, "A run of readings stands twice", "the same dozen digits twice", FIX, 5, spots.whole,
          slip=_copied, rules=("rows-alike",), near=("digit-slip",), settles="five of them, drawn by lot, read again"),
    Fault("sign-slip", R, "A reading is written with the wrong sign", "one minus", FIX, 3, _blocks, slip=_sign,
          rules=READ, near=("block-turned", "taps-exchanged"), settles="the reading again; the sum of the blocks"),
    Fault("decimal-slip", R, "A reading has its point in the wrong place", "ten times too large", FIX, 2, _blocks,
          slip=_decimal, rules=("reading-slip", *READ), near=("digit-slip",), settles="the reading again"),
    Fault("digit-slip", R, "A reading is written with a wrong digit", "nothing shows", FIX, 4, _blocks, slip=_digits,
          rules=READ, near=("charge-low", "cell-shorted"), settles="the reading again; the sum of the blocks"),
    Fault("rest-decimal-slip", R, "A rest voltage has its point in the wrong place", "ten times too large", FIX, 2,
          spots.positions, slip=_rest_decimal,
          rules=("rest-voltage-slip", "rest-voltage-outside-window", "reading-contradicts-first"),
          near=("decimal-slip",), settles="the module again"),
    Fault("probes-on-one-part", R, "A joint was read with both probes on one part", "it reads better than all others",
          FIX, 4, spots.joints, slip=_on_one_part, rules=("joint-resistance-below-peers",), near=("decimal-slip",),
          settles="the joint again, post against bar"),
    Fault("fail-overwritten", R, "A bad reading was written over with a good one", "nothing shows", FIX, 7,
          unseen="a record that was written over looks like one that was not; only its earlier copy would show it"),
    Fault("person-unlisted", R, "A step was done by somebody the record does not list", "initials of nobody", FIX, 2,
          spots.whole, slip=_stranger, rules=("work-people-unlisted",), near=("worked-alone",), settles="who it was"),
    Fault("worked-alone", R, "Work above 60 V was done without a second person", "second: none", FIX, 2, spots.class_b,
          slip=_alone, rules=("class-b-alone",), near=("gloves-out-of-date",), settles="who was there"),
    Fault("gloves-out-of-date", R, "Gloves were past their test", "test date a year old", FIX, 3, spots.class_b,
          slip=_old_gloves, rules=("class-b-without-gloves",), near=("worked-alone",),
          settles="the stamp on the gloves"),
    Fault("tools-uncounted", R, "Tools were not counted", "no table", FIX, 1, spots.whole, slip=_tools_uncounted,
          rules=("tools-not-counted",), near=("tool-left-in",), settles="the count"),
    Fault("nobody-looked", R, "Nobody looked for what does not belong", "no entry", FIX, 3, spots.whole,
          slip=_nobody_looked, rules=("conductor-not-listed",), near=("disconnect-bridged",),
          settles="every face, looked along with a lamp"),
    Fault("opening-not-read", R, "Nobody read whether a switch is open", "no row", NEVER, 3, _past, slip=_unread,
          rules=("contactor-not-shown-open", "disconnect-not-shown-open", "outlet-contactor-not-shown-open"),
          near=("contactor-welded",), settles="the reading"),
)  # fmt: skip
