"""The command line: exit codes, messages, files written whole, and a start without heavy imports."""

from __future__ import annotations

import json
import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from judgements import COARSE, REVERSED, report

import packcheck
from packcheck.app.cli import COMMANDS as LISTED
from packcheck.app.cli import run
from packcheck.app.exits import defect_report, say, worst
from packcheck.files.origin import in_text
from packcheck.files.problems import InputProblems, OwnFault, Problem
from packcheck.files.shipped import shipped_folder
from packcheck.judging import check as check_module
from packcheck.judging.check import Judged
from packcheck.judging.report import Report
from packcheck.rules.findings import Verdict

ROOT = Path(packcheck.__file__).parent.parent
LAYOUT = Path(__file__).parent / "samples" / "gannet-6.yaml"
COMMANDS = (
    ["check"], ["show"], ["facts"], ["schema"], ["rules", "list"], ["rules", "show"], ["rules", "test"],
)  # fmt: skip


def fake_judge(path: Path, **_: object) -> Judged:
    """Answer by the file's name, so that exit codes can be tested apart from rules."""
    return Judged(None, {}, (), None, fake_report(path))  # type: ignore[arg-type]


def fake_report(path: Path) -> Report:
    match path.stem:
        case "clean":
            return report(Verdict.NO_RULE_BROKEN)
        case "open":
            return report(Verdict.HOLD, COARSE)
        case "broken":
            return report(Verdict.DO_NOT_ENERGIZE, REVERSED)
        case "unread":
            raise InputProblems([Problem(in_text(str(path), 3, 5), "a tab", "blanks")])
        case _:
            raise OwnFault("the residual is 1 V")


@pytest.fixture
def faked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_module, "judge_file", fake_judge)
    monkeypatch.setattr("packcheck.app.check.rules_and_profile", lambda *_: ((), None))


def in_shell(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "packcheck", *arguments]
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=60, **more)  # type: ignore[call-overload, no-any-return]


# -- exit codes ------------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("faked")
@pytest.mark.parametrize(
    ("files", "code"),
    [
        (["clean"], 0), (["broken"], 1), (["open"], 3), (["unread"], 4), (["faulty"], 5),
        (["clean", "open"], 3), (["open", "broken"], 1), (["broken", "unread"], 4), (["unread", "faulty"], 5),
        (["faulty", "clean"], 5),
    ],
)  # fmt: skip
@pytest.mark.parametrize("form", ["text", "json"])
def test_exit_code_of_several_files_is_the_worst(files: list[str], code: int, form: str) -> None:
    assert run(["check", *(f"{name}.yaml" for name in files), "--format", form]) == code


def test_worst_follows_the_order_5_4_1_3_0() -> None:
    assert [worst({0, 1, 3, 4, 5} - gone) for gone in (set(), {5}, {5, 4}, {5, 4, 1}, {5, 4, 1, 3})] == [5, 4, 1, 3, 0]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["chekc", "x.yaml"], "Did you mean 'check'?"),
        (["check", "x.yaml", "--gat", "release"], "no option '--gat'; did you mean '--gate'?"),
        (["lesson", "make", "x.yaml", "--levle", "2"], "did you mean '--level'?\nTry: packcheck lesson make --help"),
        (["check", "x.yaml", "--gate", "plug inn"], "no gate 'plug inn'; did you mean 'plug in'?"),
        (["check", "x.yaml", "--gate", "zzz"], "one of: fit bars, plug in, close contactors, release"),
        (["check", "x.yaml", "--format", "jsn"], "no format 'jsn'; did you mean 'json'?"),
        (["check"], "Missing argument"),
        (["schema", "layuot"], "did you mean 'layout'?"),
        (["rules", "shwo"], "Did you mean 'show'?"),
        (["facts", "x.yaml"], "--output"),
    ],
)
def test_wrong_usage_exits_2_and_names_what_exists(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    printed = capsys.readouterr()
    assert message in printed.err
    assert printed.out == ""


def test_an_unknown_rule_exits_2_with_the_nearest_name(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("packcheck.app.check.rules_and_profile", lambda *_: ((), None))
    assert run(["rules", "show", "module-reversd"]) == 2
    assert "no rule 'module-reversd'" in capsys.readouterr().err


@pytest.mark.usefixtures("faked")
@pytest.mark.parametrize("spelling", ["plug in", "plug-in", "Plug In", "release"])
def test_gates_may_be_spelled_with_hyphens(spelling: str) -> None:
    assert run(["check", "clean.yaml", "--gate", spelling]) == 0


@pytest.mark.parametrize("name", ["absent.yaml", "folder", "empty.yaml", "binary.yaml", "list.yaml"])
def test_a_file_that_cannot_be_read_exits_4_without_a_traceback(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("packcheck.app.check.rules_and_profile", lambda *_: ((), None))
    (tmp_path / "folder").mkdir()
    (tmp_path / "empty.yaml").write_text("")
    (tmp_path / "binary.yaml").write_bytes(bytes(range(256)))
    (tmp_path / "list.yaml").write_text("- 1\n")
    for command in ("check", "show"):
        assert run([command, str(tmp_path / name)]) == 4
        printed = capsys.readouterr()
        text = printed.out + printed.err
        assert text.startswith("NOT JUDGED")
        assert name in text
        assert "Traceback" not in text


# -- messages --------------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("faked")
def test_one_bad_file_does_not_silence_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    run(["check", "unread.yaml", "faulty.yaml", "broken.yaml"])
    text = capsys.readouterr().out
    assert "unread.yaml:3:5" in text
    assert "NOT JUDGED: faulty.yaml" in text
    assert "DO NOT ENERGIZE" in text
    assert "3 FILES" in text


@pytest.mark.usefixtures("faked")
def test_json_of_several_files_is_one_document(capsys: pytest.CaptureFixture[str]) -> None:
    run(["check", "clean.yaml", "unread.yaml", "faulty.yaml", "--format", "json"])
    document = json.loads(capsys.readouterr().out)
    assert document["exit code"] == 5
    assert [entry["exit code"] for entry in document["files"]] == [0, 4, 5]


def test_a_fault_of_our_own_exits_5_with_a_short_defect_report(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("packcheck.model.opening.read_bytes", fail)
    assert run(["show", "x.yaml"]) == 5
    text = capsys.readouterr().err
    assert "a fault of packcheck itself" in text
    assert "ZeroDivisionError: division by zero; opening.py line" in text
    assert "Traceback" not in text


def test_a_defect_report_stays_short() -> None:
    assert len(defect_report(ValueError("x" * 10_000))) < 600


def test_ctrl_c_says_that_nothing_was_judged(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("packcheck.model.opening.read_bytes", stop)
    assert run(["show", "x.yaml"]) == 130
    assert "stopped; nothing was judged" in capsys.readouterr().err


def test_a_poor_encoding_gets_plainer_signs(tmp_path: Path) -> None:
    with (tmp_path / "out.txt").open("w", encoding="ascii") as stream:
        say("−12 mV, 4.5 N·m ± 80 µΩ, ü\n", stream)
    assert (tmp_path / "out.txt").read_text() == "-12 mV, 4.5 N.m +/- 80 uohm, ?\n"


# -- help, version, schemas ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", [[], ["rules"], ["lesson"], *COMMANDS], ids=" ".join)
def test_every_command_has_help(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*command, "--help"]) == 0
    words = capsys.readouterr().out
    assert words.startswith(f"Usage: {' '.join(['packcheck', *command])}")
    assert not re.search(r"<\w+>|[a-z]\.\.\.$", words, re.MULTILINE), "a value without a name, or a line cut short"


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_the_example_in_every_help_runs(
    command: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run([*command, "--help"])
    example = capsys.readouterr().out.partition("Example:\n")[2].strip().splitlines()[0]
    for folder in ("layouts", "rules"):
        (tmp_path / folder).symlink_to(shipped_folder(folder))
    monkeypatch.chdir(tmp_path)
    words = shlex.split(example)
    assert words[: 1 + len(command)] == ["packcheck", *command]
    code = run(words[1:])
    assert code in ((0, 1, 3) if command == ["check"] else (0,)), capsys.readouterr()


def test_version_is_the_packages(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"packcheck {packcheck.__version__}\n"


@pytest.mark.parametrize("kind", ["layout", "record", "rule", "profile", "report"])
def test_every_schema_is_printed(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema", kind]) == 0
    assert json.loads(capsys.readouterr().out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


# -- output to a file ------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("faked")
def test_output_goes_to_the_file_and_the_verdict_to_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "answer.txt"
    target.write_text("old")
    assert run(["check", "broken.yaml", "--output", str(target), "--force"]) == 1
    assert target.read_text(encoding="utf-8").startswith("DO NOT ENERGIZE")
    assert capsys.readouterr().out == "broken.yaml: DO NOT ENERGIZE at gate 'plug in': leave the disconnect out\n"
    assert [entry.name for entry in tmp_path.iterdir()] == ["answer.txt"]


@pytest.mark.usefixtures("faked")
@pytest.mark.parametrize("target", ["no-such-folder/answer.txt", "."])
def test_output_that_cannot_be_written_exits_2_and_leaves_nothing(
    target: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", "clean.yaml", "--output", str(tmp_path / target)]) == 2
    assert "packcheck:" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("arguments", [["--help"], []])
def test_the_list_of_commands_is_cut_nowhere(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    run(arguments)
    printed = capsys.readouterr()
    listed = (printed.out + printed.err).partition("Commands:\n")[2].splitlines()
    assert [line.split()[0] for line in listed] == list(LISTED)
    assert [line for line in listed if "..." in line or len(line) > 80] == []


@pytest.mark.parametrize("name", LISTED)
def test_every_command_of_the_list_is_there(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([name, "--help"]) == 0
    assert capsys.readouterr().out.startswith(f"Usage: packcheck {name} ")


@pytest.mark.parametrize("before", [["--"], ["--no-such-option"]])
def test_what_stands_before_a_command_never_makes_it_do_nothing(before: list[str]) -> None:
    assert run([*before, "check", "absent.yaml"]) == (4 if before == ["--"] else 2)


# -- as a process ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "heavy", ["networkx", "jsonschema", "numpy", "sqlite3", "yaml", "rich", "packcheck.judging.judge"]
)
def test_starting_imports_nothing_heavy(heavy: str) -> None:
    program = f"import sys, packcheck.app.cli; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0


def test_a_reader_that_goes_away_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "packcheck", "schema", "layout"]
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, text=True, cwd=ROOT, check=False)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_signs_outside_the_terminals_encoding_do_not_stop_the_answer() -> None:
    done = in_shell("show", str(LAYOUT), env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (0, "")
    assert "4.5 N.m" in done.stdout


def test_no_colour_when_stdout_is_no_terminal() -> None:
    assert "\x1b" not in in_shell("show", str(LAYOUT)).stdout


def until(condition: Callable[[], bool], seconds: float = 20) -> bool:
    end = time.monotonic() + seconds
    while not condition() and time.monotonic() < end:
        time.sleep(0.02)
    return condition()


def test_a_signal_ends_the_process_without_a_traceback(tmp_path: Path) -> None:
    """A shell starts what runs in the background with the signal ignored: the process under test is told to heed it."""
    waiting = tmp_path / "waiting"
    program = (
        "import pathlib, signal, sys, time, packcheck.model.opening as opening\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        f"opening.read_bytes = lambda _: (pathlib.Path({str(waiting)!r}).touch(), time.sleep(30))\n"
        "from packcheck.app.cli import main; main(['show', 'x.yaml'])\n"
    )
    process = subprocess.Popen([sys.executable, "-c", program], stderr=subprocess.PIPE, text=True, cwd=ROOT)
    assert until(waiting.exists)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=20)
    assert (process.returncode, errors) == (130, "packcheck: stopped; nothing was judged\n")
