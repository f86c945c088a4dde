"""From which act of the work on does a fault hurt?  By that gate its rule is due, and forbids from a file.

The cases are those of ``tests/outcomes``; here whole answers are judged at the gate, with every rule.
"""

from __future__ import annotations

import pytest

from packcheck.judging.judge import judge
from packcheck.judging.to_do import walk
from packcheck.rules.findings import GATES, Gate, Outcome, Verdict
from tests.test_outcomes_from_files import CASES, RULES, TABLES, facts_from

HURTS_FROM = {
    # a bar that touches down: the short is there whatever the plug does
    "bare-conductors-touch": Gate.FIT_BARS,
    "conductor-stray": Gate.FIT_BARS,
    "group-surge": Gate.FIT_BARS,
    "layout-loop": Gate.FIT_BARS,
    "loop-shorts-modules": Gate.FIT_BARS,
    # bars are fitted by people who rely on the open disconnect
    "disconnect-useless-as-drawn": Gate.FIT_BARS,
    "device-shunted-as-drawn": Gate.FIT_BARS,
    "layout-without-disconnect": Gate.FIT_BARS,
    # a bolt is stretched, and hardware dropped, while bars are fitted
    "gap-bridged-by-hardware": Gate.FIT_BARS,
    "joint-band-missing": Gate.FIT_BARS,
    "joint-clamp-load-high": Gate.FIT_BARS,
    "joint-clamp-load-over-proof": Gate.FIT_BARS,
    "joint-class-unknown": Gate.FIT_BARS,
    "joint-thread-stress-high": Gate.FIT_BARS,
    # bars tie posts together, which a stack that is clamped later pulls on
    "clamp-length-off": Gate.FIT_BARS,
    "clamp-torque-off": Gate.FIT_BARS,
    # the first reading that is relied on is that of a module before its bar
    "accuracy-not-stated": Gate.FIT_BARS,
    "instrument-overdue": Gate.FIT_BARS,
    # the second plug or isolator of a store joins its strings, before any main contactor
    "layout-strings-unequal": Gate.PLUG_IN,
    "loop-closed-by-switch": Gate.PLUG_IN,
    "string-surge": Gate.PLUG_IN,
}


FROM_A_FILE = [name for name in HURTS_FROM if (name, Outcome.BROKEN.value) in CASES]


def test_rule_is_due_by_the_act_from_which_its_fault_hurts() -> None:
    assert {name: RULES[name].gate for name in HURTS_FROM} == HURTS_FROM
    assert len(FROM_A_FILE) >= 18


@pytest.mark.parametrize("name", FROM_A_FILE)
def test_broken_from_a_file_at_its_gate_and_not_before(name: str) -> None:
    case = CASES[name, Outcome.BROKEN.value]
    changes = (tuple(case.get(key, {}).items()) for key in ("change", "layout change"))
    facts = facts_from(str(case["file"]), *changes)
    rules = list(RULES.values())
    judged = judge(rules, facts, TABLES, gate=HURTS_FROM[name])
    assert (name, case["at"]) in {(f.rule, f.subject) for f in walk(judged.findings) if f.outcome is Outcome.BROKEN}
    if RULES[name].severity.value == "never-energize":
        assert judged.verdict is Verdict.DO_NOT_ENERGIZE
    for earlier in GATES[: GATES.index(HURTS_FROM[name])]:
        before = judge(rules, facts, TABLES, gate=earlier)
        assert name not in {f.rule for f in walk(before.findings)}
