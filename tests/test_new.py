"""``packcheck new``: a first layout that reads, breaks nothing above advice, and says which numbers are assumed."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest
import typer

from packcheck.app.arguments import rules_and_profile
from packcheck.app.cli import run
from packcheck.files.document import parse_document
from packcheck.files.problems import WrongUsage
from packcheck.judging.check import check
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.pack.unstated import assumed_in
from packcheck.model.scaffold.text import scaffold_text
from packcheck.model.scaffold.wanted import FACES, JOINTS, PLACES, TORQUES, Wanted
from packcheck.physics.cells import CHEMISTRIES
from packcheck.rules.findings import Gate, Severity, Verdict

RULES = rules_and_profile(None, None)[0]
SHAPES = [
    Wanted("new", modules, chemistry, cells, parallel, strings, faces, joint, "M6", place)
    for (modules, chemistry, cells), (parallel, strings), faces, joint, place in product(
        ((2, "NiMH", 6), (5, "AGM", 6), (24, "LFP", 1), (31, "NMC", 6)),
        ((1, 1), (3, 1), (1, 2), (2, 3)), FACES, JOINTS, PLACES,
    )
]  # fmt: skip
QUANTITY = re.compile(r"\d (?:mm|V|kA|A|mΩ|µΩ|MΩ|Ω/V|N·m|h|Ah|AWG)\b")


def pack_of(wanted: Wanted) -> Pack:
    return read_pack(parse_document(scaffold_text(wanted).encode(), "new.yaml"))


def words(wanted: Wanted) -> str:
    size = f"{wanted.modules}x{wanted.cells}-{wanted.parallel}p{wanted.strings}"
    return f"{size}-{wanted.faces}-{wanted.joint}-{wanted.disconnect}"


@pytest.mark.parametrize("wanted", SHAPES, ids=words)
def test_nothing_but_what_is_assumed_is_found_above_advice_at_any_gate(wanted: Wanted) -> None:
    report = check(scaffold_text(wanted).encode(), "new.yaml", rules=RULES, gate=Gate.RELEASE)
    assert [p.rule for p in report.paragraphs if p.severity is not Severity.ADVISE] == ["layout-number-assumed"]
    assert report.judgement.verdict is Verdict.HOLD
    assert report.rules_judged >= 40


@pytest.mark.parametrize("chemistry", [kind.name for kind in CHEMISTRIES])
@pytest.mark.parametrize("thread", TORQUES)
def test_so_for_every_chemistry_and_thread(chemistry: str, thread: str) -> None:
    wanted = Wanted("new", 8, chemistry, thread=thread)
    settled = scaffold_text(wanted).replace("# TODO ", "# ")
    report = check(settled.encode(), "new.yaml", rules=RULES, gate=Gate.RELEASE)
    assert [p.rule for p in report.paragraphs if p.severity is not Severity.ADVISE] == []
    assert report.judgement.verdict is Verdict.NO_RULE_BROKEN


@pytest.mark.parametrize("wanted", SHAPES[::7], ids=words)
def test_it_draws_what_was_asked_for(wanted: Wanted) -> None:
    pack = pack_of(wanted)
    assert len(pack.positions) == wanted.modules * wanted.parallel * wanted.strings
    assert {len(string.groups) for string in pack.strings.values()} == {wanted.modules}
    assert len(pack.strings) == wanted.strings
    assert {len(members) for members in pack.groups.values()} == {wanted.parallel}
    (kind,) = pack.module_types.values()
    assert kind.cells == wanted.cells
    assert len({post.face for post in kind.posts.values()}) == (2 if wanted.faces == "two faces" else 1)
    assert sum(device.kind == "fuse" for device in pack.devices.values()) == wanted.strings + (wanted.strings > 1)
    assert pack.joint_types["post"].thread == wanted.thread
    between = [device for device in pack.devices.values() if device.kind == "service disconnect"]
    assert len(between) == 1 + (wanted.strings if wanted.strings > 1 and wanted.disconnect == "middle" else 0)


@pytest.mark.parametrize("wanted", SHAPES, ids=words)
def test_every_assumed_number_says_so(wanted: Wanted) -> None:
    lines = [line for line in scaffold_text(wanted).splitlines() if QUANTITY.search(line.partition("#")[0])]
    assert len(lines) >= 20
    assert [line for line in lines if "# TODO " not in line] == []


def test_an_answer_that_nobody_gave_is_assumed_too() -> None:
    given = scaffold_text(Wanted("new", 8, "LFP"))
    assumed = scaffold_text(Wanted("new", 8, "LFP", assumed=frozenset({"cells", "thread"})))
    assert re.search(r"^    cells: 1 +# TODO ", assumed, re.MULTILINE)
    assert re.search(r"^    thread: M6 +# TODO ", assumed, re.MULTILINE)
    assert "    cells: 1\n    nominal" in given


@pytest.mark.parametrize("changes", [
    {"modules": 1}, {"modules": 401}, {"parallel": 21}, {"strings": 10}, {"cells": 0}, {"chemistry": "tin"},
    {"faces": "three faces"}, {"joint": "clip"}, {"thread": "M7"}, {"disconnect": "left"}, {"fuse_a": 0},
    {"modules": 40, "cells": 12},
], ids=str)  # fmt: skip
def test_what_no_layout_has_is_refused(changes: dict[str, object]) -> None:
    answers: dict[str, object] = {"name": "new", "modules": 8, "chemistry": "LFP"}
    with pytest.raises(WrongUsage, match=r"needed|found"):
        Wanted(**{**answers, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(("line", "is_assumed"), [
    ("    cells: 6      # TODO data sheet", True), ("cells: 6\t# measured; TODO again", True),
    ('name: "A#1"  # TODO', True), ("# TODO all of it", False), ("   # first # TODO", False),
    ("# cells: 6 # TODO", False), ("notes: TODO", False), ("cells: 6  # TODOS", False),
    ("cells: 6  # data sheet", False), ("", False),
])  # fmt: skip
def test_a_line_is_assumed_where_it_states_something_and_says_todo_behind_it(line: str, is_assumed: bool) -> None:
    assert assumed_in(["layout: 1", line]) == ((2,) if is_assumed else ())


# -- the command -----------------------------------------------------------------------------------------------------


def test_the_command_writes_a_file_that_check_reads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "gull-12.yaml"
    words = ["new", "gull-12", "--modules", "12", "--chemistry", "Ni-MH", "--cells", "6", "-o", str(target)]
    assert run(words) == 0
    said = capsys.readouterr().out
    assert f"{target.read_text(encoding='utf-8').count('# TODO ')} lines" in said
    assert run(["check", str(target), "--gate", "release"]) == 1
    target.write_text(target.read_text(encoding="utf-8").replace("# TODO ", "# "), encoding="utf-8")
    assert run(["check", str(target), "--gate", "release"]) == 0


def test_a_layout_that_is_there_is_not_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "gull-12.yaml"
    words = ["new", "gull-12", "--modules", "12", "--chemistry", "LFP", "-o", str(target)]
    assert run(words) == 0
    target.write_text("layout: 1 # worked on\n", encoding="utf-8")
    assert run(words) == 2
    assert "--force" in capsys.readouterr().err
    assert target.read_text(encoding="utf-8") == "layout: 1 # worked on\n"
    assert run([*words, "--force"]) == 0


@pytest.mark.parametrize("more", [[], ["--modules", "4"], ["--chemistry", "LFP"]])
def test_what_nobody_can_assume_is_asked_for(more: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", "gull", *more]) == 2
    assert re.search(r"--(modules|chemistry) is needed", capsys.readouterr().err)


def test_a_name_that_no_record_could_use_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", "two words", "--modules", "4", "--chemistry", "LFP"]) == 2
    assert "needed a name" in capsys.readouterr().err


def test_on_a_terminal_it_asks(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    answers = iter([6, "LFP", 1, 2, 1, "one face", "screw", "M8", "end", 125])
    asked: list[str] = []

    def answer(question: str, **_: object) -> object:
        asked.append(question)
        return next(answers)

    monkeypatch.setattr("packcheck.app.new._someone_there", lambda: True)
    monkeypatch.setattr("typer.prompt", answer)
    assert run(["new", "gull-6"]) == 0
    text = capsys.readouterr().out
    assert len(asked) == 10
    pack = read_pack(parse_document(text.encode(), "gull-6.yaml"))
    assert (len(pack.positions), pack.joint_types["post"].thread) == (12, "M8")
    assert pack.devices["F1"].rating_a == 125


@pytest.mark.parametrize(("option", "answer", "told"), [
    ("--modules", "ten", "a whole number"), ("--modules", "1", "needed 2 to 400"), ("--fuse", "63 A", "a whole number"),
    ("--chemistry", "tin", "needed one of: NiMH"), ("--joint", "bolt", "needed one of: stud, screw"),
])  # fmt: skip
def test_an_answer_of_no_use_is_refused_where_it_is_given_and_asked_for_again(
    option: str, answer: str, told: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    right = {"--modules": "6", "--chemistry": "LFP", "--fuse": "63", "--joint": "screw"}
    typed = {**right, option: answer}
    words = {"--modules": "Modules in series", "--chemistry": "Chemistry", "--fuse": "Fuse", "--joint": "Joints"}
    refused: list[str] = []

    def prompt(question: str, default: object, value_proc: Callable[[str], object], **_: object) -> object:
        named = next((name for name, word in words.items() if question.startswith(word)), "")
        try:
            return value_proc(typed.get(named, str(default)))
        except typer.BadParameter as wrong:
            refused.append(wrong.message)
            return value_proc(right[named])

    monkeypatch.setattr("packcheck.app.new._someone_there", lambda: True)
    monkeypatch.setattr("typer.prompt", prompt)
    assert run(["new", "gull-6"]) == 0
    assert [told in words for words in refused] == [True]
    assert "rating: 63 A" in capsys.readouterr().out


@pytest.mark.parametrize("typed", ["ten", "63 A", "1.5"])
def test_a_number_that_is_none_is_told_in_plain_words(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["new", "gull-6", "--chemistry", "LFP", "--modules", typed]) == 2
    assert capsys.readouterr().err.startswith(f"packcheck: --modules: found '{typed}', needed a whole number\n")
