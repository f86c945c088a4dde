"""A torque tool that is no wrench has a range like one."""

from __future__ import annotations

import pytest
from faulty_builds import Build, judged
from workshop import stick_layout

from packcheck.rules.findings import Outcome


@pytest.mark.parametrize(("written", "found"), [("1 N·m to 13 N·m", set()), ("10 N·m to 50 N·m", {Outcome.BROKEN})])
def test_a_torque_screwdriver_is_held_to_the_range_that_it_states(written: str, found: set[Outcome]) -> None:
    b = Build(stick_layout(6))
    tool = {**b.clean["instruments"]["W1"], "kind": "torque screwdriver", "range": written}
    b.clean["instruments"] = {**b.clean["instruments"], "W1": tool}
    findings = judged(b.record()).findings
    assert {f.outcome for f in findings if f.rule == "torque-tool-out-of-range"} == found
