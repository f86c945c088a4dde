"""The path of a case, the file of what was asked and answered: whole, or refused with what was found and needed."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from asked_cases import asked_lesson, path_file  # noqa: F401

from packcheck.app.teaching.folder import asked_by, stand_again
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.lessons.open_case import ask
from packcheck.lessons.questions import question_of


def test_a_path_holds_each_question_its_answer_and_its_price(lesson: Path) -> None:
    path = path_file(lesson).read()
    assert [one.question for one in path.asked] == ["look P01", "volts S01 S00, plug out", "count modules"]
    assert path.points == 3
    assert path_file(lesson, by="mk").read() == path, "capitals make no other person"
    assert not list(lesson.glob(".*")), "nothing is left beside it"


def test_what_was_asked_before_costs_nothing_and_what_is_too_dear_is_refused(lesson: Path) -> None:
    file = path_file(lesson)
    case, path = stand_again(lesson, file.key), file.read()
    assert ask(case, path, question_of(case.bench, ["look", "P01"]), "now") is path
    dear = ask(case, path, question_of(case.bench, ["capacity", "P01"]), "now")
    assert dear.points == 7
    with pytest.raises(WrongUsage, match="found 3 of 10 points left, needed 4"):
        ask(case, dear, question_of(case.bench, ["capacity", "P02"]), "now")


def rows(text: str) -> tuple[list[str], list[str]]:
    lines = text.splitlines(keepends=True)
    return [line for line in lines if not line.startswith("  - ")], [line for line in lines if line.startswith("  - ")]


TAMPERED: dict[str, Callable[[list[str]], list[str]]] = {
    "the last one left out": lambda r: r[:-1],
    "the first one left out": lambda r: r[1:],
    "one in the middle left out": lambda r: [r[0], r[2]],
    "two exchanged": lambda r: [r[1], r[0], r[2]],
    "one twice": lambda r: [*r, r[2]],
    "a price lowered": lambda r: [r[0], r[1].replace('"points": 1', '"points": 0'), r[2]],
    "an answer changed": lambda r: [r[0], re.sub(r'"reads": "[^"]*"', '"reads": "0.000 V"', r[1]), r[2]],
    "a question changed": lambda r: [r[0].replace("P01", "P02"), *r[1:]],
    "a time changed": lambda r: [re.sub(r'"at": "\d{4}', '"at": "1999', r[0]), *r[1:]],
    "a seal changed": lambda r: [*r[:2], re.sub(r'"seal": "....', '"seal": "0000', r[2])],
    "all left out": lambda r: r[:0],
}


@pytest.mark.parametrize("how", TAMPERED)
def test_a_path_that_was_changed_or_shortened_is_seen_with_its_line(lesson: Path, how: str) -> None:
    file = path_file(lesson)
    top, lines = rows(file.file.read_text(encoding="utf-8"))
    changed = "".join([*top, *TAMPERED[how](lines)])
    file.file.write_text(changed if TAMPERED[how](lines) else changed.replace("asked:", "asked: []"), encoding="utf-8")
    with pytest.raises(InputProblems) as wrong:
        file.read()
    (problem,) = wrong.value.problems
    assert problem.file == str(file.file)
    assert problem.line >= 7
    assert problem.needed
    assert "1 mistake" not in problem.found


def test_a_path_without_its_head_and_a_head_without_its_path_are_seen(lesson: Path) -> None:
    file = path_file(lesson)
    head = file.head.read_bytes()
    file.head.unlink()
    with pytest.raises(InputProblems, match="no head of this path"):
        file.read()
    file.head.write_bytes(head)
    file.file.unlink()
    with pytest.raises(WrongUsage, match="is not there, though questions were answered"):
        file.read()
    assert list(asked_by(lesson, "case-01")) == ["mk"]


def test_a_path_of_another_person_or_case_is_refused(lesson: Path) -> None:
    mine = path_file(lesson)
    for case, by in (("case-01", "TO"), ("case-02", "MK")):
        other = path_file(lesson, case, by)
        shutil.copy(mine.file, other.file)
        shutil.copy(mine.head, other.head)
        with pytest.raises(InputProblems):
            other.read()
        text = mine.file.read_text(encoding="utf-8").replace('by: "mk"', f'by: "{by.lower()}"')
        other.file.write_text(text.replace('case: "case-01"', f'case: "{case}"'), encoding="utf-8")
        with pytest.raises(InputProblems):
            other.read()


def test_power_lost_between_path_and_head_loses_nothing(lesson: Path) -> None:
    file = path_file(lesson)
    old = file.head.read_bytes()
    case = stand_again(lesson, file.key)
    file.ask(case, question_of(case.bench, ["look", "P02"]))
    file.head.write_bytes(old)
    assert len(file.read().asked) == 4
    file.ask(case, question_of(case.bench, ["look", "P03"]))
    assert json.loads(file.head.read_text())["asked"] == 5


HOSTILE_TOP = "path: 1\ncase: case-01\nby: mk\nkey: KEY\nasked:"
HOSTILE_ROWS = (
    " [1]",
    " {a: 1}",
    " none",
    "\n  - {number: one, at: a, question: q, reads: r, points: 1, seal: s}",
    "\n  - {number: 1, at: a, question: q, reads: r, points: -3, seal: s}",
    "\n  - {number: 1, at: [a], question: q, reads: r, points: 1e99, seal: s}",
    "\n  - {number: 1, at: a, question: q, reads: r, points: 0}",
)
HOSTILE = (
    b"", b"\xff\xfe\x00", b"[1, 2", b"path: 1\n", b"- 1\n", b"\x00" * 10, b"a: &a [*a]\n", b"[" * 3000,
    b"path: {a: 1}\ncase: [1]\nby: 2\nkey: 3\nasked: []\n", b"path: 1\ncase: case-01\nby: mk\nkey: x\nasked: none\n",
    *(f"{HOSTILE_TOP}{row}\n".encode() for row in HOSTILE_ROWS),
)  # fmt: skip


@pytest.mark.parametrize("content", HOSTILE)
@pytest.mark.parametrize("which", ["file", "head"])
def test_hostile_paths_and_heads_are_refused_with_what_was_found_and_needed(
    lesson: Path, content: bytes, which: str
) -> None:
    file = path_file(lesson)
    target = file.file if which == "file" else file.head
    target.write_bytes(content.replace(b"KEY", file.key.mark.encode()))
    with pytest.raises(InputProblems) as wrong:
        file.read()
    for problem in wrong.value.problems:
        assert problem.file == str(target)
        assert problem.found
        assert problem.needed


@pytest.mark.parametrize("by", ["", "../x", "a b", "x" * 25, "a/b", "a.b", "\n"])
def test_a_name_that_no_file_can_have_is_refused(lesson: Path, by: str) -> None:
    with pytest.raises(WrongUsage, match="needed initials"):
        path_file(lesson, by=by)


def test_a_layout_that_was_changed_since_is_refused(lesson: Path) -> None:
    layout = lesson / "plover-16.yaml"
    layout.write_bytes(layout.read_bytes() + b"\n# more\n")
    with pytest.raises(WrongUsage, match="was changed since"):
        stand_again(lesson, path_file(lesson).key)
