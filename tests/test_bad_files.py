"""Every kind of mistake that people make in a file, one named file each, with the message it must lead to.

The files lie in ``tests/bad/<kind>/``; the comment at the top of each says where the mistake stands and what is said
about it.  Each of them is a good file (``bench-8.yaml``, ``good-*.yaml``) with one thing changed.  What cannot be kept
as a text in a folder (binary files, other encodings, 10,000 levels) is made here.

With PACKCHECK_WRITE_GOLDEN=1 the comments are written anew from what is said now; read them before keeping them.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from itertools import dropwhile
from pathlib import Path
from typing import Any

import pytest

from packcheck.app.arguments import rules_and_profile
from packcheck.app.cli import run
from packcheck.facts.tables import table_by_name
from packcheck.files.document import Document
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.schema import load_schema
from packcheck.model.opening import open_file
from packcheck.rules.library import load_rules

FOLDER = Path(__file__).parent / "bad"
GOOD_LAYOUT = FOLDER / "record" / "bench-8.yaml"
GOOD = ("bench-8", "good-record", "good-rule", "good-profile")
FILES = sorted(file for file in FOLDER.rglob("*.yaml") if file.stem not in GOOD)
COUNTS = {"layout": 204, "record": 172, "rule": 41, "profile": 20, "reader": 43}
"""How many bad files of each kind there are; a file that is added or lost must be counted here."""

RULE_PLACE = Path("torque") / "joint-resistance-high.yaml"
"""Where every bad rule is put before it is read: a rule's name and family are those of its place."""

JARGON = ("schema", "property ", "instance", "regex", "integer", "NoneType", "Decimal", "dict", "Marked", "Traceback",
          "parse", "token", "scalar", "None", "True ", "False ", "YAML ", "oneOf", "unicode")  # fmt: skip
JARGON_ALLOWED = {
    "True and False": "the two words that a condition may hold",
    "property class": "what a bolt's strength is called",
    "%YAML line": "what stands in the file",
}

Said = tuple[int, int, str, str, str, str]
"""Line, column, found, needed, why, do."""


def expected(file: Path) -> list[Said]:
    """Return what the comment at the top of a file says must be said about it."""
    said: list[dict[str, Any]] = []
    for line in file.read_text(encoding="utf-8").splitlines():
        if match := re.fullmatch(r"# expect: (?:line (\d+) column (\d+)|the whole file)", line):
            said.append({"line": int(match[1] or 0), "column": int(match[2] or 0)})
        elif match := re.fullmatch(r"#   (found|needed|why|do): (.*)", line):
            said[-1][match[1]] = match[2]
        else:
            break
    return [(s["line"], s["column"], s["found"], s["needed"], s.get("why", ""), s.get("do", "")) for s in said]


def rewritten(file: Path, problems_now: Callable[[Path], tuple[Problem, ...]]) -> None:
    """Put what is said about a file now into the comment at its top; the comment's own length moves the lines."""
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    body = "".join(dropwhile(lambda line: line.startswith(("# expect:", "#   ")), lines))
    top = ""
    for _ in range(4):
        file.write_text(top + body, encoding="utf-8")
        new = "".join(_comment(problem) for problem in problems_now(file))
        if new == top:
            return
        top = new
    raise AssertionError(f"what is said about {file} depends on what is said about it")


def _comment(problem: Problem) -> str:
    place = f"line {problem.line} column {problem.column}" if problem.line else "the whole file"
    words = {"found": problem.found, "needed": problem.needed, "why": problem.why, "do": problem.do}
    return f"# expect: {place}\n" + "".join(f"#   {key}: {text}\n" for key, text in words.items() if text)


def as_said(problem: Problem) -> Said:
    return (problem.line, problem.column, problem.found, problem.needed, problem.why, problem.do)


def problems_of(file: Path, folder: Path) -> tuple[Problem, ...]:
    """Return everything that is wrong with a file, read as what its folder says it is."""
    try:
        if file.parent.name == "rule":
            load_rules([as_rule_folder(file, folder)], table_by_name())
        elif file.parent.name == "profile":
            rules_and_profile(None, file)
        else:
            open_file(file)
    except InputProblems as wrong:
        return wrong.problems
    return ()


def as_rule_folder(file: Path, folder: Path) -> Path:
    (folder / RULE_PLACE).parent.mkdir(exist_ok=True)
    shutil.copy(file, folder / RULE_PLACE)
    return folder


def command(file: Path, folder: Path) -> list[str]:
    """Return the command line on which the file is used."""
    match file.parent.name:
        case "rule":
            return ["check", str(GOOD_LAYOUT), "--rules", str(as_rule_folder(file, folder))]
        case "profile":
            return ["check", str(GOOD_LAYOUT), "--profile", str(file)]
    return ["check", str(file)]


def name_of(file: Path) -> str:
    return f"{file.parent.name}/{file.stem}"


# -- the files as a whole ----------------------------------------------------------------------------------------------


def test_no_bad_file_is_lost() -> None:
    assert Counter(file.parent.name for file in FILES) == COUNTS


def test_every_bad_file_says_what_must_be_said() -> None:
    assert [name_of(file) for file in FILES if not expected(file)] == []


@pytest.mark.parametrize("stem", ["bench-8", "good-record"])
def test_the_files_that_bad_ones_were_made_from_can_be_read(stem: str) -> None:
    assert open_file(FOLDER / "record" / f"{stem}.yaml").pack.name == "bench-8"


def test_the_rule_and_the_profile_that_bad_ones_were_made_from_can_be_read(tmp_path: Path) -> None:
    assert problems_of(FOLDER / "rule" / "good-rule.yaml", tmp_path) == ()
    assert problems_of(FOLDER / "profile" / "good-profile.yaml", tmp_path) == ()


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_bad_file_is_refused_with_these_words_and_no_others(file: Path, tmp_path: Path) -> None:
    if os.environ.get("PACKCHECK_WRITE_GOLDEN") == "1":
        rewritten(file, lambda one: problems_of(one, tmp_path))
    assert [as_said(problem) for problem in problems_of(file, tmp_path)] == expected(file)


@pytest.mark.parametrize("file", FILES, ids=name_of)
def test_every_message_stands_at_its_line_and_says_what_to_do(file: Path, tmp_path: Path) -> None:
    lines = file.read_text(encoding="utf-8").splitlines()
    for problem in problems_of(file, tmp_path):
        assert problem.do, problem
        if problem.line:
            assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
            assert problem.excerpt.splitlines()[0].strip(" …") in lines[problem.line - 1].replace("\t", " ")
        words = f"{problem.found} {problem.needed} {problem.why} {problem.do} "
        for allowed in JARGON_ALLOWED:
            words = words.replace(allowed, "")
        assert [word for word in JARGON if word in words] == []


# -- the command line ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", [f for f in FILES if f.parent.name in ("layout", "record", "reader")], ids=name_of)
def test_command_line_refuses_it_with_4_and_tells_everything(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*command(file, tmp_path), "--format", "json"]) == 4
    printed = capsys.readouterr()
    (entry,) = json.loads(printed.out)["files"]
    told = [tuple(one.get(key) or "" for key in ("found", "needed", "why", "do")) for one in entry["problems"]]
    assert told == [said[2:] for said in expected(file)]
    assert printed.err == ""


@pytest.mark.parametrize(
    "file",
    [f for f in FILES if f.parent.name == "profile"] + [f for f in FILES if f.parent.name == "rule"][::14],
    ids=name_of,
)
def test_rule_or_profile_is_refused_with_4_before_anything_is_judged(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(command(file, tmp_path)) == 4
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "Traceback" not in printed.err
    for line, column, found, *_ in expected(file):
        assert f".yaml:{line}:{column}\n" in printed.err
        assert found.split()[0] in printed.err


@pytest.mark.parametrize("kind", list(COUNTS))
def test_a_shell_sees_exit_code_4_and_the_message(kind: str, tmp_path: Path) -> None:
    file = next(file for file in FILES if file.parent.name == kind)
    line = [sys.executable, "-m", "packcheck", *command(file, tmp_path)]
    done = subprocess.run(line, capture_output=True, text=True, timeout=60, cwd=FOLDER.parent.parent)
    assert done.returncode == 4
    assert "Traceback" not in done.stdout + done.stderr
    assert "NOT JUDGED" in done.stdout + done.stderr


# -- every name of the language ----------------------------------------------------------------------------------------


def names_in(schema: dict[str, Any], root: dict[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Yield the path of every name that a schema knows; ``*`` stands for a name or an item of one's own."""
    schema = followed(schema, root)
    for name, inner in schema.get("properties", {}).items():
        yield (*path, name)
        # what is defined once for all tables need go wrong in one of them only
        yield from names_in(inner, root, (name,) if "$ref" in inner else (*path, name))
    for keyword in ("additionalProperties", "items"):
        if isinstance(schema.get(keyword), dict):
            yield from names_in(schema[keyword], root, (*path, "*"))
    for inner in schema.get("anyOf", ()):
        yield from names_in(inner, root, path)


def followed(schema: dict[str, Any], root: dict[str, Any]) -> dict[str, Any]:
    reference = schema.get("$ref")
    found: dict[str, Any] = root["$defs"][reference.rpartition("/")[2]] if reference else schema
    return found


@cache
def touched(kind: str) -> frozenset[tuple[str, ...]]:
    """Return the schema paths at which some bad file of a kind goes wrong."""
    places: list[tuple[str | int, ...]] = []
    usual: Callable[..., Problem] = Document.problem

    def noting(document: Document, path: Any, **words: Any) -> Problem:
        missing = re.match(r"no '([^']+)'", words["found"])
        places.append((*path, *([missing[1]] if missing else [])))
        return usual(document, path, **words)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Document, "problem", noting)
        for file in (one for one in FILES if one.parent.name == kind):
            problems_of(file, Path())
    root = load_schema(kind)
    return frozenset(path for place in places for path in schema_paths(place, root))


def schema_paths(place: tuple[str | int, ...], root: dict[str, Any]) -> Iterator[tuple[str, ...]]:
    """Yield the names of the schema that lie on the way to a place in a file."""
    schema: dict[str, Any] = root
    path: tuple[str, ...] = ()
    for step in place:
        forms = [followed(schema, root), *followed(schema, root).get("anyOf", ())]
        named = next((form["properties"][step] for form in forms if step in form.get("properties", {})), None)
        if named and "$ref" in named:
            yield (*path, str(step))
            path = ()
        inner = [form.get(keyword) for form in forms for keyword in ("additionalProperties", "items")]
        schema = named if named is not None else next((one for one in inner if isinstance(one, dict)), {})
        path = (*path, str(step) if named is not None else "*")
        yield path


@pytest.mark.parametrize("kind", ["layout", "record"])
def test_every_name_of_the_language_goes_wrong_in_some_bad_file(kind: str) -> None:
    names = set(names_in(load_schema(kind), load_schema(kind))) - {("$schema",)}  # any text is one, see test_editors
    assert len(names) > 60
    assert {" / ".join(name) for name in names - touched(kind)} == set()


# -- what cannot be kept as a text ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "line", "column", "found", "do"),
    [
        pytest.param(b"", 0, 0, "an empty file", "write the file", id="empty"),
        pytest.param(b"\x7fELF\x02\x01\x01\0\0", 0, 0, "zero bytes", "check that it is the right file", id="binary"),
        pytest.param(b"PK\x03\x04\x14\0\x06\0", 0, 0, "damaged", "save it as an .xlsx", id="spreadsheet"),
        pytest.param("layout: 1".encode("utf-16"), 0, 0, "UTF-16", "encoding UTF-8", id="UTF-16"),
        pytest.param("layout: 1\ntitle: 80 µΩ\n".encode("cp1253", "replace"), 2, 11, "B5, which is not UTF-8",
                     "encoding UTF-8", id="Greek Windows text"),
        pytest.param("layout: 1\ntitle: größer\n".encode("latin-1"), 2, 10, "('ö' in Western European Windows text)",
                     "encoding UTF-8", id="Western Windows text"),
        pytest.param(b"layout: " + b"[" * 10_000 + b"]" * 10_000, 1, (58, 1008), "", "bracket",
                     id="10,000 lists"),
        pytest.param(b"layout: " + b"{a: " * 10_000 + b"}" * 10_000, 1, 205, "more than 50", "a bracket",
                     id="10,000 mappings"),
        pytest.param(b"\n".join(b" " * i + b"a:" for i in range(2000)), 51, 51, "more than 50", "a bracket",
                     id="2,000 levels of indentation"),
        pytest.param(b"[" * 10_000, 1, (51, 1001), "", "bracket", id="10,000 opened, none closed"),
        pytest.param(b"<!DOCTYPE html>\n<html>", 0, 0, "a page or a drawing", "the layout or the record", id="a page"),
        pytest.param(b"\xef\xbb\xbf\n <svg a: 1>", 0, 0, "a page or a drawing", "the record itself", id="a drawing"),
        pytest.param(b"layout: 1\nname: a\0b\n", 0, 0, "zero bytes", "the right file", id="a zero byte"),
    ],
)  # fmt: skip
def test_content_that_is_no_text_of_ours(
    content: bytes, line: int, column: int | tuple[int, ...], found: str, do: str, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Two columns: how far libyaml looks ahead before it gives up depends on its version."""
    file = tmp_path / "pack.yaml"
    file.write_bytes(content)
    assert run(["check", str(file), "--format", "json"]) == 4
    with pytest.raises(InputProblems) as caught:
        open_file(file)
    (problem,) = caught.value.problems
    assert problem.line == line
    assert problem.column in (column if isinstance(column, tuple) else (column,))
    assert found in problem.found
    assert "too deep" in problem.found or "more than 50" in problem.found or not isinstance(column, tuple)
    assert do in problem.do
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "found", "do"),
    [
        (".", "a folder", "name the file in it"),
        ("absent.yaml", "no such file", "check the name and the folder"),
        ("absent/pack.yaml", "no such file", "check the name and the folder"),
        ("x" * 300 + ".yaml", "cannot be opened", "check"),
        ("a\0b.yaml", "no such file", "check"),
    ],
)
def test_what_is_no_file_is_refused(
    name: str, found: str, do: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", f"{tmp_path}/{name}"]) == 4
    printed = capsys.readouterr()
    assert found in printed.out
    assert do in printed.out
    assert "Traceback" not in printed.out + printed.err


def test_a_device_is_refused_and_not_read_for_ever(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "/dev/zero"]) == 4
    assert "a device or pipe" in capsys.readouterr().out


def test_a_file_too_large_is_refused_unread(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "pack.yaml"
    with file.open("wb") as stream:
        stream.truncate(65 * 2**20)
    assert run(["check", str(file)]) == 4
    assert "at most 32 MB" in capsys.readouterr().out


@pytest.mark.parametrize("option", ["--rules", "--profile"])
def test_rules_or_profile_that_are_not_there_are_refused(
    option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(GOOD_LAYOUT), option, str(tmp_path / "absent")]) == 4
    assert "absent" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["check"], ["check", "x.yaml", "--gate", "go"], ["show"], ["chekc", "x.yaml"]])
def test_wrong_usage_is_2_and_not_4(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_a_bad_file_does_not_keep_a_good_one_from_being_judged(capsys: pytest.CaptureFixture[str]) -> None:
    bad = FOLDER / "layout" / "both-mains-at-one-node.yaml"
    assert run(["check", str(bad), str(GOOD_LAYOUT), "--format", "json"]) == 4
    first, second = json.loads(capsys.readouterr().out)["files"]
    assert len(first["problems"]) == 1
    assert second.get("verdict")
