"""Which parts of a pack an isolation test is repeated on, and what those that were tested say of one leak or two."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from packcheck.facts.evidence import Evidence
from packcheck.facts.open_switches import DISCONNECTS
from packcheck.model.record.test_results import IsolationTest
from packcheck.network.topology import Step
from packcheck.rules.catalogue import Measured

Total = Callable[[IsolationTest], Measured | None]


class Part(NamedTuple):
    """What hangs together once the disconnects are out: its two ends, and its modules from the negative end on."""

    minus: str
    plus: str
    modules: tuple[str, ...]

    @property
    def words(self) -> str:
        """Return the part as people name it."""
        return f"{self.minus} to {self.plus}"


def parts_of(evidence: Evidence, minus: str, plus: str) -> tuple[Part, ...]:
    """Return the parts into which the disconnects between two poles split what lies between them."""
    walk = evidence.drawn.forest.walk(minus, plus) or []
    runs: list[list[Step]] = [[]]
    for step in walk:
        device = evidence.pack.devices.get(step.edge.part)
        if device and device.kind in DISCONNECTS:
            runs.append([])
        elif step.edge.kind == "module":
            runs[-1].append(step)
    return tuple(_part(run) for run in runs if run)


def _part(run: list[Step]) -> Part:
    first, last = run[0], run[-1]
    minus = first.edge.start if first.forward else first.edge.end
    plus = last.edge.end if last.forward else last.edge.start
    return Part(minus, plus, tuple(step.edge.part for step in run))


def told_by_halves(evidence: Evidence, test: IsolationTest, total_of: Total, below_ohm: float) -> str:
    """Return in words which parts to test by themselves, or what they told: one leak, or two that look like one.

    Parameters
    ----------
    evidence, test : the record, and a test that lies over more than one part.
    total_of : what a test shows to the chassis in all [Ω].
    below_ohm : a part that has less than this leaks [Ω].
    """
    parts = parts_of(evidence, test.minus, test.plus)
    if len(parts) < 2:
        return "no disconnect parts it"
    read = {part: total for part in parts if (total := _total_of(evidence, part, total_of)) is not None}
    left = [part.words for part in parts if part not in read]
    leaking = [part.words for part in parts if part in read and read[part].high < below_ohm]
    if len(leaking) > 1:
        return f"{' and '.join(leaking)} leak each by itself: two leaks or more, and the place between them is innocent"
    if left:
        each = "each by itself" if len(left) > 1 else "by itself"
        return f"with the plug out test {' and '.join(left)} {each}, since two leaks look like one between them"
    return f"{leaking[0]} leaks, and the rest does not: one leak, in there" if leaking else (
        "no part leaks by itself: look at what joins them, and at what is on only with the plug in")  # fmt: skip


def _total_of(evidence: Evidence, part: Part, total_of: Total) -> Measured | None:
    """Return what the test of a part shows in all [Ω]; None where it was not tested by itself."""
    tests = evidence.record.isolation.values() if evidence.record else ()
    same = (test for test in tests if modules_between(evidence, test) == list(part.modules))
    return next((total for test in same if (total := total_of(test)) is not None), None)


def modules_between(evidence: Evidence, test: IsolationTest) -> list[str]:
    """Return the modules from the negative pole to the positive one, in order; of a group its first member."""
    walk = evidence.drawn.forest.walk(test.minus, test.plus) or ()
    return [step.edge.part for step in walk if step.edge.kind == "module"]
