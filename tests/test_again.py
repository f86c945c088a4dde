"""A second reading stands beside the first: what the first showed is not undone by it."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from faulty_builds import Build, every_finding, judged
from workshop import Data, grouped_layout, record_of, stick_layout

from packcheck.files.problems import InputProblems
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict


@cache
def build(name: str) -> Build:
    layouts = {"sticks": lambda: stick_layout(7), "groups": lambda: grouped_layout(4, 2)}
    return Build(layouts[name](), release=True)


def told_again(b: Build, first: dict[tuple[str, str, int], Any], *again: Data) -> Data:
    """Return a clean record with some first cells otherwise, and second readings beside them."""
    record = dict(b.clean)
    for (section, row, column), value in first.items():
        cells = list(record[section][row])
        cells[column] = value
        record[section] = {**record[section], row: cells}
    return {**record, "again": [{"by": "MK", **entry} for entry in again]}


def broken(b: Build, record: Data) -> set[tuple[str, str]]:
    found = every_finding(judged(record_of(record, b.pack), Gate.RELEASE))
    return {(f.rule, f.subject) for f in found if f.outcome is Outcome.BROKEN and f.severity is not Severity.ADVISE}


def joint_of(b: Build) -> str:
    return next(name for name in b.clean["joints"] if name not in ("columns", "taken"))


@pytest.mark.parametrize(("replaced", "first", "is_broken"), [
    ({}, 6.2, True), ({"replaced": "fastener"}, 6.2, False), ({"replaced": "module"}, 6.2, False), ({}, 3.1, False),
])  # fmt: skip
def test_a_joint_once_beyond_its_band_keeps_its_mark_until_its_hardware_is_new(
    replaced: Data, first: float, is_broken: bool
) -> None:
    b = build("sticks")
    joint = joint_of(b)
    second = {"at": "2026-10-05 11:40", "joint": joint, "torque": "4.5 N·m", "why": "eased", **replaced}
    record = told_again(b, {("joints", joint, 0): first}, second)
    assert (("joint-once-overtightened", f"torque of {joint}") in broken(b, record)) is is_broken
    assert ("joint-torque-high", joint) not in broken(b, record)


def test_what_a_wrench_could_give_is_no_slip_of_the_unit() -> None:
    """40 in·lbf is 4.5 N·m; a wrench of 2 N·m to 10 N·m cannot have given 40 N·m, one of 10 N·m to 60 N·m can."""
    b = build("sticks")
    joint = joint_of(b)
    second = {"at": "2026-10-05 11:40", "joint": joint, "torque": "4.5 N·m", "with": "W1", "why": "eased"}
    record = told_again(b, {("joints", joint, 0): 40}, second)
    subject = ("joint-once-overtightened", f"torque of {joint}")
    assert subject not in broken(b, record)
    record["instruments"] = {**record["instruments"], "W1": {**record["instruments"]["W1"], "range": "2 N·m to 60 N·m"}}
    assert subject in broken(b, record)


@pytest.mark.parametrize(("again", "verdict"), [
    ([("2026-10-05 20:00", "MK")], Verdict.DO_NOT_ENERGIZE),  # hours later: it was charged
    ([("2026-10-05 20:00", "MK"), ("2026-10-05 20:05", "TO")], Verdict.DO_NOT_ENERGIZE),
    ([("2026-10-05 08:44", "MK"), ("2026-10-05 08:50", "TO")], Verdict.NO_RULE_BROKEN),  # the probe had slipped
    ([("2026-10-05 08:44", "MK"), ("2026-10-05 08:50", "M K")], Verdict.DO_NOT_ENERGIZE),  # one person, spelt twice
])  # fmt: skip
def test_a_cell_that_came_back_is_no_sound_cell(again: list[tuple[str, str]], verdict: Verdict) -> None:
    b = build("groups")
    rest = b.clean["modules"]["G2a"][3]
    entries = [{"at": at, "by": by, "module": "G2a", "rest": f"{rest} V", "why": "read again"} for at, by in again]
    record = told_again(b, {("modules", "G2a", 3): 0.4}, *entries)
    assert judged(record_of(record, b.pack), Gate.FIT_BARS).verdict is verdict


def test_another_module_in_its_place_ends_the_matter() -> None:
    b = build("groups")
    rest = b.clean["modules"]["G2a"][3]
    other = {"at": "2026-10-05 11:00", "module": "G2a", "rest": f"{rest} V", "why": "swapped", "replaced": "module"}
    first = b.clean["modules"]["G2a"][0]
    for serial, verdict in (
        ({"serial": "M-9999"}, Verdict.NO_RULE_BROKEN), ({}, Verdict.HOLD), ({"serial": first}, Verdict.HOLD),
        ({"serial": f" {first.lower()}"}, Verdict.HOLD),
    ):  # fmt: skip
        record = told_again(b, {("modules", "G2a", 3): 0.4}, other | serial)
        assert not broken(b, record)
        assert judged(record_of(record, b.pack), Gate.FIT_BARS).verdict is verdict


@pytest.mark.parametrize(("by", "is_broken"), [((), True), (("TO",), False), (("MK",), True)])
def test_a_sign_that_changed_counts_once_a_second_person_has_read_it(by: tuple[str, ...], is_broken: bool) -> None:
    b = build("sticks")
    name = next(n for n, row in b.clean["readings"].items() if isinstance(row, list) and n not in ("columns", "taken"))
    value = b.clean["readings"][name][2]
    again = [
        {"at": f"2026-10-05 17:0{i}", "by": who, "reading": name, "value": f"{value} V", "why": "leads exchanged"}
        for i, who in enumerate(("MK", *by))
    ]
    record = told_again(b, {("readings", name, 2): -value}, *again)
    found = broken(b, record)
    assert {rule for rule, _ in found} == ({"reading-contradicts-first"} if is_broken else set())


def test_only_what_a_joint_or_a_module_has_can_be_replaced() -> None:
    b = build("groups")
    entry = {"at": "2026-10-05 11:00", "module": "G2a", "rest": "3.6 V", "why": "new", "replaced": "fastener"}
    with pytest.raises(InputProblems, match="put in new before a module is read again"):
        record_of(told_again(b, {}, entry), b.pack)


@pytest.mark.parametrize(("at", "is_broken"), [("2026-10-05 08:00", True), ("2026-10-05 10:04", True),
                                               ("2026-10-05 10:05", False), ("2026-10-05 10:15", False)])  # fmt: skip
def test_what_was_seen_last_counts_not_what_was_written_last(at: str, is_broken: bool) -> None:
    """A bar seen cracked at 10:05 is not made sound by a look at 10:04 that stands further down."""
    b = build("sticks")
    record = {**b.clean, "bars": {**b.clean["bars"]}}
    record["bars"].pop("taken", None)
    record["bars"]["B1"] = {"is": "as drawn", "condition": "cracked", "at": "2026-10-05 10:05", "by": "MK"}
    again = {"conductor": "B1", "condition": "sound", "at": at, "by": "MK", "why": "put right"}
    found = broken(b, {**record, "again": [again]})
    assert any(rule == "written-out-of-order" and "second look after first look" in s for rule, s in found) is is_broken
    assert ("conductor-damaged", "B1") not in found


@pytest.mark.parametrize(("recheck", "is_broken"), [
    ([{"is": "held", "at": "2026-10-06 08:10"}], False),
    ([{"is": "held", "at": "2026-10-05 11:10"}], True),
])  # fmt: skip
def test_a_re_check_in_braces_has_the_time_in_its_braces(recheck: list[Any], is_broken: bool) -> None:
    """A joint that is checked again after 12 h was not when that was done within the hour."""
    b = build("sticks")
    joint, columns = joint_of(b), b.clean["joints"]["columns"]
    cells = [recheck[0] if c == "recheck" else "none" if c == "recheck at" else cell
             for c, cell in zip(columns, b.clean["joints"][joint], strict=True)]  # fmt: skip
    record = {**b.clean, "joints": {**b.clean["joints"], joint: cells}}
    found = every_finding(judged(record_of(record, b.pack), Gate.RELEASE))
    outcomes = {f.outcome for f in found if (f.rule, f.subject) == ("joint-recheck-early", joint)}
    assert outcomes == ({Outcome.BROKEN} if is_broken else set())
