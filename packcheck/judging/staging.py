"""The stages of the work at which things are recorded: the steps of the order, then the readings, then the plug."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import NamedTuple

from packcheck.files.name_lists import list_places
from packcheck.files.names import conductor_of
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import DISCONNECT, Stage, faces_of, read_order
from packcheck.model.pack.types import Bounds
from packcheck.model.record.taken_tests import name_of
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import Gate

MOST_NAMED = 6
"""How many names or ranges a stage's title holds."""
MOST_CONDUCTORS_NAMED = 4
"""Beyond so many names or ranges of conductors they are counted."""
_AFTER = {
    Gate.FIT_BARS: "before the bars",
    Gate.PLUG_IN: "readings with the plug out, and the count",
    Gate.CLOSE_CONTACTORS: "plug in, contactors open",
    Gate.RELEASE: "re-check and marks",
}
_READING = "voltage"


class StageOfWork(NamedTuple):
    """Where in the work something is recorded: its place in the order, and what to call it."""

    rank: int
    title: str


class Stages:
    """The stages of one pack's work, and at which of them a thing is there to be looked at."""

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self._title_of: dict[int, str] = {}

    @cached_property
    def _stages(self) -> tuple[Stage, ...]:
        return read_order(self._pack, None if self._pack.order else _usual_order(self._pack)).stages

    @cached_property
    def _ranks(self) -> _Ranks:
        return _ranks(self._pack, self._stages)

    def of(self, datum: Datum, gate: Gate) -> StageOfWork:
        """Return the stage at which a datum can be recorded; the last one of its gate where no step is about it."""
        rank = self._rank_of(datum, gate)
        if rank is None:
            return StageOfWork(len(self._stages), _AFTER[gate])
        if rank not in self._title_of:
            self._title_of[rank] = _title(self._pack, self._stages[rank], numbered=bool(self._pack.order))
        return StageOfWork(rank, self._title_of[rank])

    def is_anywhere(self, name: str) -> bool:
        """Return whether a thing is worked on without regard to faces: a module on the bench, a lead."""
        conductor = self._pack.conductors.get(conductor_of(name))
        return name in self._pack.positions or (conductor is not None and conductor.kind == "lead")

    def target(self, datum: Datum) -> str:
        """Return what a torque has to be, in the words of the layout; empty for anything else."""
        if datum.what.startswith("torque of the clamp") and self._pack.clamp:
            return _band(self._pack.clamp.torque_n_m)
        joint = self._pack.joints.get(datum.place)
        kind = self._pack.joint_types.get(joint[1].joint_type) if joint else None
        return _band(kind.torque_n_m) if kind and datum.what.startswith("torque") else ""

    def _rank_of(self, datum: Datum, gate: Gate) -> int | None:
        if gate in (Gate.CLOSE_CONTACTORS, Gate.RELEASE) or datum.what.startswith(_READING):
            return None
        if "clamp" in datum.what:
            return self._ranks.by_kind.get("clamp", 0)
        if "cap " in datum.what:
            return self._ranks.last_landing.get(datum.place)
        if datum.place in self._pack.taps:
            return self._ranks.by_kind.get("taps")
        return self._ranks.of.get(datum.place)


class _Ranks(NamedTuple):
    """The places of stages in the order: of each thing, of each kind of thing, of the last landing on each place."""

    of: dict[str, int]
    by_kind: dict[str, int]
    last_landing: dict[str, int]


def _ranks(pack: Pack, stages: Sequence[Stage]) -> _Ranks:
    found = _Ranks({}, {}, {})
    for rank, stage in enumerate(stages):
        found.by_kind.setdefault(stage.kind, rank)
        for item in stage.items:
            found.of.setdefault(item, rank)
    for test in pack.tests.values():
        for point in test.points:
            known = found.by_kind.get("taps") if point.part in pack.taps else found.of.get(point.part)
            if known is not None:
                found.of[name_of(test, point.name)] = known
    for name, (conductor, landing) in pack.joints.items():
        found.of[name] = found.of.get(conductor.name, 0)
        found.last_landing[landing.node] = max(found.last_landing.get(landing.node, 0), found.of[name])
    for name, device in pack.devices.items():
        wired = max((found.last_landing.get(end, -1) for end in device.ends), default=-1)
        if wired >= 0 and (name not in found.of or device.kind == DISCONNECT):
            found.of[name] = wired
    return found


def _band(band: Bounds) -> str:
    ends = " to ".join(format_quantity(end, "N·m") for end in (band.low, band.high) if end is not None)
    return ends + (f", aim {format_quantity(band.aim, 'N·m')}" if band.aim is not None else "")


def _usual_order(pack: Pack) -> list[list[str]]:
    """Return the order taken where a layout states none: modules, clamp, bars face by face, the rest, the covers."""
    words = [list(pack.positions), ["clamp"], *_bars(pack), ["bars"], ["leads"]]
    devices = [name for name, device in pack.devices.items() if device.kind != DISCONNECT]
    plugs = [name for name in pack.devices if name not in devices]
    return [step for step in (*words, ["taps"], devices, ["covers"], plugs) if step]


def _bars(pack: Pack) -> list[list[str]]:
    """Return the bars that lie on one face and in one tray, face by face, tray by tray."""
    lying: dict[tuple[str, str], list[str]] = {}
    for name, conductor in pack.conductors.items():
        faces = faces_of(pack, conductor)
        positions = (pack.positions.get(pack.part_at(landing.node)) for landing in conductor.lands)
        trays = {position.tray for position in positions if position}
        if conductor.kind == "bar" and len(faces) == len(trays) == 1:
            lying.setdefault((next(iter(faces)), next(iter(trays))), []).append(name)
    return [lying[key] for key in sorted(lying)]


def _title(pack: Pack, stage: Stage, *, numbered: bool) -> str:
    few = len(stage.items) <= MOST_NAMED
    names = ", ".join(stage.items) if few else list_places(stage.items, MOST_NAMED)
    plain = {"positions": f"modules {names}", "clamp": "clamp", "taps": "sense taps", "others": names}
    words = plain.get(stage.kind, f"{stage.kind} {names}")
    if stage.kind == "conductors":
        words = _conductors(pack, stage.items, names)
    if not numbered:
        return words
    return f"{words}, named by no step of the order" if stage.unnamed else f"step {stage.number}: {words}"


def _conductors(pack: Pack, items: Iterable[str], names: str) -> str:
    conductors = [pack.conductors[name] for name in items]
    if len(conductors) > MOST_NAMED and names.count(",") >= MOST_CONDUCTORS_NAMED:
        names = ""
    kinds = " and ".join(f"{kind}s" for kind in dict.fromkeys(c.kind for c in conductors))
    faces = {frozenset(faces_of(pack, conductor)) for conductor in conductors}
    face = ", ".join(next(iter(faces))) if len(faces) == 1 and len(next(iter(faces))) == 1 else ""
    told = f"{kinds} {names}" if names else f"{len(conductors)} {kinds}"
    return told + (f" on face {face}" if face else "")
