"""From a file to a pack and a record: what is refused, and where the message points."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from packcheck.app.cli import run
from packcheck.facts.tables import table_by_name
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check, check_file
from packcheck.model.opening import Text, open_bytes, open_file
from packcheck.rules.library import load_rules

LAYOUT = Path(__file__).parent / "samples" / "gannet-6.yaml"
RECORD = "record: 1\nlayout: gannet-6.yaml\nof: {name: gannet-6, revision: 2, pack: GN-0001}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "gannet-6.yaml").write_bytes(LAYOUT.read_bytes())
    return tmp_path


def only_problem(path: Path) -> Problem:
    with pytest.raises(InputProblems) as caught:
        open_file(path)
    (problem,) = caught.value.problems
    return problem


def write(folder: Path, text: str) -> Path:
    path = folder / "record.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_layout_opens_as_a_pack_without_a_record(folder: Path) -> None:
    opened = open_file(folder / "gannet-6.yaml")
    assert (opened.pack.name, opened.record) == ("gannet-6", None)
    assert [role for role, _, _ in opened.hashes] == ["layout"]


def test_a_record_opens_with_the_layout_beside_it(folder: Path) -> None:
    path = write(folder, RECORD)
    opened = open_file(path)
    assert opened.record is not None
    assert (opened.record.serial, opened.pack.name) == ("GN-0001", "gannet-6")
    assert opened.hashes[1] == ("record", str(path), hashlib.sha256(path.read_bytes()).hexdigest())
    assert opened.hashes[0][2] == hashlib.sha256(LAYOUT.read_bytes()).hexdigest()


@pytest.mark.parametrize(
    ("text", "line", "found", "do"),
    [
        (RECORD.replace("gannet-6.yaml", "ganet-6.yaml"), 2, "'ganet-6.yaml', which is not there",
         "did you mean 'gannet-6.yaml'?"),
        (RECORD.replace("layout: gannet-6.yaml\n", ""), 1, "no name of a layout file",
         "write its name, with .yaml at the end"),
        (RECORD.replace("gannet-6.yaml", "1"), 2, "'1'", "write its name, with .yaml at the end"),
        ("rule: x\n", 1, "a rule, which `packcheck rules test FOLDER` tests",
         "name a layout or a record to check"),
        ("profile: 1\n", 1, "a shop profile, which goes after --profile", "name a layout or a record to check"),
        ("reccord: 1\n", 1, "a file that does not say what it is", "did you mean 'record'?"),
        ("a: 1\n", 1, "a file that does not say what it is", "write it as the first line"),
    ],
)  # fmt: skip
def test_what_cannot_be_opened_is_said_at_its_line(folder: Path, text: str, line: int, found: str, do: str) -> None:
    problem = only_problem(write(folder, text))
    assert (problem.line, problem.found, problem.do) == (line, found, do)


def test_a_mistake_in_the_layout_is_told_at_the_layout(folder: Path) -> None:
    layout = folder / "gannet-6.yaml"
    layout.write_text(layout.read_text(encoding="utf-8").replace("revision: 2", "revision: three"), encoding="utf-8")
    assert only_problem(write(folder, RECORD)).file == str(layout)


@pytest.mark.parametrize("name", ["/etc", ".", "\U0001f50b.yaml", "a" * 300 + ".yaml"])
def test_a_layout_that_is_no_file_is_refused(folder: Path, name: str) -> None:
    assert only_problem(write(folder, RECORD.replace("gannet-6.yaml", f"'{name}'"))).line == 2


def test_bytes_are_judged_as_the_file_is_and_hashed_as_sent(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(folder, RECORD)
    rules = load_rules([shipped_folder("rules")], table_by_name())
    of_file = check_file(path, rules=rules)
    content, drawing = path.read_bytes(), Text(LAYOUT.read_bytes(), str(folder / "gannet-6.yaml"))

    def no_files(*_: object, **__: object) -> bytes:
        raise AssertionError("a file was read")

    monkeypatch.setattr("packcheck.model.opening.read_bytes", no_files)
    of_bytes = check(content, str(path), rules=rules, layout=drawing)
    assert of_bytes.judgement.findings == of_file.judgement.findings
    assert len(of_bytes.judgement.findings) > 3
    assert of_bytes.sources == of_file.sources
    assert hashlib.sha256(content).hexdigest() in {source.sha256 for source in of_bytes.sources}


def test_a_record_sent_without_its_layout_is_refused_in_words() -> None:
    with pytest.raises(InputProblems) as caught:
        open_bytes(RECORD.encode(), "record as sent")
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.found) == ("record as sent", 2, "a record without its layout")


def test_bytes_that_are_no_text_are_refused_in_words() -> None:
    with pytest.raises(InputProblems) as caught:
        open_bytes(b"\xff\xfe\x00layout", "sent")
    assert all(problem.file == "sent" for problem in caught.value.problems)


@pytest.mark.parametrize(
    "words", [["coverage"], ["lesson", "make", "--output", "lesson"], ["bench", "--record", "new.yaml"]]
)
def test_a_record_in_place_of_a_layout_is_told_so(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    record = shipped_folder("layouts") / "plover-16" / "clean-pl-0052.yaml"
    monkeypatch.chdir(tmp_path)
    assert run([*words, str(record)]) == 2
    assert "clean-pl-0052.yaml is a record; name the layout that its pack is built to" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
