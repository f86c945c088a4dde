"""A voltage read under a load hides nothing: what no load can explain is found, what a load explains is not."""

from __future__ import annotations

from pathlib import Path

import pytest
from faulty_builds import shipped_rules
from near_misses import TOTAL, U, record, vector

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.judging.judge import judge
from packcheck.rules.findings import Gate, Verdict
from packcheck.rules.library import load_rules

PLOVER = shipped_folder("layouts") / "plover-16"
RULES = load_rules([shipped_folder("rules")], table_by_name())
ROW = "  past K1: {"


def verdict(folder: Path, row: str) -> tuple[Verdict, set[str]]:
    """Return what is said of a clean record of 16 cells of 3.3 V and 0.5 mΩ with one more reading."""
    text = (PLOVER / "clean-pl-0052.yaml").read_text("utf-8")
    assert text.count(ROW) == 1
    (folder / "plover-16.yaml").write_bytes((PLOVER / "plover-16.yaml").read_bytes())
    record = folder / "record.yaml"
    record.write_text(text.replace(ROW, f"  odd: {row}\n{ROW}"), "utf-8")
    report = check_file(record, rules=RULES, gate=Gate.RELEASE)
    return report.judgement.verdict, {
        finding.rule for finding in report.judgement.findings if finding.outcome.value == "broken"
    }


def reading(value: float, load: float, state: str, places: str = "between: S06, and: S05") -> str:
    return f"{{{places}, value: {value} V, load: {load} A, state: {state}, at: 2026-10-13 12:00}}"


@pytest.mark.parametrize(("value", "load", "state", "rule"), [
    (0.002, 5, "plug out", "reading-disagrees"),  # nothing can be drawn from mains that are parted
    (0.002, 500, "plug in", "reading-disagrees"),
    (0.002, 5, "live", "loaded-reading-disagrees"),
    (0.002, 5000, "live", "loaded-reading-disagrees"),  # no load takes all of it
    (-3.28, 5, "live", "loaded-reading-disagrees"),
    (3.70, 50, "live", "loaded-reading-disagrees"),  # it rose
    (3.27, 50, "live", ""),  # 50 A in 0.5 mΩ take 0.025 V
    (3.10, 200, "live", ""),  # 200 A take 0.1 V, twice that where it is cold
])  # fmt: skip
def test_a_load_hides_no_reading(tmp_path: Path, value: float, load: float, state: str, rule: str) -> None:
    found, broken = verdict(tmp_path, reading(value, load, state))
    assert found is (Verdict.DO_NOT_ENERGIZE if rule else Verdict.NO_RULE_BROKEN)
    assert broken == ({rule} if rule else set())


def test_two_cells_missing_under_load_are_seen_at_the_ends(tmp_path: Path) -> None:
    """16 × 3.298 V less 100 A in 16 × 0.5 mΩ are 51.97 V; 14 cells would give 45.5 V."""
    ends = "between: S16, and: S00"
    assert verdict(tmp_path, reading(51.97, 100, "live", ends))[0] is Verdict.NO_RULE_BROKEN
    assert verdict(tmp_path, reading(45.5, 100, "live", ends))[0] is Verdict.DO_NOT_ENERGIZE


@pytest.mark.parametrize(("extra_mohm", "outcome"), [(0.0, ""), (3.0, ""), (12.0, "broken"), (-5.0, "")])
def test_a_block_that_sags_more_than_those_like_it_is_found(extra_mohm: float, outcome: str) -> None:
    """20 A through 20.36 mΩ takes 0.407 V; 1.3 times that and 10 mV is 0.539 V, reached by 6.6 mΩ more."""
    sags = [U - 20 * (0.02036 + (extra_mohm / 1000 if number == 4 else 0.0)) for number in range(1, 13)]
    built = record(vector(), TOTAL, loaded=sags)
    judgement = judge(shipped_rules(), build_facts(built.pack, built), table_by_name(), gate=Gate.RELEASE)
    found = [(f.subject, f.outcome.value) for f in judgement.findings if f.rule == "loaded-sag-unlike-its-kind"]
    assert found == ([("L4", outcome)] if outcome else [])
