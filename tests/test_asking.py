"""One more measurement on a case: what it shows by arithmetic, what it costs, and a path that is whole or refused."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from test_simulate import U, V, bench_of, even, layout_of

from packcheck.app.cli import run
from packcheck.app.teaching.folder import PathFile, asked_by, open_key, stand_again
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.lessons.costs import ABOVE_60_V, BUDGET, COSTS, LIVE, costs_of, points_of
from packcheck.lessons.open_case import ask
from packcheck.lessons.questions import question_of
from packcheck.simulate.asked.answer import OVER, answer
from packcheck.simulate.asked.question import KINDS, Question, live_state
from packcheck.simulate.asked.truth import Truth, truth_of
from packcheck.simulate.build import Build
from packcheck.simulate.faults.library import FAULTS, Placed
from packcheck.simulate.measuring import load_a

pytest.importorskip("cryptography")
PASSPHRASE = "the quiet dog counts"
PACK = "skerry-24"


def truth(change: Callable[[Build], Build] = lambda build: build, pack: str = PACK) -> Truth:
    """Return an even build, 7.92 V and 10 mΩ a module, after a change."""
    found = truth_of(bench_of(pack), "even", ())
    build = change(even(found.build) if pack == PACK else found.build)
    return replace(found, build=build, scribe=replace(found.scribe, build=build, seen=build))


def reads(found: Truth, *words: str, state: str = "") -> str:
    return answer(found, question_of(found.bench, words, state))


def number(text: str) -> tuple[float, float]:
    """Return the number of a reading and how far it may be off."""
    found = re.match(r"(-?[\d.]+) \S+ ± ([\d.]+)", text)
    assert found, text
    return float(found[1]), float(found[2])


def shows(text: str, true: float) -> bool:
    value, off = number(text)
    return abs(value - true) <= off


# -- what is read, by plain arithmetic ---------------------------------------------------------------------------------


def test_a_block_of_two_modules_and_one_with_a_module_turned() -> None:
    """Two of 7.92 V: 15.84 V; with one of them turned 0 V; leads exchanged, the same below zero."""
    assert shows(reads(truth(), "volts", "T02", "T01"), U)
    assert shows(reads(truth(), "volts", "T01", "T02"), -U)
    assert shows(reads(truth(lambda build: build.turned("P03")), "volts", "T02", "T01"), 0.0)
    post = truth(lambda build: build.turned("P03")).build.pack.positions["P03"]
    words = ("volts", f"P03.{post.plus}", f"P03.{post.minus}")
    assert shows(reads(truth(lambda build: build.turned("P03")), *words), -V)


def test_a_block_under_load_sags_by_current_times_resistance() -> None:
    """Two modules of 10 mΩ at I ampere: 15.84 V − 0.02 I, and what bars of some 10 µΩ take: less than 0.5 mΩ."""
    found = truth()
    amperes = load_a(found.build)
    text = reads(found, "loaded", "T02", "T01")
    value, off = number(text)
    assert text.endswith(f"at {amperes:g} A")
    assert U - 0.0205 * amperes - off <= value <= U - 0.02 * amperes + off


def test_a_plug_that_is_out_leaves_nothing_between_the_mains_and_one_that_is_bridged_the_whole() -> None:
    total = 24 * V
    assert shows(reads(truth(), "volts", "K1.1", "K2.2", state="plug in"), total)
    assert shows(reads(truth(), "volts", "K1.1", "K2.2", state="plug out"), 0.0)
    bridged = truth(lambda build: build.with_device("SD", stuck="closed"))
    assert shows(reads(bridged, "volts", "K1.1", "K2.2", state="plug out"), total)


def test_resistances_are_of_the_part_itself() -> None:
    found = truth(
        lambda build: build.with_joint("B02/P03", resistance_ohm=410e-6).with_body("B04", resistance_ohm=7e-5)
    )
    assert shows(reads(found, "resistance", "B02/P03"), 410)
    assert shows(reads(found, "resistance", "B04"), 70)
    assert shows(reads(found, "resistance", "P07"), 10)
    gone = truth(lambda build: build.with_body("B04", fitted=False).with_device("F1", stuck="open"))
    for name in ("B04", "B04/P04", "F1"):
        assert reads(gone, "resistance", name) == OVER, name


def test_a_switch_is_read_open_and_closed() -> None:
    """Sound: nothing open, its own resistance closed; welded: that twice; not seated: nothing twice."""
    ohm = truth().build.devices["SD"].resistance_ohm * 1e6
    for stuck, opened, closed in (("", False, True), ("closed", True, True), ("open", False, False)):
        told = reads(truth(lambda build, s=stuck: build.with_device("SD", stuck=s)), "resistance", "SD")  # type: ignore[misc]
        first, second = (part.split(" ", 1)[1] for part in told.replace(OVER, "over").split("; "))
        assert [first != "over", second != "over"] == [opened, closed]
        assert all(shows(part, ohm) for part in (first, second) if part != "over")


def test_a_joint_turns_on_at_its_own_torque() -> None:
    aim = truth().build.joints["B02/P03"].torque_n_m
    for share, word in ((1.0, "held"), (0.7, "moved"), (1.3, "held"), (0.0, "moved")):
        torque = aim * share
        text = reads(truth(lambda b, t=torque: b.with_joint("B02/P03", torque_n_m=t)), "torque", "B02/P03")  # type: ignore[misc]
        assert text.startswith(word)
        assert abs(float(text.partition("turns on at ")[2].split()[0]) - torque) <= 0.06 * aim


def test_modules_one_by_one() -> None:
    found = truth(lambda build: build.with_module("P09", capacity_ah=4.0, mass_g=1023.0, loses_v_day=0.1))
    assert shows(reads(found, "capacity", "P09"), 4.0)
    assert shows(reads(found, "mass", "P09"), 1023)
    today, _, later = reads(found, "rest", "P09").partition("; after 9 days ")
    assert shows(today, V)
    assert abs(float(later.removesuffix(" V")) - (V - 0.9)) < 0.01, "nine days of a tenth of a volt"


def test_isolation_of_one_leak_by_the_divider() -> None:
    """Leak of 20 kΩ at the negative pole against the 60 MΩ of the dry other one: 190.08 V × 20 / 60,000 = 0.063 V."""
    found = truth(lambda build: replace(build, leaks=(("K2.2", 20e3),)))
    told = dict(part.rsplit(" ", 2)[:2] for part in reads(found, "isolation").split("; "))
    assert float(told["poles"]) == pytest.approx(24 * V, rel=1e-3)
    assert float(told["minus to chassis"]) == pytest.approx(24 * V * 20e3 / 60e6, abs=0.003)
    assert float(told["plus to chassis"]) == pytest.approx(24 * V, rel=5e-3)


def test_what_eyes_see() -> None:
    stray = truth(lambda build: replace(build, stray={"X1": ("P05.A", "P06.A")}))
    assert "no list has" in reads(stray, "look", "P05.A")
    assert "no list has" not in reads(truth(), "look", "P05.A")
    assert reads(truth(lambda build: build.with_module("P05", fitted=False)), "look", "P05") == "no module"
    assert (
        reads(truth(lambda build: replace(build, covers=dict.fromkeys(build.covers, False))), "look", "CA")
        == "not there"
    )
    assert reads(truth(), "count", "modules") == "24 fitted"
    assert reads(truth(lambda b: b.with_device("F1", rating_a=500.0)), "label", "F1").count("500 A") == 1


# -- what an answer may tell -------------------------------------------------------------------------------------------


def some_questions(pack: str, place: str) -> Iterator[Question]:
    """Yield questions of every kind, all of those about a place, of others the first, the last and the middle one."""
    bench, parts = bench_of(pack), re.split(r", |/", place)
    parts += [tap.name for tap in bench.pack.taps.values() if tap.connector in parts or "harness" in parts]
    for word, kind in KINDS.items():
        names = list(kind.names(bench))
        near = [n for n in names if any(n == part or n.startswith(f"{part}.") or n.startswith(f"{part}/")
                                        or n.endswith(f"/{part}") for part in (*parts, place))]  # fmt: skip
        few = [names[0], names[-1], names[len(names) // 2]] if names and word != "count" else names
        for name in dict.fromkeys((*near, *few)):
            others = (name,) if kind.count == 1 else (name, next(n for n in names if n != name))
            for state in bench.pack.states if kind.in_state else ("",):
                yield Question(word, others, state)


@cache
def sound(pack: str) -> Truth:
    return truth_of(bench_of(pack), "seen", (), ("capacity", "resistance"))


@pytest.mark.parametrize("pack", ["plover-16", "skerry-24"])
def test_every_fault_of_a_build_changes_some_answer_and_no_answer_names_it(pack: str) -> None:
    bench, tried = bench_of(pack), 0
    for fault in FAULTS:
        places = fault.places(bench.build("places")) if fault.is_expressible else ()
        if not places:
            continue
        placed = Placed(fault, places[len(places) // 2], fault.variants[-1])
        found = truth_of(bench, "seen", [placed], ("capacity", "resistance"))
        told = {q: answer(found, q) for q in some_questions(pack, placed.place)}
        for text in told.values():
            assert fault.name not in text
            assert fault.title.lower() not in text.lower()
        tried += 1
        if fault.put:
            assert [q for q, text in told.items() if answer(sound(pack), q) != text], fault.name
    assert tried > 40


def test_one_question_has_one_answer_whatever_was_asked_before() -> None:
    questions = [q for q in some_questions(PACK, "P05") if q.kind != "papers"]
    placed = [Placed(FAULTS[0], "P05", FAULTS[0].variants[0])]
    first, second = (truth_of(bench_of(PACK), "one", placed) for _ in range(2))
    assert [answer(first, q) for q in questions] == [answer(second, q) for q in reversed(questions)][::-1]
    other = truth_of(bench_of(PACK), "two", placed)
    assert [answer(first, q) for q in questions] != [answer(other, q) for q in questions]


def test_papers_tell_what_the_record_left_out_and_keep_what_it_says() -> None:
    by_name = {fault.name: fault for fault in FAULTS}
    omitted = truth_of(bench_of(PACK), "p", [Placed(by_name["accuracy-not-told"], "V1", "measured")])
    assert "accuracy" not in omitted.written["instruments"]["V1"]
    assert "accuracy 0.03 % + 2 mV" in reads(omitted, "papers", "V1")
    overdue = truth_of(bench_of(PACK), "p", [Placed(by_name["instrument-overdue"], "V1", "measured")])
    assert f"due {overdue.written['instruments']['V1']['due']}" in reads(overdue, "papers", "V1")


# -- what it costs -----------------------------------------------------------------------------------------------------


def test_every_kind_has_a_price_and_dearer_is_what_exposes_more() -> None:
    assert set(COSTS) == set(KINDS)
    assert all(cost.points > 0 and cost.why for cost in COSTS.values())
    price = {word: cost.points for word, cost in COSTS.items()}
    assert price["look"] < price["resistance"] < price["isolation"] < price["loaded"]
    assert max(price.values()) + ABOVE_60_V.points <= BUDGET


def test_a_voltage_above_60_v_and_a_live_pack_cost_more() -> None:
    """15.84 V a block; 24 × 7.9 V between the mains."""
    bench = bench_of(PACK)
    assert points_of(costs_of(bench, question_of(bench, ["volts", "T02", "T01"]))) == 1
    assert points_of(costs_of(bench, question_of(bench, ["volts", "K1.1", "K2.2"], "plug in"))) == 2
    live = live_state(bench.pack)
    assert costs_of(bench, question_of(bench, ["volts", "K1.1", "K2.2"], live))[1:] == (ABOVE_60_V, LIVE)
    assert points_of(costs_of(bench, question_of(bench, ["loaded", "T02", "T01"]))) == 4


@pytest.mark.parametrize(("words", "state", "said"), [
    ([], "", "needed one of"), (["volt", "T01", "T02"], "", "did you mean 'volts'"),
    (["volts", "T01"], "", "found 1 name, needed 2 names of: T00, T01"),
    (["volts", "T01", "T01"], "", "needed two places"), (["look", "p09"], "", "did you mean 'P09'"),
    (["volts", "T01", "T99"], "", "did you mean"), (["volts", "T01", "chassis"], "", "found no name"),
    (["look", "\x1b[2J" + "x" * 5000], "", "needed one of"), (["look", "P01"], "plug in", "needed none"),
    (["volts", "T01", "T02"], "plug on", "did you mean 'plug"), (["torque", "P01"], "", "found no name"),
])  # fmt: skip
def test_a_question_that_cannot_be_asked_says_what_is_needed(words: list[str], state: str, said: str) -> None:
    with pytest.raises(WrongUsage, match=re.escape(said)) as wrong:
        question_of(bench_of(PACK), words, state)
    assert len(str(wrong.value)) < 400


# -- the path ----------------------------------------------------------------------------------------------------------

ASKED = (("look", "P01"), ("volts", "S01", "S00"), ("count", "modules"))


@cache
def made(tmp: Path) -> Path:
    layout, folder = tmp / "plover-16.yaml", tmp / "lesson"
    layout.write_bytes(layout_of("plover-16").content)
    wanted = ["--cases", "2", "--pairs", "0", "--healthy", "0", "--fault", "module-turned"]
    assert run(["lesson", "make", str(layout), "--output", str(folder), *wanted]) == 0
    return folder


@pytest.fixture
def lesson(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a fresh copy of a lesson in which MK asked three questions on the first case."""
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE)
    base = made(_base(tmp_path_factory))
    folder = tmp_path / "lesson"
    shutil.copytree(base, folder)
    file = path_file(folder)
    case = stand_again(folder, file.key)
    for words in ASKED:
        file.ask(case, question_of(case.bench, words))
    return folder


_BASES: list[Path] = []


def _base(factory: pytest.TempPathFactory) -> Path:
    if not _BASES:
        _BASES.append(factory.mktemp("made"))
    return _BASES[0]


def path_file(folder: Path, case: str = "case-01", by: str = "MK") -> PathFile:
    return PathFile(folder, open_key(folder, case, PASSPHRASE), by)


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


# -- on the command line -----------------------------------------------------------------------------------------------


def test_asked_and_marked_on_the_command_line(lesson: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = str(lesson / "case-01.yaml")
    assert run(["lesson", "ask", case, "--by", "MK", "resistance", "B01/P01"]) == 0
    told = capsys.readouterr().out
    assert "µΩ ±" in told
    assert "2: four clips on bare metal" in told
    assert "5 of 10 points for questions left" in told
    assert run(["lesson", "ask", case, "--by", "MK", "resistance", "B01/P01"]) == 0
    assert "asked before, as number 4: costs nothing" in capsys.readouterr().out
    assert run(["lesson", "ask", case, "--by", "MK"]) == 0
    assert "isolation poles: both poles" in capsys.readouterr().out
    assert run(["lesson", "ask", case, "--by", "TO", "look", "P01"]) == 0
    sheet = lesson / "answer-case-01.yaml"
    place = open_key(lesson, "case-01", PASSPHRASE).holds["faults"][0]["place"]
    text = sheet.read_text(encoding="utf-8").replace("by: none", "by: MK", 1)
    for name, value in (("what", "module-turned"), ("where", place), ("energize", "no")):
        text = re.sub(rf"{name}: none", f"{name}: {value}", text, count=1)
    sheet.write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert run(["lesson", "mark", str(lesson), str(sheet)]) == 0
    told = capsys.readouterr().out
    assert "case-01  MK: 7 of 20" in told, "find 3, locate 4, explain 3, weigh 0 + 2: 12, less 1 + 1 + 1 + 2"
    assert "questions -5" in told
    assert "asked: look P01: a module, its + at" in told
    assert told.startswith("MARKS of lesson (1 answer)")
    assert "asked: look (1), volts (1), count (1), resistance (1)" in told, "of the class"
    assert "case-01  to: 1 question, 1 point" in told, "who asked and handed nothing in"
    assert run(["lesson", "mark", str(lesson), str(sheet), "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["marks"][0]["cost"] == 5
    assert len(data["marks"][0]["asked"]) == 4
    assert data["asked without an answer"] == ["case-01  to: 1 question, 1 point"]


def test_a_shortened_path_is_not_marked(lesson: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = lesson / "answer-case-01.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("by: none", "by: mk", 1), encoding="utf-8")
    file = path_file(lesson).file
    file.write_text("".join(file.read_text(encoding="utf-8").splitlines(keepends=True)[:-1]), encoding="utf-8")
    assert run(["lesson", "mark", str(lesson), str(sheet)]) == 4
    told = capsys.readouterr().err
    assert "case-01.mk.path.yaml" in told
    assert "3 questions: so many were answered" in told


def test_without_the_passphrase_nothing_is_answered(lesson: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE + "?")
    assert run(["lesson", "ask", str(lesson / "case-01.yaml"), "--by", "MK", "look", "P01"]) == 2
    monkeypatch.setenv("PACKCHECK_PASSPHRASE", PASSPHRASE)
    shutil.rmtree(lesson / "keys")
    assert run(["lesson", "ask", str(lesson / "case-01.yaml"), "--by", "MK", "look", "P01"]) == 2
