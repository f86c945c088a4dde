"""Every kind of fault at every place: the right rule finds it at the right place, and nothing else stands beside it."""

from __future__ import annotations

from itertools import chain

import pytest
from faulty_builds import above_advice, every_finding, judged, with_changes
from kinds_of_fault import ROWS, TOPOLOGY, UNSEEN, UNSEEN_BY_VOLTAGE, Kind, build

from packcheck.rules.findings import Outcome, Severity, Verdict

SHORTS = ("loop-shorts-modules", "loop-closed-by-switch")
"""A live short stands first, and what made it is told under it."""
GRAVE = ("reading-disagrees", "reading-floating")
"""What forbids energizing; a voltage where nothing joins, but less than a bridge would give, holds the pack."""
CLOSER = {
    "disconnect-not-shown-open",
    "sum-disagrees",
    "reading-apart-from-modules",
    "reading-unlike-its-kind",
    "reading-below-lowest",
}
"""Rules that look more closely at the same readings, and at those that change by less than half a module."""
U = Outcome.UNPROVEN
UNRECORDED = [
    ("joints", "torque N·m", "joint-torque-low", 18),
    ("joints", "resistance µΩ", "joint-resistance-high", 18),
    ("modules", "plus at", "module-reversed", 6),
    ("modules", "serial", "serial-doubled", 6),
    ("modules", "rest V", "rest-voltage-outside-window", 6),
    ("bars", None, "conductor-not-fitted", 4),
    ("leads", None, "conductor-not-fitted", 5),
    ("modules", None, "module-not-fitted", 6),
    ("devices", None, "device-not-fitted", 4),
    ("covers", None, "cover-not-fitted", 2),
    ("caps", None, "post-cap-missing", 18),
    ("taps", None, "tap-moved", 8),
    ("parts", None, "part-unaccounted", 7),
]


def names(kind: Kind) -> str:
    return f"{kind.name} in {kind.pack}"


@pytest.mark.parametrize("kind", [*TOPOLOGY, *UNSEEN, *ROWS], ids=names)
def test_told_honestly_each_fault_stands_alone_at_the_top_at_its_place(kind: Kind) -> None:
    wrong = []
    for fault in kind.cases():
        judgement = judged(build(kind.pack).honest(fault), kind.gate)
        shorts = [f for f in above_advice(judgement) if f.rule in SHORTS]
        top = [f for f in above_advice(judgement) if f.rule not in SHORTS]
        led = {(c.rule, c.subject) for short in shorts for c in short.consequences}
        found = {(f.rule, f.subject) for f in top if f.outcome is Outcome.BROKEN} | (led & set(fault.top))
        folded = {(c.rule, c.subject) for finding in (*top, *shorts) for c in finding.consequences}
        told = len(top) + len(led & set(fault.top))
        if (
            found != set(fault.top)
            or told != len(fault.top)
            or not set(fault.folded) <= folded | {(s.rule, s.subject) for s in shorts}
        ):
            wrong.append((fault.place, [(f.rule, f.subject, f.outcome.value) for f in top][:6]))
        elif judgement.verdict is not kind.verdict:
            wrong.append((fault.place, judgement.verdict.value))
    assert not wrong, f"{len(wrong)} of {kind.places}: {wrong[:6]}"


@pytest.mark.parametrize("kind", TOPOLOGY, ids=names)
def test_told_as_drawn_the_readings_that_the_fault_changes_break_and_no_others(kind: Kind) -> None:
    b = build(kind.pack)
    sound = b.true_voltages(b.clean)
    module_v = min(kind_.rest_middle_v for kind_ in b.pack.module_types.values())
    members = max(map(len, b.pack.groups.values()))
    wrong = []
    for fault in kind.cases():
        judgement = judged(b.silent(fault), kind.gate)
        changed = [
            abs(x - y) / module_v
            for x, y in zip(sound, b.true_voltages(with_changes(b.clean, fault.changes)), strict=True)
        ]
        must = {name for name, by in zip(b.planned_readings, changed, strict=True) if by > 0.6}
        may = {name for name, by in zip(b.planned_readings, changed, strict=True) if by > 0.4 * min(1, 2 / members)}
        broken = [f for f in every_finding(judgement) if f.outcome is Outcome.BROKEN]
        broken = [f for f in broken if f.severity is not Severity.ADVISE]
        found = {f.subject for f in broken if f.rule in (*GRAVE, "reading-ghost")}
        others = {f.rule for f in broken} - {*GRAVE, "reading-ghost", "module-facing-contradicted"}
        if not must or not must <= found <= may or others - CLOSER:
            wrong.append((fault.place, sorted(must ^ found), sorted(others)))
        elif any(f.rule in GRAVE for f in broken) != (judgement.verdict is Verdict.DO_NOT_ENERGIZE):
            wrong.append((fault.place, judgement.verdict.value))
    assert not wrong, f"{len(wrong)} of {kind.places}: {wrong[:6]}"


@pytest.mark.parametrize("kind", UNSEEN, ids=names)
def test_what_no_voltage_shows_is_not_claimed_to_be_found_when_the_record_is_silent(kind: Kind) -> None:
    assert kind.name in UNSEEN_BY_VOLTAGE
    b = build(kind.pack)
    for fault in kind.cases():
        judgement = judged(b.silent(fault))
        assert above_advice(judgement) == [], fault.place
        assert judgement.verdict is Verdict.NO_RULE_BROKEN


@pytest.mark.parametrize(("section", "column", "rule", "places"), UNRECORDED, ids=lambda v: str(v))
def test_what_nobody_recorded_is_unproven_and_nothing_is_called_broken(
    section: str, column: str | None, rule: str, places: int
) -> None:
    b = build("stick 6")
    faults = list(b.cells(section, column, "none", rule) if column else b.rows(section, None, rule))
    assert len(faults) == places
    for fault in faults:
        judgement = judged(b.record(fault.changes))
        found = {(f.rule.replace("disconnect-", "device-"), f.subject) for f in every_finding(judgement)}
        assert set(fault.top) <= found, fault.place
        assert {f.outcome for f in every_finding(judgement) if f.severity is not Severity.ADVISE} == {U}, fault.place
        assert judgement.verdict is Verdict.HOLD, fault.place
        if section in ("joints", "caps", "taps", "parts"):
            assert {f.subject for f in above_advice(judgement)} == {fault.place}


def test_the_matrix_has_not_shrunk() -> None:
    visited = [len(range(0, kind.places, kind.every)) for kind in chain(TOPOLOGY, UNSEEN, ROWS)]
    assert (sum(visited[: len(TOPOLOGY)]), sum(visited)) == (306, 732)
    assert (len(TOPOLOGY), len(UNSEEN), len(ROWS)) == (45, 5, 37)
