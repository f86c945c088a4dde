"""The partial order of the trade: each pair of acts in its order, and turned round, from the text of a record."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from packcheck.facts.tables import table_by_name
from packcheck.files import clock
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.rules.findings import Gate, Outcome
from packcheck.rules.library import load_rules

RULE = "written-out-of-order"
RULES = load_rules([shipped_folder("rules")], table_by_name())
FOLDER = shipped_folder("layouts") / "skerry-24"

B01 = "B01/P01: [4.5, 81.7, held, 2026-10-06 08:15, white, 2026-10-05"
B06 = "B06/P06: [4.5, 78.3, held, 2026-10-06 08:15, white, 2026-10-05"

TURNED = {
    "a module read loose after it stood": ("08:10, by: MK, with: {rest", "12:10, by: MK, with: {rest", "P01..P24"),
    "a length read before the clamp": ("09:40, by: MK, with: {length", "08:05, by: MK, with: {length", "clamp"),
    "a bar seen before it was fitted": ("05 12:50, by: MK}", "05 12:30, by: MK}", "B06, B18"),
    "a joint made before its bar": (f"{B06} 13:10", f"{B06} 12:35", "B06/P06"),
    "a joint made under its cover": (f"{B01} 10:35", f"{B01} 11:25", "B01/P01"),
    "a reading through a joint not made": ("14:20, by: AV, with: V1", "13:09, by: AV, with: V1", "half A"),
    "a total read before the covers": ("plug in, at: 2026-10-05 15:10", "plug in, at: 2026-10-05 13:10", "total"),
    "a second reading before the first": ("05 13:05, by: TO, joint", "05 11:30, by: TO, joint", "B08/P09"),
    "steps told out of their order": ("- {at: 2026-10-05 12:40", "- {at: 2026-10-05 11:10", "step 5 of the work"),
    "a total read before the blocks": ("14:20, by: AV, with: V1", "15:20, by: AV, with: V1", "plug out, then plug in"),
}


@pytest.fixture(autouse=True)
def _november(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 11, 25, 12, 0))


def record(tmp_path: Path, old: str = "", new: str = "") -> Path:
    (tmp_path / "skerry-24.yaml").write_text((FOLDER / "skerry-24.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    text = (FOLDER / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "record.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def places(path: Path) -> list[str]:
    report = check_file(path, rules=RULES, gate=Gate.RELEASE)
    return [f.place for f in report.judgement.findings if f.rule == RULE and f.outcome is Outcome.BROKEN]


def test_acts_in_their_order_are_met(tmp_path: Path) -> None:
    assert places(record(tmp_path)) == []


@pytest.mark.parametrize(("old", "new", "place"), TURNED.values(), ids=TURNED)
def test_an_act_before_what_it_depends_on_is_broken_there(tmp_path: Path, old: str, new: str, place: str) -> None:
    assert any(place in found for found in places(record(tmp_path, old, new)))


def test_a_date_without_a_time_may_be_any_moment_of_its_day(tmp_path: Path) -> None:
    assert places(record(tmp_path, f"{B06} 13:10", B06)) == []
    assert places(record(tmp_path, f"{B06} 13:10", B06[:-1] + "4")) != []


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("2026-10-05T08:10+02:00", "a time with a zone"),
        ("2026-10-05T08:10Z", "a time with a zone"),
        ("2026-W41-1", "a week"),
        ("20261005", "'20261005'"),
        ("2026-02-30", "not in the calendar"),
        ("1926-10-05 08:10", "the year 1926"),
        ("2027-10-05 08:10", "still to come"),
        ("2026-11-27 08:10", "still to come"),
    ],
)
def test_a_time_that_cannot_be_is_refused(tmp_path: Path, written: str, found: str) -> None:
    path = record(tmp_path, "taken: {at: 2026-10-05 08:10,", f'taken: {{at: "{written}",')
    with pytest.raises(InputProblems) as caught:
        places(path)
    assert found in caught.value.problems[0].found


def test_the_clock_decides_what_is_still_to_come(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 10, 1, 8, 0))
    with pytest.raises(InputProblems, match="still to come"):
        places(record(tmp_path))


def test_a_blank_time_of_a_row_is_not_that_of_the_table(tmp_path: Path) -> None:
    """An empty cell says that nobody wrote the time down: then nothing shows that the wrench was in calibration."""
    path = record(tmp_path, f"{B06} 13:10", B06[:-10] + "none")
    report = check_file(path, rules=RULES, gate=Gate.RELEASE)
    assert any(
        f.outcome is Outcome.UNPROVEN and "B06/P06" in str(f.place) + str(f.data) for f in report.judgement.findings
    )
