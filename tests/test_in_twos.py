"""A second person and gloves in date: judged in each step with more than 60 V within reach, and in none below."""

from __future__ import annotations

import pytest
from faulty_builds import every_finding, judged

from packcheck.files.document import parse_document
from packcheck.files.shipped import shipped_folder
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.rules.findings import Gate, Outcome

FOLDER = shipped_folder("layouts") / "skerry-24"
PACK = read_pack(parse_document((FOLDER / "skerry-24.yaml").read_text(encoding="utf-8"), "skerry-24.yaml"))
TEXT = (FOLDER / "clean-sk-0417.yaml").read_text(encoding="utf-8")
STEP_4 = "11:20, by: MK, second: TO, gloves: class 0, gloves tested: 2026-09-01"
"""Up to 52.2 V lie within reach: 6 modules of 8.7 V."""
STEP_5 = "12:40, by: MK, second: TO, gloves: class 0, gloves tested: 2026-09-01"
"""Both halves: 12 modules of 8.7 V, 104.4 V."""


def broken(old: str, new: str) -> set[tuple[str, str]]:
    """Return the rules about people and gloves that are broken, each with its step, once the text is otherwise."""
    assert TEXT.count(old) == 1
    record = read_record(parse_document(TEXT.replace(old, new), "record.yaml"), PACK)
    found = every_finding(judged(record, Gate.RELEASE))
    return {(f.rule, f.subject) for f in found if f.rule.startswith("class-b-") and f.outcome is Outcome.BROKEN}


@pytest.mark.parametrize("second", ["MK", "mk", '" M K "', "M.K.", "none"])
def test_nobody_is_their_own_second_person_above_60_volts(second: str) -> None:
    assert broken(STEP_5, STEP_5.replace("TO", second)) == {("class-b-alone", "step 5")}


@pytest.mark.parametrize("tested", ["2026-04-04", "2025-10-05", "2026-10-06"])
def test_gloves_out_of_date_are_judged_above_60_volts(tested: str) -> None:
    assert broken(STEP_5, STEP_5.replace("2026-09-01", tested)) == {("class-b-without-gloves", "step 5")}


def test_up_to_60_volts_neither_is_asked_for() -> None:
    assert broken(STEP_4, STEP_4.replace("TO", "MK").replace("2026-09-01", "2025-10-05")) == set()
