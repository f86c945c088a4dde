"""What one more measurement costs in points of a case: the one table, each price with its reason.

Prices were chosen for teaching, by what a reading takes and what it exposes a person to: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from packcheck.simulate.asked.question import Question, live_state
from packcheck.simulate.circuit import circuit_of
from packcheck.simulate.elements import elements
from packcheck.simulate.measuring import volts_between
from packcheck.simulate.scribe import Bench

BUDGET = 10
"""Points that the questions on one case may cost together: half of what a case is worth."""
CLASS_B_V = 60.0
"""Where voltage class B begins [V] (ISO 6469-3, table 1, from memory)."""
VOLTAGE_KINDS = ("volts", "loaded")


class Cost(NamedTuple):
    """Points, and why so many."""

    points: int
    why: str


COSTS: Mapping[str, Cost] = {
    "look": Cost(1, "a lamp and a mirror; no hand goes in"),
    "label": Cost(1, "read from outside; nothing is touched"),
    "papers": Cost(1, "nobody goes near the pack"),
    "count": Cost(1, "a tray and a list; the pack stays covered"),
    "length": Cost(1, "a gauge at the case; no post is near"),
    "volts": Cost(1, "two insulated probes, for a second"),
    "resistance": Cost(2, "four clips on bare metal, joint after joint"),
    "torque": Cost(2, "a metal tool on a live post, and a joint that may be disturbed"),
    "isolation": Cost(3, "a resistor laid from a live pole to the chassis"),
    "rest": Cost(3, "the module taken out of the stack, and nine days"),
    "mass": Cost(3, "the module taken out of the stack: every bar off and on again"),
    "loaded": Cost(4, "the pack made live with the fault still in it"),
    "capacity": Cost(4, "the module taken out, and a day on the cycler"),
}
ABOVE_60_V = Cost(1, "the drawing has more than 60 V between the probes: gloves and a second person")
LIVE = Cost(1, "main contactors are closed: the outside is live")


def costs_of(bench: Bench, question: Question) -> tuple[Cost, ...]:
    """Return what a question costs and why; by the drawing alone, so that a price tells nothing of the build."""
    found = [COSTS[question.kind]]
    if question.kind in VOLTAGE_KINDS:
        state = question.state or live_state(bench.pack)
        if abs(_drawn_v(bench, question, state)) > CLASS_B_V:
            found.append(ABOVE_60_V)
        if question.kind == "volts" and live_state(bench.pack) == state:
            found.append(LIVE)
    return tuple(found)


def points_of(costs: tuple[Cost, ...]) -> int:
    """Return what a question costs together [points]."""
    return sum(cost.points for cost in costs)


def _drawn_v(bench: Bench, question: Question, state: str) -> float:
    build, closed = bench.build("drawn"), bench.pack.states[state].closed
    plus, minus = question.names
    return volts_between(build, closed, plus, minus, circuit_of(tuple(elements(build, closed))))
