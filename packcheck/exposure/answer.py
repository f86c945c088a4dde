"""Everything that ``packcheck exposure`` answers, worked out from a layout and, where given, a record of a build."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.exposure.bounds import Bound, unavoidable
from packcheck.exposure.changes import Change, best_change
from packcheck.exposure.exposed import Asked, Exposure, Model
from packcheck.exposure.planning import acts_of, stages_of_acts
from packcheck.exposure.precedence import Merit, Precedence
from packcheck.exposure.search import merit_of, plan
from packcheck.exposure.steps import begun, states_of
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.geometry.reach import Geometry
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Order, Stage, read_order, teardown
from packcheck.model.record.model import Record
from packcheck.model.record.work_done import WorkStep, read_work
from packcheck.physics.classes import CLASS_A_LIMIT_V
from packcheck.rules.findings import Finding

MOST_ACTS_WEIGHED = 300
"""Orders with more acts than this are compared without their powers."""


@dataclass(frozen=True)
class Passing:
    """The act by which a section first passes 60 V DC, the number of its step, the largest section before and after.

    Voltages [V] with every module at its highest.  ``act`` is "" where a single module is above the limit already.
    """

    stage: Stage | None
    act: str
    before_v: float
    after_v: float


@dataclass(frozen=True)
class Shown:
    """One stage as worked: the step it belongs to and its exposure."""

    step: WorkStep
    exposure: Exposure


@dataclass(frozen=True)
class Proposal:
    """The proposed order: its stages, its merit, whether every order was looked at, what no order avoids.

    ``passing``: when, as it builds up, it first passes 60 V.
    """

    stages: tuple[Stage, ...]
    merit: Merit
    is_best: bool
    bound: Bound
    passing: Passing | None = None


@dataclass(frozen=True)
class Answer:
    """The exposure through the work.

    ``exposures`` belong to the order shown (``shown_order``: "the layout's own order", "the proposed order", each built
    up or, with ``is_teardown``, taken apart).  ``findings`` are those of the rules about the work as told; whoever asks
    for the answer has them judged.  ``own`` is the merit of the layout's order where it has one.  ``passing``: when
    the order shown, as it builds up, first passes 60 V.
    """

    pack: Pack
    record: Record | None
    asked: Asked
    geometry: Geometry
    shown_order: str
    is_teardown: bool
    exposures: tuple[Exposure, ...]
    proposal: Proposal
    own: Merit | None
    left_out: tuple[str, ...]
    change: Change | None
    change_searched: bool
    worked: tuple[Shown, ...] = ()
    findings: tuple[Finding, ...] = ()
    passing: Passing | None = None


def work_out(
    pack: Pack, record: Record | None, asked: Asked, *, proposed: bool = False, backwards: bool = False
) -> Answer:
    """Return the exposure of a pack through its work.

    Parameters
    ----------
    pack : the layout.
    record : a build of it: its measured module voltages are used, and its work is judged; None for the layout alone.
    asked : tools, resistance of the bridge, earthed node, caps.
    proposed : show the proposed order even if the layout has its own.
    backwards : show the teardown of a finished pack.

    Raises
    ------
    InputProblems : the layout's order or the record's work names something that the layout does not have.
    WrongUsage : the earthed node does not exist.
    """
    model, precedence = Model(pack, asked, record), Precedence(pack)
    own = _own_order(pack)
    acts, is_best = plan(model, precedence)
    stages = stages_of_acts(pack, precedence, acts)
    use_own = own is not None and not proposed
    shown = own.stages if own is not None and use_own else stages
    passing = first_passing(precedence, shown)
    shown = teardown(shown) if backwards else tuple(shown)
    exposures = tuple(model.story(shown))
    steps = read_work(record) if record else ()
    worked = as_worked(model, steps) if steps else []
    own_acts = acts_of(own.stages) if own else []
    searched = not backwards and len(pack.positions) <= 400
    return Answer(
        pack, record, asked, model.geometry, "the layout's own order" if use_own else "the proposed order", backwards,
        exposures, Proposal(stages, _merit(model, precedence, acts), is_best, unavoidable(pack, precedence),
                 first_passing(precedence, stages)),
        _merit(model, precedence, own_acts) if own else None, own.left_out if own else (),
        best_change(model, shown, exposures) if searched else None, searched, tuple(worked),
        passing=passing,
    )  # fmt: skip


def along_own_order(pack: Pack, record: Record | None, asked: Asked) -> tuple[tuple[Exposure, ...], Passing | None]:
    """Return the exposure at each step of the layout's own order, and when it first passes 60 V.

    Nothing where the layout states no order, or one that names what it does not have.
    """
    order = read_order(pack) if pack.order else None
    if order is None or order.unknown:
        return (), None
    exposures = Model(pack, asked, record).story(order.stages)
    return tuple(exposures), first_passing(Precedence(pack), order.stages)


def first_passing(precedence: Precedence, stages: Sequence[Stage]) -> Passing | None:
    """Return when an order of work that builds a pack up first passes the limit; None where it never does.

    Parameters
    ----------
    precedence : the pack as the planner sees it.
    stages : the order, as it builds up; of work that takes apart, the same order before it is turned round.
    """
    before = precedence.standing().largest.highest_v
    if before > CLASS_A_LIMIT_V + 1e-9:
        return Passing(None, "", 0.0, before)
    acts = acts_of(stages)
    for act, span in zip(acts, precedence.profile(acts)[0], strict=True):
        if span.highest_v > CLASS_A_LIMIT_V + 1e-9:
            return Passing(_stage_of(act, stages), act, before, span.highest_v)
        before = span.highest_v
    return None


def _stage_of(act: str, stages: Sequence[Stage]) -> Stage | None:
    return next((s for s in stages if act in s.items or (act == "taps" and s.kind == "taps")), None)


def as_worked(model: Model, steps: Sequence[WorkStep]) -> list[Shown]:
    """Return the exposure after every stage of the work as done.

    Positions that no step names stand from the start.  A record whose first act takes something off tells the teardown
    of a finished pack.
    """
    stages = [stage for step in steps for stage in step.stages]
    step_of = {id(stage): step for step in steps for stage in step.stages}
    start = begun(model.pack, stages)
    return [
        Shown(step_of[id(stage)], model.exposure(stage, state)) for stage, state in states_of(model.pack, stages, start)
    ]


def _merit(model: Model, precedence: Precedence, acts: Sequence[str]) -> Merit:
    return merit_of(model, precedence, acts) if len(acts) <= MOST_ACTS_WEIGHED else precedence.profile(acts)[1]


def _own_order(pack: Pack) -> Order | None:
    """Return the layout's own order; None where it states none."""
    if not pack.order:
        return None
    order = read_order(pack)
    if order.unknown:
        known = [*pack.positions, *pack.groups, *pack.conductors, *pack.devices, *pack.covers, "clamp", "taps"]
        raise InputProblems([
            Problem(Origin(pack.file), f"'{word}' in step {number} of the order",
                    "a position, conductor, device or cover of the layout, or clamp, taps, bars on FACE", "",
                    f"did you mean '{near}'?" if (near := nearest_name(word, known)) else "")
            for number, word in order.unknown
        ])  # fmt: skip
    return order


def exit_code(answer: Answer) -> int:
    """Return 1 when the work as done broke something, 3 when some or all of it was not recorded, else 0."""
    outcomes = {finding.outcome.value for finding in answer.findings}
    if answer.record is not None and not answer.record.work:
        return 3
    return 1 if "broken" in outcomes else 3 if outcomes else 0
