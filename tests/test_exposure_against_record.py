"""The work as a record tells it, judged: gloves, second person, covers, faces, disconnect."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from exposure_packs import example_24
from workshop import Data, bare_record, pack_of, record_of

from packcheck.exposure.answer import Answer, exit_code, work_out
from packcheck.exposure.exposed import Asked
from packcheck.facts.protection_worn import gloves_use_v, months_later
from packcheck.facts.tables import table_by_name
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.recorded_work import judge_work
from packcheck.model.opening import open_file
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.model.record.work_done import read_work
from packcheck.rules.findings import Finding, Outcome
from packcheck.rules.library import load_rules

PACK = pack_of(example_24())
WORN: Data = {"by": "MK", "second": "TO", "gloves": "class 00", "gloves tested": "2026-08-03"}
CLEAN = sorted(p for p in shipped_folder("layouts").glob("*/clean-*.yaml") if not p.stem.endswith(".expect"))
INSIDE = ["B02", "B04", "B08", "B10", "B14", "B16", "B20", "B22"]


def step(day: int, did: list[str], **more: Any) -> Data:
    return {"at": f"2026-10-{day:02d} 09:00", "by": "MK", "did": did, **more}


def clean_work() -> list[Data]:
    return [
        step(1, ["P01..P24", "clamp"]), step(2, ["bars on A", "CA"]), step(3, INSIDE), step(4, ["B06"], **WORN),
        step(4, ["B18"], **WORN), step(5, ["taps", "F1", "K1", "K2", "W1..W5"], **WORN), step(5, ["CB"], **WORN),
        step(6, ["SD"], **WORN)]  # fmt: skip


def answer_to(work: list[Data], **more: Any) -> Answer:
    voltage = dict.fromkeys(PACK.positions, 7.92)
    record = {**bare_record(PACK, voltage, random.Random(1)), "work": work, **more}
    return judged(PACK, record_of(record, PACK))


def judged(pack: Pack, record: Record) -> Answer:
    rules = load_rules([shipped_folder("rules")], table_by_name())
    return replace(work_out(pack, record, Asked()), findings=judge_work(record, rules))


def findings(work: list[Data]) -> dict[str, Finding]:
    """Return the first finding of each rule and outcome."""
    return {f"{f.rule} {f.outcome.value}": f for f in reversed(answer_to(work).findings)}


def with_step(index: int, **changes: Any) -> list[Data]:
    work = clean_work()
    work[index] = {key: value for key, value in {**work[index], **changes}.items() if value is not ...}
    return work


def test_work_in_order_with_everything_worn_gives_no_finding() -> None:
    answer = answer_to(clean_work())
    assert answer.findings == ()
    assert exit_code(answer) == 0
    assert max(row.exposure.highest_v for row in answer.worked) == pytest.approx(208.8)


def test_the_first_step_that_put_class_b_within_reach_is_named() -> None:
    work = [dict(item) | {"gloves": "none"} if item.get("gloves") else item for item in clean_work()]
    found = findings(work)
    (finding,) = found.values()
    assert finding.rule == "class-b-without-gloves"
    assert finding.subject == "step 4"
    assert "2026-10-04" in finding.place
    assert "B06" in finding.place
    assert "gloves worn: none" in finding.found
    assert "208.8 V DC" in finding.needed
    assert [f.subject for f in answer_to(work).findings] == ["step 4", "step 5", "step 6", "step 7", "step 8"]


@pytest.mark.parametrize(
    ("changes", "outcome", "words"),
    [
        ({"gloves": "none"}, Outcome.BROKEN, "gloves worn: none"),
        ({"gloves": ...}, Outcome.UNPROVEN, "not recorded: class of the gloves"),
        ({"gloves tested": "2026-04-03"}, Outcome.BROKEN, "class 00, tested 2026-04-03"),
        ({"gloves tested": "2026-10-05"}, Outcome.BROKEN, "class 00, tested 2026-10-05"),
        ({"gloves tested": ...}, Outcome.UNPROVEN, "not recorded: test date of the gloves"),
        ({"at": ...}, Outcome.UNPROVEN, "test date of the gloves, and date of the step"),
    ],
)
def test_gloves(changes: Data, outcome: Outcome, words: str) -> None:
    finding = findings(with_step(3, **changes))[f"class-b-without-gloves {outcome.value}"]
    assert words in finding.found
    assert finding.subject == "step 4"
    assert bool(finding.data) is (outcome is Outcome.UNPROVEN)
    assert finding.origin is not None


@pytest.mark.parametrize("tested", ["2026-04-04", "2026-10-04"])
def test_gloves_are_in_date_to_the_day_six_months_later(tested: str) -> None:
    assert findings(with_step(3, **{"gloves tested": tested})) == {}


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [(date(2026, 4, 4), 6, date(2026, 10, 4)), (date(2026, 8, 31), 6, date(2027, 2, 28)),
     (date(2027, 8, 31), 6, date(2028, 2, 29)), (date(2026, 12, 1), 12, date(2027, 12, 1))],
)  # fmt: skip
def test_months_later(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


@pytest.mark.parametrize(
    ("second", "outcome"), [("none", Outcome.BROKEN), ("MK", Outcome.BROKEN), (..., Outcome.UNPROVEN)]
)
def test_second_person(second: Any, outcome: Outcome) -> None:
    (finding,) = findings(with_step(3, second=second)).values()
    assert (finding.rule, finding.outcome) == ("class-b-alone", outcome)


def test_disconnect_in_before_a_cover() -> None:
    work = clean_work()
    work[6], work[7] = work[7], work[6]
    found = findings(work)
    finding = found["disconnect-in-before-covers broken"]
    assert "in step 7 (SD) the disconnect went in with CB off: 208.8 V across the pack" in finding.found
    assert exit_code(answer_to(work)) == 1


def test_two_faces_open_at_once_and_a_cover_the_plan_had() -> None:
    work = clean_work()
    work[1] = step(2, ["bars on A"])
    work[6] = step(5, ["CA", "CB"], **WORN)
    found = answer_to(work).findings
    assert {f.rule for f in found} == {"two-faces-open-at-once"}
    assert sorted(f.subject for f in found) == ["step 3", "step 4", "step 5", "step 6"]
    assert all("faces A, B" in f.found for f in found)
    covers = [c for f in found for c in f.consequences]
    assert {(c.rule, c.subject) for c in covers} == {("class-b-cover-off", f"step {n}") for n in (4, 5, 6)}
    assert all("before: CA" in c.found for c in covers)


def test_a_cover_taken_off_again_counts() -> None:
    work = [*clean_work(), {"at": "2026-10-07 09:00", "by": "MK", "took off": ["CB"]}]
    found = findings(work)
    assert found["class-b-without-gloves unproven"].subject == "step 9"
    assert "off CB" in found["class-b-without-gloves unproven"].place


def test_every_finding_answers_the_five_questions() -> None:
    found = answer_to([step(1, ["bars on A", "bars on B", "SD"])]).findings
    assert len(found) >= 3
    for finding in found:
        for text in (finding.place, finding.found, finding.needed, finding.why, finding.do):
            assert text.strip()


def test_missing_data_alone_ends_with_3() -> None:
    assert exit_code(answer_to(with_step(3, second=...))) == 3


def test_measured_module_voltages_are_used() -> None:
    voltage = dict.fromkeys(PACK.positions, 8.0)
    answer = work_out(PACK, record_of(bare_record(PACK, voltage, random.Random(1)), PACK), Asked())
    assert answer.exposures[-1].rest_v == pytest.approx(24 * 8.0)
    assert answer.exposures[-1].highest_v == pytest.approx(24 * 8.7)


def test_without_work_the_times_of_the_joints_tell_the_order() -> None:
    record = bare_record(PACK, dict.fromkeys(PACK.positions, 7.92), random.Random(1))
    columns = record["joints"]["columns"]
    assert read_work(record_of(record, PACK)) == ()
    later = {"torque": "4.5 N·m", "at": "2026-10-05 15:00"}
    late = {name: later for name in record["joints"] if name.startswith("B06/")}
    record["joints"] = {"columns": columns, "taken": record["joints"]["taken"], **record["joints"], **late}
    steps = read_work(record_of(record, PACK))
    assert [len(work.stages[0].items) for work in steps] == [24, 26, 1]
    assert steps[-1].stages[0].items == ("B06",)


@pytest.mark.parametrize(
    ("work", "found", "do"),
    [
        ([{"did": ["B66"]}], "'B66' in step 1 of the work", "did you mean 'B16'?"),
        ([{"did": ["B06"], "at": "yesterday"}], "'yesterday'", "write it as 2026-10-05"),
    ],
)
def test_words_that_mean_nothing_are_refused(work: list[Data], found: str, do: str) -> None:
    with pytest.raises(InputProblems) as caught:
        answer_to(work)
    (problem,) = caught.value.problems
    assert problem.found.endswith(found)
    assert problem.do.startswith(do)
    assert problem.line > 0


@pytest.mark.parametrize("item", [{"did": "B06"}, {"what": "stack"}, {"gloves": "leather"}, {"second": 3}])
def test_the_schema_refuses_other_shapes(item: Data) -> None:
    with pytest.raises(InputProblems):
        answer_to([item])


def test_a_record_is_not_held_against_an_order_that_its_layout_does_not_state() -> None:
    """Both covers wait for the end, as our own proposal would not have it; the layout says nothing about that."""
    data = example_24()
    del data["order"]
    pack = pack_of(data)
    work = clean_work()
    work[1], work[6] = step(2, ["bars on A"]), step(5, ["CA", "CB"], **WORN)
    record = {**bare_record(pack, dict.fromkeys(pack.positions, 7.92), random.Random(1)), "work": work}
    assert {f.rule for f in judged(pack, record_of(record, pack)).findings} == {"two-faces-open-at-once"}


@pytest.mark.parametrize("clean", CLEAN, ids=lambda path: path.stem)
def test_the_work_of_every_clean_record_is_clean(clean: Path) -> None:
    opened = open_file(clean)
    assert opened.record is not None
    assert opened.record.work
    assert judged(opened.pack, opened.record).findings == ()


def test_a_record_that_tells_no_work_is_not_recorded() -> None:
    answer = answer_to([])
    assert answer.worked == ()
    assert exit_code(answer) == 3


def rules_of(work: list[Data]) -> set[str]:
    return {f"{f.rule} {f.outcome.value} {f.subject}" for f in answer_to(work).findings}


@pytest.mark.parametrize(
    ("index", "changes", "found"),
    [
        (6, {"gloves": "none"}, {"class-b-without-gloves broken step 7"}),
        (6, {"second": "none"}, {"class-b-alone broken step 7"}),
        (7, {"gloves": "none"}, {"class-b-without-gloves broken step 8"}),
        (7, {"second": "mk"}, {"class-b-alone broken step 8"}),
        (3, {"did": ["B06", "B02"]}, {"work-done-twice broken step 4"}),
        (3, {"by": "QQ"}, {"work-people-unlisted broken step 4"}),
        (3, {"second": "QQ"}, {"work-people-unlisted broken step 4"}),
        (2, {"by": ...}, {"work-people-unlisted unproven step 3"}),
        (3, {"by": ...}, {"work-people-unlisted unproven step 4", "class-b-alone unproven step 4"}),
    ],
)
def test_what_a_step_lacks(index: int, changes: Data, found: set[str]) -> None:
    """A cover is put on over what lay bare before it; a disconnect takes the hand to the voltage of the whole pack."""
    assert rules_of(with_step(index, **changes)) == found


def test_a_bar_before_its_module() -> None:
    work = clean_work()
    work[0] = step(1, ["P01..P23", "clamp"])
    work.insert(2, step(2, ["P24"]))
    assert rules_of(work) == {"conductor-before-module broken step 2"}


@pytest.mark.parametrize(
    ("cells_v", "needed"),
    [(740, "00"), (750, "00"), (760, "0"), (1480, "0"), (1500, "0"), (1520, "1"), (11250, "1"), (11251, "2")],
)
def test_gloves_of_a_class_are_for_its_dc_voltage(cells_v: float, needed: str) -> None:
    """Largest DC voltages of use, from memory of IEC 60903: class 00 750 V, 0 1500 V, 1 11250 V."""
    allowed = [name for name in ("00", "0", "1", "2") if (gloves_use_v(f"class {name}") or 0) >= cells_v]
    assert allowed[0] == needed
    assert gloves_use_v("none") == 0
    assert gloves_use_v(None) is None
