"""One cause is one finding: what a person forgot or slipped in once heads the answer, with what follows from it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from faulty_builds import shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.judging.report import Report
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict

SKERRY = shipped_folder("layouts") / "skerry-24"
TEXT = (SKERRY / "clean-sk-0417.yaml").read_text(encoding="utf-8")
BAR_LEFT_OUT = {
    r"^  B01\.\.B11: as drawn": "  B01..B05: as drawn\n  B06: not fitted\n  B07..B11: as drawn",
    r"^  B06/P0\d: .*\n": "",
    r"^  X4: .*": "  X4: [T04, T03, 0.003]", r"^  half A: .*": "  half A: [P12.B, P01.B, 0.004]",
    r"^  total: .*\n": "", r"^  past K.*\n": "", r"bar-20: .*": "bar-20: [22, 21, 1, 0]",
}  # fmt: skip
"""A link that was never fitted, its joints not tightened, the readings over it a ghost, the bar handed back."""


def answer(folder: Path, changes: dict[str, str], gate: Gate) -> Report:
    text = TEXT
    for pattern, instead in changes.items():
        text, number = re.subn(pattern, instead, text, flags=re.MULTILINE)
        assert number, pattern
    (folder / "skerry-24.yaml").write_text((SKERRY / "skerry-24.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "record.yaml").write_text(text, encoding="utf-8")
    return check_file(folder / "record.yaml", rules=shipped_rules(), gate=gate)


def roots(report: Report) -> list[tuple[str, str]]:
    return [(f.rule, f.subject) for f in report.judgement.findings if f.severity is not Severity.ADVISE]


@pytest.mark.parametrize("left", [52, 53], ids=["both posts bare", "the tapped post keeps its nut"])
def test_a_missing_bar_with_honest_counts_is_one_finding(left: int, tmp_path: Path) -> None:
    """Of 54 posts two have lost their bar; on P06.B a tap is left, and its nut may be on or off."""
    counts = {
        r"washer-m5: .*": f"washer-m5: [54, {left}, {54 - left}, 0]",
        r"nut-m5: .*": f"nut-m5: [58, {left}, {58 - left}, 0]",
        r"cap-m5: .*": f"cap-m5: [58, {left}, {58 - left}, 0]",
    }
    report = answer(tmp_path, BAR_LEFT_OUT | counts, Gate.PLUG_IN)
    assert roots(report) == [("conductor-not-fitted", "B06")]


def test_a_count_that_the_missing_bar_does_not_explain_is_a_second_finding(tmp_path: Path) -> None:
    report = answer(tmp_path, BAR_LEFT_OUT | {r"washer-m5: .*": "washer-m5: [54, 50, 4, 0]"}, Gate.PLUG_IN)
    assert ("part-count-off", "washer-m5") in roots(report)


@pytest.mark.parametrize("row", ["", "  washer-m5: [54, none, none, none]\n", "  washer-m5: [none, 54, none, none]\n"])
def test_washers_not_counted_are_one_finding(row: str, tmp_path: Path) -> None:
    report = answer(tmp_path, {r"^  washer-m5: .*\n": row}, Gate.PLUG_IN)
    assert roots(report) == [("part-unaccounted", "washer-m5")]


def test_a_re_check_never_done_is_one_finding_and_its_time_is_still_asked_for(tmp_path: Path) -> None:
    never = {r"(B05/P05: \[4\.5, 79\.3), held, 2026-10-06 08:15": r"\1, none, none"}
    report = answer(tmp_path, never, Gate.RELEASE)
    assert roots(report) == [("joint-recheck-missing", "B05/P05")]
    asked = [what for errand in report.to_do if not errand.advice for what in errand.what]
    assert asked == ["re-check", "when the joint was torqued and when re-checked"]


@pytest.mark.parametrize(("changes", "head"), [
    ({r"(B05/P05: \[)4\.5": r"\g<1>40"}, ("torque-unit-slip", "B05/P05")),
    ({r"(P05: \[.*), 7\.922": r"\1, 79.22"}, ("rest-voltage-slip", "P05")),
    ({r"(X4: .*)15\.86": r"\g<1>158.6"}, ("reading-slip", "X4")),
])  # fmt: skip
def test_a_slip_of_the_pen_heads_what_it_explains(
    changes: dict[str, str], head: tuple[str, str], tmp_path: Path
) -> None:
    assert roots(answer(tmp_path, changes, Gate.PLUG_IN)) == [head]


def test_a_slip_that_a_reading_forbids_to_pass_is_still_under_the_words_that_say_so(tmp_path: Path) -> None:
    report = answer(tmp_path, {r"(X4: .*)15\.86": r"\g<1>158.6"}, Gate.PLUG_IN)
    assert report.judgement.verdict is Verdict.DO_NOT_ENERGIZE
    (head, *_) = report.paragraphs
    assert (head.severity, head.gravest) == (Severity.FIX_BEFORE_RELEASE, Severity.NEVER_ENERGIZE)
    assert "FORBIDS ENERGIZING\n1. X4 is recorded as 158.6" in render_terminal(report)


def test_a_flat_cell_is_not_explained_away_as_a_slip(tmp_path: Path) -> None:
    """0.792 V on a stick of 7.92 V may be a slip and may be a stick that is flat and shorted."""
    report = answer(tmp_path, {r"(P05: \[.*), 7\.922": r"\1, 0.7922"}, Gate.PLUG_IN)
    heads = [f for f in report.judgement.findings if f.severity is not Severity.ADVISE]
    assert any(f.outcome is Outcome.BROKEN and f.subject == "P05" for f in heads)
    assert report.judgement.verdict is not Verdict.NO_RULE_BROKEN
