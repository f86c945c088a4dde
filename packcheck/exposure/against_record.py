"""The order as worked: the exposure after every stage of what a record tells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.exposure.exposed import Exposure, Model
from packcheck.exposure.steps import begun, states_of
from packcheck.model.record.worked import WorkStep


@dataclass(frozen=True)
class Shown:
    """One stage as worked: the step it belongs to and its exposure."""

    step: WorkStep
    exposure: Exposure


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
