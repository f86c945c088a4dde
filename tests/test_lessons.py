"""Lessons: cases that tell nothing by their form, keys that cannot be read or swapped, marks worked out by hand."""

from __future__ import annotations

import json
import re
import warnings
from functools import cache
from getpass import GetPassWarning
from pathlib import Path
from typing import Any

import pytest
from faulty_builds import shipped_rules
from test_simulate import bench_of, layout_of

from packcheck.app.cli import run
from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.files.shipped import shipped_folder
from packcheck.lessons.answers import Answer, Said, blank_sheet, read_answer
from packcheck.lessons.making import Case, Wishes, again, make_cases
from packcheck.lessons.marking import mark, summary
from packcheck.lessons.measurements import MEASUREMENTS, settling
from packcheck.lessons.sealing import mark_of, salt_of, secret_of, unseal
from packcheck.lessons.trial import Trial
from packcheck.simulate.faults.library import FAULTS

pytest.importorskip("cryptography")
PASSPHRASE = "the quiet dog counts"
WISHES = Wishes(cases=6, levels=(2, 4), healthy=0.2, pairs=1, compound=1)


@cache
def trial() -> Trial:
    return Trial(layout_of("plover-16"), bench_of("plover-16"), tuple(shipped_rules()))


def lesson(number: int, wishes: Wishes = WISHES) -> list[Case]:
    salt = salt_of(trial().layout.content, number)
    return make_cases(trial(), secret_of(PASSPHRASE, salt), salt, wishes)


@cache
def first() -> tuple[Case, ...]:
    return tuple(lesson(1))


def test_one_number_gives_one_lesson_byte_for_byte() -> None:
    assert lesson(1) == list(first())
    assert all(one.text != other.text for one, other in zip(first(), lesson(2), strict=True))


def test_a_lesson_has_what_was_asked_for() -> None:
    wrong = sorted(len(case.key["faults"]) for case in first())
    assert wrong == [0, 1, 1, 1, 1, 2]
    assert all(case.key["energize"] is (not case.key["faults"]) for case in first())
    names = [fault["name"] for case in first() for fault in case.key["faults"]]
    near = {name: fault.near for fault in FAULTS for name in [fault.name]}
    assert any(other in near[one] for one in names for other in names), "a pair with one symptom and two causes"


def test_nothing_but_the_readings_tells_what_a_case_is_of() -> None:
    words = {word for fault in FAULTS for word in (fault.name, fault.title)}
    tables = set()
    for case in first():
        assert not [word for word in words if word in case.text]
        root = parse_document(case.text.encode(), "case.yaml").root
        strays = root["bars"].keys() - trial().bench.pack.conductors.keys() - {"columns", "taken"}
        assert ("extra" in root) != bool(strays), "whoever saw a strange bar wrote it down, and does not say none"
        tables.add((tuple(name for name in root if name != "extra"), len(root["notes"]), len(root["again"])))
        assert f"Sealed key of this record: {mark_of(case.sealed)}" in root["notes"]
    assert len(tables) == 1, "the same tables, in the same order, with as many remarks"
    assert len({len(case.sealed) for case in first()}) == 1, "the size of a key does not tell how much is wrong"


def test_a_key_opens_with_its_passphrase_alone() -> None:
    case = first()[0]
    assert unseal(case.sealed, PASSPHRASE, "a key")[0] == case.key
    with pytest.raises(WrongUsage, match="does not open"):
        unseal(case.sealed, PASSPHRASE + "!", "a key")
    data = json.loads(case.sealed)
    changed = {**data, "sealed": data["sealed"][:-8] + "AAAAAAA="}
    with pytest.raises(WrongUsage, match="does not open"):
        unseal(json.dumps(changed), PASSPHRASE, "a key")
    with pytest.raises(WrongUsage, match="no sealed key"):
        unseal("{}", PASSPHRASE, "a key")


def test_the_mastery_test_has_the_same_faults_elsewhere() -> None:
    case = next(
        case for case in first() if len(case.key["faults"]) == 1 and case.key["faults"][0]["place"] != "whole pack"
    )
    salt = salt_of(b"again", 1)
    anew = again(trial(), case.key, case.name, secret_of(PASSPHRASE, salt), salt)
    assert [f["name"] for f in anew.key["faults"]] == [f["name"] for f in case.key["faults"]]
    assert anew.key["faults"][0]["variant"] == case.key["faults"][0]["variant"]
    assert anew.key["record"] != case.key["record"]


def test_too_few_cases_and_no_such_fault_are_told() -> None:
    with pytest.raises(WrongUsage, match="too few"):
        lesson(1, Wishes(cases=2, pairs=1, compound=1))
    with pytest.raises(WrongUsage, match="did you mean 'module-turned'"):
        lesson(1, Wishes(faults=("module-turnd",)))


# -- marks -----------------------------------------------------------------------------------------------------------

TURNED: dict[str, Any] = {
    "case": "case-01", "energize": False,
    "faults": [{
        "name": "module-turned", "title": "A module stands the other way round", "family": "polarity", "place": "P09",
        "weight": "never energize", "next": ["post volts"], "near": ["block-turned", "sign-slip"],
        "beside": ["P08", "P10", "T05"], "found": True,
    }],
}  # fmt: skip


def test_a_full_answer_marked_by_hand() -> None:
    """Find 3 + 1, locate 4, explain 3 + 1, weigh 2 + 2, settle 4: 20; sure at 90 %: 2 − 4 × 0.1² = +1.96, capped."""
    said = Said("module-turned", "P09", "0.00 V", "sign-slip", "never energize")
    found = mark(Answer("case-01", "MK", (said,), False, "post volts", 0.9), TURNED)
    assert (found.find, found.locate, found.explain, found.weigh, found.settle) == (4, 4, 4, 4, 4)
    assert found.credit == 1.96
    assert found.total == 20
    assert found.is_right
    assert found.is_mastered


def test_a_half_right_answer_marked_by_hand() -> None:
    """One module off and taken for its near miss, two entries for one fault, weight one off, half sure.

    Entry 1: find 3 (no number), locate 2, explain 2.  Two entries for one fault: × 1/2, so 3.5.
    Weigh 1 + 2, settle 0, sureness 2 − 4 × 0.5² = 1.  3.5 + 3 + 0 + 1 = 7.5.
    """
    said = (Said("block-turned", "P10", "", "", "fix before release"), Said("swarf", "", "", "", ""))
    found = mark(Answer("case-01", "TO", said, False, "count", 0.5), TURNED)
    assert (found.find, found.locate, found.explain, found.listed) == (3, 2, 2, 0.5)
    assert (found.weigh, found.settle, found.credit) == (3, 0, 1)
    assert found.total == 7.5
    assert not found.is_mastered


def test_an_answer_that_would_energize_is_gated() -> None:
    """All right but for the last word: 4 + 4 + 3 + 2 + 4 + 2 = 19, and 8 at most."""
    said = Said("module-turned", "P09", "0.00 V", "", "never energize")
    found = mark(Answer("case-01", "HB", (said,), True, "post volts", 1.0), TURNED)
    assert (found.find + found.locate + found.explain) * found.listed == 11
    assert (found.weigh, found.settle, found.credit) == (2, 4, 2)
    assert found.gated
    assert found.total == 8


@pytest.mark.parametrize(("number", "find"), [("0.00 V", 4), ("", 3), ("low", 3), ("−7.92 V", 4)])
def test_a_number_is_what_has_a_digit(number: str, find: float) -> None:
    said = Said("module-turned", "P09", number, "", "never energize")
    assert mark(Answer("case-01", "MK", (said,), False, "post volts", None), TURNED).find == find


def test_of_two_faults_one_found_gives_half_of_the_points_and_a_class_has_the_mean_of_its_totals() -> None:
    """Both: (4 + 4 + 3) + (2 + 2) + 4 = 19.  One of two: (5.5 × min(1, 2/1)) + (1 + 2) + 4 = 12.5.  Mean: 15.75."""
    bar = {**TURNED["faults"][0], "name": "bar-left-out", "place": "B03", "near": []}
    two = {**TURNED, "faults": [TURNED["faults"][0], bar]}
    said = [Said(name, place, "0.00 V", "", "never energize") for name, place in (("module-turned", "P09"),
                                                                                  ("bar-left-out", "B03"))]  # fmt: skip
    both = mark(Answer("case-01", "MK", tuple(said), False, "post volts", None), two)
    one = mark(Answer("case-01", "TO", (said[0],), False, "post volts", None), two)
    assert (both.total, one.total) == (19, 12.5)
    assert (both.is_right, one.is_right) == (True, False)
    (case,) = summary([both, one])
    assert (case.mean, case.missed) == (15.8, ("TO",))


def test_a_sound_record_and_a_false_alarm() -> None:
    sound: dict[str, Any] = {"case": "case-02", "energize": True, "faults": []}
    assert mark(Answer("case-02", "MK", (), True, "none", None), sound).total == 20
    alarm = mark(Answer("case-02", "MK", (Said("swarf", "P01"),), False, "look", 1.0), sound)
    assert alarm.total == 0, "0 + 0 + 0 + 0 + 2 − 2: sure of a fault that is not there"


def test_what_people_find_and_the_rules_miss_is_told() -> None:
    missed = {**TURNED, "faults": [{**TURNED["faults"][0], "found": False}]}
    found = mark(Answer("case-01", "MK", (Said("module-turned", "P09"),), False, "post volts", None), missed)
    assert found.gap == ("A module stands the other way round, at P09",)
    assert mark(Answer("case-01", "MK", (Said("swarf", "P09"),), False, "", None), missed).gap == ()


def test_a_class_is_told_what_it_took_a_fault_for() -> None:
    answers = [Answer("case-01", "MK", (Said("module-turned", "P09"),), False, "", None),
               Answer("case-01", "TO", (Said("sign-slip", "T05"),), False, "", None),
               Answer("case-01", "HB", (Said("sign-slip", ""),), False, "", None)]  # fmt: skip
    (one,) = summary([mark(answer, TURNED) for answer in answers])
    assert one.missed == ("TO", "HB")
    assert one.taken_for == (("sign-slip", 2),)


def test_a_blank_sheet_is_read_and_says_nothing() -> None:
    answer = read_answer(blank_sheet("case-01").encode(), "a.yaml")
    assert answer == Answer("case-01", "nobody named", (), None, "", None)
    with pytest.raises(InputProblems) as wrong:
        read_answer(blank_sheet("case-01").replace("next: none", "next: guess").encode(), "a.yaml")
    assert "guess" in str(wrong.value.problems[0].found)


def test_every_fault_is_settled_by_a_measurement_of_the_list() -> None:
    for fault in FAULTS:
        if fault.is_expressible:
            assert settling(fault) <= set(MEASUREMENTS)
    plain = [fault.name for fault in FAULTS if fault.is_expressible and settling(fault) == {"look"}]
    assert len(plain) < 20, "the words of most faults name more than a look"


def test_a_lesson_made_and_marked_on_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE)
    layout, folder = tmp_path / "plover-16.yaml", tmp_path / "lesson"
    layout.write_bytes(layout_of("plover-16").content)
    wanted = ["--cases", "2", "--pairs", "0", "--healthy", "0", "--fault", "module-turned"]
    assert run(["lesson", "make", str(layout), "--output", str(folder), *wanted]) == 0
    sealed = folder / "keys" / "case-01.key.json"
    key = unseal(sealed.read_text(encoding="utf-8"), PASSPHRASE, "key")[0]
    sheet = folder / "answer-case-01.yaml"
    text = sheet.read_text(encoding="utf-8")
    for name, value in (("what", "module-turned"), ("where", key["faults"][0]["place"]), ("energize", "no")):
        text = re.sub(rf"{name}: none", f"{name}: {value}", text, count=1)
    sheet.write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert run(["lesson", "mark", str(folder), str(sheet), "--again", str(tmp_path / "anew")]) == 0
    told = capsys.readouterr().out
    assert "case-01  nobody named: 12 of 20" in told, "find 3, locate 4, explain 3, weigh 0 + 2"
    assert (tmp_path / "anew" / "case-01.yaml").is_file()
    brief = (folder / "brief.html").read_text(encoding="utf-8")
    assert "module-turned" in brief
    assert brief.count("<style") == 1, "the drawing takes that of the page: the policy refuses another"
    assert "four clips on bare metal" in brief, "what a question costs"
    assert "http://" not in brief.replace("http://www.w3.org/", "")
    other = folder / "keys" / "case-02.key.json"
    sealed.write_bytes(other.read_bytes())
    assert run(["lesson", "mark", str(folder), str(sheet)]) == 2
    assert "is not the key" in capsys.readouterr().err


@pytest.mark.parametrize(("line", "found", "do"), [
    ("found: bar-left-out", "no list of entries", "as the brief"),
    ("found: {what: bar-left-out, where: B03}", "no list of entries", "as the brief"),
    ("energise: no", "the name 'energise'", "did you mean 'energize'?"),
    ("found: [{what: bar-left-out, wher: B03}]", "the name 'wher'", "did you mean 'where'?"),
    ("found: [{what: bar left out}]", "'bar left out'", "did you mean 'bar-left-out'?"),
    ("next: postvolts", "'postvolts'", "did you mean 'post volts'?"),
])  # fmt: skip
def test_what_would_silently_not_be_marked_is_refused(line: str, found: str, do: str) -> None:
    with pytest.raises(InputProblems) as wrong:
        read_answer(f"answer: 1\ncase: case-01\nby: MK\n{line}\n".encode(), "a.yaml")
    (problem,) = wrong.value.problems
    assert problem.found == found
    assert do in problem.do


@pytest.mark.parametrize(("wishes", "words"), [
    (Wishes(healthy=20), "--healthy: found 20, needed a share from 0 to 1"), (Wishes(cases=0), "--cases: found 0"),
    (Wishes(pairs=-1), "--pairs: found -1, needed 0 or more"), (Wishes(compound=-1), "--compound: found -1"),
])  # fmt: skip
def test_numbers_that_no_lesson_can_have_are_told_one_by_one(wishes: Wishes, words: str) -> None:
    with pytest.raises(WrongUsage, match=words):
        lesson(1, wishes)


def test_nobody_is_asked_for_a_passphrase_where_there_is_no_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def unseen(*_: object, **__: object) -> str:
        warnings.warn("Can not control echo on the terminal.", GetPassWarning, stacklevel=1)
        return "typed in the open"

    monkeypatch.delenv("PACKCHECK_PASSPHRASE", raising=False)
    monkeypatch.setattr("typer.prompt", unseen)
    layout = shipped_folder("layouts") / "plover-16" / "plover-16.yaml"
    assert run(["lesson", "make", str(layout), "--output", str(tmp_path / "lesson")]) == 2
    assert "name --passphrase FILE or set PACKCHECK_PASSPHRASE" in capsys.readouterr().err
    assert not (tmp_path / "lesson").exists()
