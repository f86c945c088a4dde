"""Rows that stand twice: found where chance would not have it, and not where a coarse meter or a sorted list has it."""

from __future__ import annotations

import random

import pytest
from faulty_builds import Build, every_finding, judged
from workshop import Data, grouped_layout, record_of, stick_layout

from packcheck.rules.findings import Gate, Outcome, Verdict

RULE = "rows-alike"


def broken(record: Data, b: Build) -> list[str]:
    """Return which rows are said to stand again at which."""
    findings = every_finding(judged(record_of(record, b.pack), Gate.RELEASE))
    return [f.found.partition(", digit by digit")[0] + " at" + f.found.partition(" at")[2].partition(":")[0]
            for f in findings if f.rule == RULE and f.outcome is Outcome.BROKEN]  # fmt: skip


def with_rest(b: Build, volts: list[float]) -> Data:
    rows = {name: [*b.clean["modules"][name][:3], v] for name, v in zip(b.pack.positions, volts, strict=True)}
    return {**b.clean, "modules": {**b.clean["modules"], **rows}}


def spread(number: int, seed: int, digits: int = 3) -> list[float]:
    rng = random.Random(seed)
    return [round(7.95 + rng.gauss(0, 0.008), digits) for _ in range(number)]


def test_the_second_half_written_from_the_first_is_found_and_holds_nothing() -> None:
    b = Build(stick_layout(20), release=True)
    half = spread(10, 1)
    copied = with_rest(b, [*half, *half])
    assert broken(copied, b) == ["readings of the modules P01..P10 stand again at P11..P20"]
    assert judged(record_of(b.clean, b.pack), Gate.RELEASE).verdict is Verdict.NO_RULE_BROKEN


@pytest.mark.parametrize("seed", range(12))
def test_honest_readings_are_not_found(seed: int) -> None:
    b = Build(stick_layout(20), release=True)
    assert broken(with_rest(b, spread(20, seed)), b) == []
    assert broken(with_rest(b, spread(20, seed, 2)), b) == []
    assert broken(with_rest(b, sorted(spread(20, seed, 2))), b) == []
    assert broken(with_rest(b, spread(20, seed, 1)), b) == []


def test_one_row_of_three_numbers_is_enough() -> None:
    b = Build(stick_layout(20), release=True)
    rng = random.Random(5)
    columns = ["serial", "plus at", "type", "rest V", "resistance mΩ", "capacity Ah", "mass g"]
    modules: Data = {**b.clean["modules"], "columns": columns}
    for name in b.pack.positions:
        modules[name] = [
            *b.clean["modules"][name],
            *(round(rng.gauss(middle, middle / 50), digits) for middle, digits in ((10, 2), (5.8, 2), (1030, 1))),
        ]
    assert broken({**b.clean, "modules": modules}, b) == []
    copied = {**modules, "P17": [*modules["P17"][:3], *modules["P04"][3:]]}
    assert broken({**b.clean, "modules": copied}, b) == ["readings of the modules P04 stand again at P17"]


def test_members_of_a_group_read_when_joined_agree_and_are_not_found() -> None:
    b = Build(grouped_layout(12, 8), release=True)
    rng = random.Random(3)
    volts = {group: round(3.62 + rng.gauss(0, 0.004), 3) for group in b.pack.groups}
    each = [volts[position.group] for position in b.pack.positions.values()]
    record = with_rest(b, each)
    record["modules"] = {**record["modules"], "taken": {**record["modules"]["taken"], "state": "plug out"}}
    assert broken(record, b) == []


def test_a_run_copied_down_the_sheet_is_found_whatever_the_order_of_the_sheet() -> None:
    b = Build(stick_layout(20), release=True)
    record = with_rest(b, spread(20, 6))
    names, rows = list(b.pack.positions), record["modules"]
    sheet = random.Random(7).sample(names, len(names))
    for source, target in zip(sheet[:10], sheet[10:], strict=True):
        rows[target] = [*rows[target][:3], rows[source][3]]
    written = {key: value for key, value in rows.items() if key not in names} | {name: rows[name] for name in sheet}
    assert len(broken({**record, "modules": written}, b)) == 1
    assert broken({**record, "modules": rows}, b) == [], "in no order of this sheet do ten stand twice"
