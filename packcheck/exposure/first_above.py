"""When work first goes beyond the limit of voltage class A: at which step, by which act, from how much to how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.exposure.planning import acts_of
from packcheck.exposure.precedence import Precedence
from packcheck.model.pack.order import Stage
from packcheck.physics.classes import CLASS_A_LIMIT_V


@dataclass(frozen=True)
class Passing:
    """The act by which a section first passes 60 V DC, the number of its step, the largest section before and after.

    Voltages [V] with every module at its highest.  ``act`` is "" where a single module is above the limit already.
    """

    stage: Stage | None
    act: str
    before_v: float
    after_v: float


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
