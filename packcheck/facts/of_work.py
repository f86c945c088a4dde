"""Facts about the work as told: what lay bare in each step, what was worn, what was never put on or stayed off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from packcheck.exposure.precedence import planned_before
from packcheck.exposure.sections import Sections
from packcheck.exposure.steps import Bareness, State, begun, states_of
from packcheck.facts.evidence import Evidence
from packcheck.facts.protection_worn import protection
from packcheck.files.frozen import dataclass
from packcheck.files.name_lists import list_places
from packcheck.geometry.bodies import Body, bodies_of
from packcheck.geometry.reach import Geometry
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage, read_order
from packcheck.model.record.model import Record
from packcheck.model.record.work_done import WorkStep, read_work
from packcheck.network.graph import Edge
from packcheck.rules.catalogue import Datum, Row, Value

_DIGITS = 9
"""Digits after the point of a sum of module voltages [V] that are no rounding: 60 V stays 60 V."""


def work_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per step of the work that did or took off something; none where the record tells no work.

    Raises
    ------
    InputProblems : a step names something that neither layout nor record has.
    """
    record = evidence.record
    if record is None or not record.work:
        return
    site = _site_of(evidence.pack, tuple(evidence.built.edges))
    steps = [step for step in read_work(record) if step.stages]
    begin = begun(evidence.pack, [stage for step in steps for stage in step.stages])
    for step in steps:
        seen = [site.seen(was, stage, now) for was, stage, now in _moments(evidence.pack, step.stages, begin)]
        for stage in step.stages:
            begin = begin.after(evidence.pack, stage)
        yield _row(evidence, step, seen)


def _moments(pack: Pack, stages: Sequence[Stage], begin: State) -> Iterator[tuple[State, Stage, State]]:
    """Yield each stage with the state before it, and the state to look at for what lies bare in it."""
    for stage in stages:
        ((_, seen),) = states_of(pack, (stage,), begin)
        yield begin, stage, seen
        begin = begin.after(pack, stage)


@dataclass(frozen=True)
class _Seen:
    """What one stage showed: volts within reach of hands [V], faces open, covers off that are due, slips of order."""

    touch_v: float = 0.0
    faces: tuple[str, ...] = ()
    off_at_disconnect: tuple[str, ...] = ()
    due: tuple[str, ...] = ()
    doubled: tuple[str, ...] = ()
    hanging: tuple[str, ...] = ()


class _Metal(NamedTuple):
    """What a layout says about its metal: the bodies, which are bare when, and the covers on before each thing."""

    bodies: tuple[Body, ...]
    bareness: Bareness
    planned: Mapping[str, frozenset[str]]


@lru_cache(maxsize=4)
def _metal_of(pack: Pack) -> _Metal:
    """Return the metal of a layout; several records are checked against one."""
    bodies = tuple(bodies_of(pack))
    return _Metal(bodies, Bareness(pack, Geometry(bodies, (), (), 0)), planned_before(pack))


class _Site:
    """The pack on the bench: its metal, and its sections as recorded."""

    def __init__(self, pack: Pack, edges: Sequence[Edge]) -> None:
        self._pack = pack
        self._bodies, self._bareness, self._planned = _metal_of(pack)
        self._sections = Sections(pack, edges)
        self.seen = lru_cache(maxsize=64)(self._seen)

    def _seen(self, was: State, stage: Stage, now: State) -> _Seen:
        """Return what a stage showed between the states before and after it."""
        volts, bare = self._touch(now)
        covers = stage.kind == "covers" and not stage.off
        if covers:
            volts = max(volts, self._touch(was)[0])
        closes = stage.kind == "disconnect" and not stage.off
        off = tuple(name for name in self._pack.covers if name not in now.covers)
        return _Seen(
            volts if not closes else max(volts, self._across(now)),
            self._faces(now, bare),
            off if closes else (),
            () if covers or stage.off else tuple(name for name in off if name in self._due(stage)),
            () if stage.off else tuple(name for name in stage.items if name in _there(was, stage.kind)),
            () if stage.off else tuple(self._hanging(stage, now)),
        )

    def _touch(self, state: State) -> tuple[float, list[Body]]:
        """Return the highest voltage [V] between two bare conductors of one section, and the bare ones."""
        by_root = self._sections.of(state)
        bare = [self._bodies[index] for index in self._bareness.bare(state)]
        live = [body for body in bare if self._sections.root_of(body.node) in by_root]
        return self._sections.touch_v(by_root, (body.node for body in live)), live

    def _across(self, state: State) -> float:
        return max((section.highest_v for _, section in self._sections.of(state).values()), default=0.0)

    def _faces(self, state: State, bare: Iterable[Body]) -> tuple[str, ...]:
        """Return the faces on which fixed metal lies bare, once a conductor is among the bare metal."""
        bare = list(bare)
        if not any(body.name in state.conductors for body in bare):
            return ()
        return tuple(dict.fromkeys(b.face for b in bare if b.kind in ("post", "bar") and b.face != "any"))

    def _due(self, stage: Stage) -> frozenset[str]:
        items = ("taps",) if stage.kind == "taps" else stage.items
        known = [self._planned[item] for item in items if item in self._planned]
        return frozenset.intersection(*known) if known else frozenset()

    def _hanging(self, stage: Stage, now: State) -> Iterator[str]:
        """Yield conductors put on where a module was still to come."""
        for name in stage.items if stage.kind == "conductors" else ():
            conductor = self._pack.conductors.get(name)
            ends = [self._pack.part_at(landing.node) for landing in conductor.lands] if conductor else []
            if any(end in self._pack.positions and end not in now.positions for end in ends):
                yield name


@lru_cache(maxsize=2)
def _site_of(pack: Pack, edges: tuple[Edge, ...]) -> _Site:
    """Return the pack on the bench; records in which the same conducts alike share one."""
    return _Site(pack, edges)


def _there(state: State, kind: str) -> frozenset[str]:
    """Return what of a kind is there already; places, taps and devices may be named as often as one likes."""
    return {"conductors": state.conductors, "covers": state.covers, "disconnect": state.closed}.get(kind, frozenset())


def _row(evidence: Evidence, step: WorkStep, seen: Sequence[_Seen]) -> Row:
    items = list(dict.fromkeys(item for stage in step.stages for item in stage.items))
    work = ("off " if step.stages[0].off else "") + list_places(items, 6)
    faces = max((one.faces for one in seen), key=len)
    off, due = _all(one.off_at_disconnect for one in seen), _all(one.due for one in seen)
    doubled, hanging = _all(one.doubled for one in seen), _all(one.hanging for one in seen)
    closes = any(stage.kind == "disconnect" and not stage.off for stage in step.stages)
    touch_v = round(max(one.touch_v for one in seen), _DIGITS)
    when = f", {step.at:%Y-%m-%d %H:%M}" if step.at else ""
    values: dict[str, Value] = {
        "step": f"step {step.number}",
        "work": work,
        "touch_v": touch_v,
        "gloves_for_v": max(touch_v, abs(evidence.drawn.highest_v or 0.0)),
        **protection(evidence.record, step),
        "faces_open": len(faces),
        "faces_open_names": list_places(faces) if faces else "none",
        "is_disconnect": closes,
        **_named("covers_off", off),
        "order_stated": bool(evidence.pack.order),
        **_named("covers_due", due),
        **_named("doubled", doubled),
        **_named("without_module", hanging),
    }
    place = f"step {step.number} of the work{when}: {work}"
    touches = frozenset((f"step {step.number} of the work",))
    return Row(f"step {step.number}", values, {}, touches, place, "", step.origin)


def _named(column: str, names: Sequence[str]) -> Mapping[str, Value]:
    return {column: len(names), f"{column}_names": list_places(names) if names else "none"}


def _all(names: Iterable[Iterable[str]]) -> list[str]:
    return list(dict.fromkeys(name for some in names for name in some))


ALL = "all that is fitted"


def told_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row about the work of a record that tells any: whether a step put on each thing that is fitted.

    Asked of what the layout's order names; of all bars, links and covers where it states none.  Leads come with their
    device, and a disconnect that is fitted is not yet put in.
    """
    record = evidence.record
    steps = [step for step in read_work(record) if step.origin] if record else []
    if record is None or not any(step.stages for step in steps):
        return
    told = {item for step in steps for stage in step.stages if not stage.off for item in stage.items}
    taken_off = {item for step in steps for stage in step.stages if stage.off for item in stage.items}
    untold = [name for name in _asked(evidence.pack) if name not in told | taken_off and _is_fitted(record, name)]
    left = [name for name in _left_off(steps) if _is_fitted(record, name)]
    datum = Datum("the step of the work in which it was put on", list_places(untold), "eyes")
    values: dict[str, Value] = {"told": ALL, "steps_told": None if untold else True, "left_off": len(left)}
    values["left_off_names"] = list_places(left) if left else "none"
    place = f"the work, which does not tell of {list_places(untold, 6)}" if untold else "the work"
    yield Row(ALL, values, {"steps_told": datum}, frozenset((*untold, *left)), place, "", steps[0].origin)


def _left_off(steps: Iterable[WorkStep]) -> list[str]:
    """Return what the last step that names it took off, in the order of the work; a disconnect may well be out."""
    stages = [stage for step in steps for stage in step.stages if stage.kind != "disconnect"]
    last = {item: stage.off for stage in stages for item in stage.items}
    return [item for item, off in last.items() if off]


def _asked(pack: Pack) -> list[str]:
    """Return the positions, conductors and covers that the order names; bars, links and covers where there is none."""
    if not pack.order:
        return [*(c.name for c in pack.conductors.values() if c.kind != "lead"), *pack.covers]
    stages = [stage for stage in read_order(pack).stages if not stage.unnamed]
    return [item for stage in stages if stage.kind in ("positions", "conductors", "covers") for item in stage.items]


def _is_fitted(record: Record, name: str) -> bool:
    """Return whether the record has a part fitted; the clamp, whether it was read."""
    if name == "clamp":
        return any((record.compression.length_mm, record.compression.torque_n_m))
    parts = (record.modules, record.conductors, record.covers, record.devices)
    return any(name in kind and kind[name].fitted is True for kind in parts)
