"""What a command may do to other people's files and terminals, and how it ends when the system fails it."""

from __future__ import annotations

import hashlib
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

import packcheck
from packcheck.app.cli import run
from packcheck.files.whole_file import is_ours

ROOT = Path(packcheck.__file__).parent.parent
SAMPLES = Path(__file__).parent / "samples"
LAYOUT = "gannet-6.yaml"
RECORD = "record: 1\nlayout: gannet-6.yaml\nof: {name: gannet-6, revision: 2, pack: GN-0001}\n"
ESCAPE = "\x1b[2J"
pytestmark = pytest.mark.usefixtures("folder")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / LAYOUT).write_bytes((SAMPLES / LAYOUT).read_bytes())
    (tmp_path / "record.yaml").write_text(RECORD, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def in_shell(command: str, **more: object) -> subprocess.CompletedProcess[bytes]:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "P": f"{sys.executable} -m packcheck"}
    return subprocess.run(["bash", "-c", command], capture_output=True, timeout=60, env=env, **more)  # type: ignore[call-overload, no-any-return]


# -- writing ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", [
    ["check", LAYOUT], ["check", "record.yaml"], ["show", LAYOUT], ["exposure", LAYOUT], ["facts", LAYOUT],
], ids=" ".join)  # fmt: skip
@pytest.mark.parametrize("target", [LAYOUT, "./gannet-6.yaml", "link.yaml", "hard.yaml"])
def test_a_file_that_was_read_is_never_written_over(
    words: list[str], target: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (folder / LAYOUT).read_bytes()
    (folder / "link.yaml").symlink_to(LAYOUT)
    (folder / "hard.yaml").hardlink_to(LAYOUT)
    assert run([*words, "--output", target, "--force"]) == 2
    assert "was read for this answer" in capsys.readouterr().err
    assert (folder / LAYOUT).read_bytes() == before


@pytest.mark.parametrize("read", ["profile", "rule"])
def test_neither_are_a_profile_and_a_rule(read: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    profile = folder / "shop.yaml"
    profile.write_text("profile: 1\nshop: Harbour workshop\n", encoding="utf-8")
    own = own_rule(folder)
    target = profile if read == "profile" else own
    before = target.read_bytes()
    words = ["check", LAYOUT, "--profile", str(profile), "--rules", "own", "--output", str(target), "--force"]
    assert run(words) == 2
    assert "was read for this answer" in capsys.readouterr().err
    assert target.read_bytes() == before


@pytest.mark.parametrize("words", [
    ["check", LAYOUT], ["check", LAYOUT, "--format", "json"], ["show", LAYOUT], ["exposure", LAYOUT],
    ["exposure", LAYOUT, "--format", "json"], ["exposure", LAYOUT, "--format", "yaml"], ["facts", LAYOUT],
    ["schema", "layout"], ["schema", "report"], ["schema", "exposure"], ["schema", "rule"],
], ids=" ".join)  # fmt: skip
def test_only_what_packcheck_wrote_is_replaced_without_leave(
    words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = folder / "answer"
    target.write_text("my notes about packcheck\n")
    assert run([*words, "--output", "answer"]) == 2
    assert "packcheck did not write it" in capsys.readouterr().err
    assert target.read_text() == "my notes about packcheck\n"
    assert run([*words, "--output", "answer", "--force"]) in (0, 1, 3)
    assert is_ours(target)
    first = target.read_bytes()
    assert run([*words, "--output", "answer"]) in (0, 1, 3)
    assert first[:200] == target.read_bytes()[:200]


@pytest.mark.parametrize("text", [
    "Written by packcheck\n", "Written by packcheck 0.1.0\nand then by hand\n", '{"packcheck": "0.1.0"}',
    "SQLite format 3\0", "<svg><!-- packcheck drawing of x -->", "layout: 1\n", " ",
])  # fmt: skip
def test_a_file_that_only_looks_like_ours_is_not(text: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text(text)
    assert not is_ours(tmp_path / "file")


def test_an_empty_file_and_an_absent_one_may_be_written(tmp_path: Path) -> None:
    (tmp_path / "empty").touch()
    assert is_ours(tmp_path / "empty")
    assert is_ours(tmp_path / "absent")


def test_drawings_of_two_packs_do_not_mix(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    other = (folder / LAYOUT).read_text(encoding="utf-8").replace("name: gannet-6", "name: petrel-6")
    (folder / "petrel-6.yaml").write_text(other, encoding="utf-8")
    assert run(["exposure", LAYOUT, "--drawings", "out"]) == 0
    mine = {path.name: path.read_bytes() for path in Path("out").iterdir()}
    assert run(["exposure", "petrel-6.yaml", "--drawings", "out"]) == 2
    assert "out holds drawings of gannet-6" in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in Path("out").iterdir()} == mine
    assert run(["exposure", "petrel-6.yaml", "--drawings", "out", "--force"]) == 0
    assert all("drawing of petrel-6 -->" in path.read_text(encoding="utf-8") for path in Path("out").iterdir())


def test_older_drawings_of_the_same_pack_make_way_and_other_files_stay() -> None:
    assert run(["exposure", LAYOUT, "--drawings", "out"]) == 0
    first = sorted(Path("out").iterdir())
    (Path("out") / "step-99-face-left.svg").write_bytes(first[0].read_bytes())
    (Path("out") / "notes.svg").write_text("<svg/>")
    assert run(["exposure", LAYOUT, "--drawings", "out"]) == 0
    assert sorted(Path("out").iterdir()) == sorted([*first, Path("out/notes.svg")])


def test_a_drawing_by_hand_is_not_written_over(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["exposure", LAYOUT, "--drawings", "out"]) == 0
    mine = next(iter(sorted(Path("out").iterdir())))
    mine.write_text("<svg>by hand</svg>")
    assert run(["exposure", LAYOUT, "--drawings", "out"]) == 2
    assert "did not write it" in capsys.readouterr().err
    assert mine.read_text() == "<svg>by hand</svg>"


# -- reading ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "code"), [
    ("sub/gannet-6.yaml", 3), ("../gannet-6.yaml", 4), ("sub/../../gannet-6.yaml", 4), ("link.yaml", 4),
])  # fmt: skip
def test_a_record_names_a_layout_in_its_own_folder_or_below(
    name: str, code: int, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for place in ("in", "in/sub"):
        (folder / place).mkdir()
    (folder / "in/sub/gannet-6.yaml").write_bytes((folder / LAYOUT).read_bytes())
    (folder / "in/link.yaml").symlink_to("../gannet-6.yaml")
    (folder / "in/record.yaml").write_text(RECORD.replace(LAYOUT, name), encoding="utf-8")
    assert run(["check", "in/record.yaml"]) == code
    assert ("lies outside this record's folder" in capsys.readouterr().out) is (code == 4)


def test_an_absolute_name_is_outside_too(folder: Path) -> None:
    (folder / "in").mkdir()
    (folder / "in/record.yaml").write_text(RECORD.replace(LAYOUT, str(folder / LAYOUT)), encoding="utf-8")
    assert run(["check", "in/record.yaml"]) == 4


def test_a_layout_from_elsewhere_is_named_with_an_option_and_said(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "in").mkdir()
    (folder / "in/record.yaml").write_text(RECORD.replace(LAYOUT, "absent.yaml"), encoding="utf-8")
    assert run(["exposure", "in/record.yaml", "--layout", LAYOUT]) in (0, 3)
    assert run(["check", "in/record.yaml", "--layout", LAYOUT]) == 3
    assert f"layout {LAYOUT}, SHA-256" in capsys.readouterr().out
    assert run(["facts", "in/record.yaml", "--layout", LAYOUT, "--output", "facts.sqlite"]) == 0
    assert run(["check", LAYOUT, "--layout", LAYOUT]) == 4
    assert "a layout, and another layout named beside it" in capsys.readouterr().out


def test_standard_input_is_read_like_a_file() -> None:
    for name in (LAYOUT, "record.yaml"):
        direct = in_shell(f"$P check {name} --format json")
        piped = in_shell(f"cat {name} | $P check - --format json")
        assert piped.returncode == direct.returncode
        assert piped.stdout == direct.stdout.replace(f'"{name}"'.encode(), b'"standard input"')


@pytest.mark.parametrize("source", ["</dev/null", "<&-"])
def test_an_empty_or_closed_input_is_said(source: str) -> None:
    done = in_shell(f"$P check - {source}")
    assert done.returncode == 4
    assert done.stdout.startswith(b"NOT JUDGED")


def test_the_hash_is_that_of_the_bytes_judged(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file changes right after it was read: the answer still names what it judged."""
    from packcheck.judging import check as check_module

    judged = (folder / LAYOUT).read_bytes()
    usual = check_module.build_facts

    def changing(*given: object) -> object:
        (folder / LAYOUT).write_bytes(judged + b"# changed\n")
        return usual(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(check_module, "build_facts", changing)
    run(["check", LAYOUT, "--format", "json"])
    text = capsys.readouterr().out
    assert hashlib.sha256(judged).hexdigest() in text
    assert hashlib.sha256((folder / LAYOUT).read_bytes()).hexdigest() not in text


# -- when the system fails -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("command", "code"), [
    ("$P check {0} >/dev/full", 2), ("$P --help >/dev/full", 2), ("$P check {0} >/dev/full 2>/dev/full", 2),
    ("$P check {0} >&-", 2), ("$P check absent.yaml >&- 2>&-", 2), ("$P show absent.yaml 2>&-", 4),
    ("$P show absent.yaml 2>/dev/full", 4), ("$P check {0} --output /dev/full", 2),
    ("$P facts {0} --output /dev/full", 2), ("$P check {0} | true; exit ${{PIPESTATUS[0]}}", 0),
])  # fmt: skip
def test_a_full_or_closed_output_is_no_fault_of_ours(command: str, code: int) -> None:
    done = in_shell(command.format(LAYOUT))
    assert (done.returncode, b"Traceback" in done.stderr, b"fault of packcheck" in done.stderr) == (code, False, False)


@pytest.mark.parametrize("words", [
    ["check", "loop"], ["show", "loop"], ["check", LAYOUT, "--output", "loop"], ["check", LAYOUT, "--rules", "loop"],
    ["check", LAYOUT, "--profile", "loop"], ["rules", "test", "loop"], ["exposure", LAYOUT, "--drawings", "loop"],
    ["facts", LAYOUT, "--output", "loop"], ["check", "looped.yaml"], ["check", "record.yaml", "--layout", "loop"],
], ids=" ".join)  # fmt: skip
def test_a_link_that_leads_to_itself_is_said(
    words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "loop").symlink_to("loop")
    (folder / "looped.yaml").write_text(RECORD.replace(LAYOUT, "loop"), encoding="utf-8")
    assert run(words) in (2, 4)
    printed = capsys.readouterr()
    assert "fault of packcheck" not in printed.out + printed.err


@pytest.mark.parametrize("name", [f"a{ESCAPE}b.yaml", os.fsdecode(b"a\xffb.yaml"), "a\x9b31mb.yaml", "a\u202eb.yaml"])
@pytest.mark.parametrize("form", ["text", "json"])
def test_no_name_of_a_file_steers_a_terminal(
    name: str, form: str, folder: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    (folder / name).write_bytes((folder / LAYOUT).read_bytes())
    controls = {"\x1b", "\x9b", "\u202e", "\udcff"}
    commands = [
        ["check", name, "--format", form], ["check", name, f"absent{name}"], ["check", name, "--output", f"out{name}"],
        ["exposure", name, "--format", form, "--drawings", f"draw{name}"], ["facts", name, "--output", f"f{name}"],
        ["show", name], ["check", LAYOUT, "--rules", name], ["check", LAYOUT, "--profile", f"p{name}"],
        ["check", LAYOUT, "--gate", name], ["schema", name], ["rules", "show", name], ["rules", "test", name],
        ["check", LAYOUT, f"--{name}"], ["check", LAYOUT, "--output", f"no/{name}"], [name],
    ]  # fmt: skip
    for words in commands:
        assert run(words) in (0, 2, 3, 4), words
        printed = b"".join(capsysbinary.readouterr()).decode("utf-8", "surrogateescape")
        assert controls.isdisjoint(printed), words


def test_a_database_that_has_no_room_is_said(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("packcheck.facts.store._write", full)
    assert run(["facts", LAYOUT, "--output", "facts.sqlite"]) == 2
    assert "cannot write facts.sqlite: database or disk is full" in capsys.readouterr().err


# -- rules of one's own ----------------------------------------------------------------------------------------------


def own_rule(folder: Path, *changes: tuple[str, str]) -> Path:
    """Write a shop's rule, the shipped one about over-torque under another name, and return its file."""
    text = (ROOT / "rules/torque/joint-torque-high.yaml").read_text(encoding="utf-8")
    for old, new in (("rule: joint-torque-high", "rule: our-torque-high"), *changes):
        assert old in text
        text = text.replace(old, new)
    path = folder / "own/torque/our-torque-high.yaml"
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_a_folder_without_a_rule_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "own/torque").mkdir(parents=True)
    (folder / "own/torque/rule.yml").write_text("rule: rule\n")
    assert run(["check", LAYOUT, "--rules", "own"]) == 4
    assert "a folder without a rule" in capsys.readouterr().err


def test_a_rule_whose_example_comes_out_otherwise_judges_no_pack(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own_rule(folder, ("require: torque_n_m <= torque_high_n_m", "require: torque_n_m >= torque_high_n_m"))
    assert run(["check", LAYOUT, "--rules", "own"]) == 4
    text = capsys.readouterr().err
    assert "comes out broken, not met" in text
    assert run(["rules", "test", "own"]) == 1


def test_a_sound_rule_of_ones_own_judges(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own_rule(folder)
    assert run(["check", "record.yaml", "--rules", "own", "--all"]) == 3
    assert "our-torque-high" in capsys.readouterr().out


@pytest.mark.parametrize("levels", [5, 15, 20, 22, 24, 30, 49, 200])
@pytest.mark.parametrize(
    "nest", ["-{}", "max(-{}, torque_n_m)", "abs({})", "({} + torque_n_m)", "min(max({}, 0 * {}))"]
)
def test_a_nest_too_deep_is_a_mistake_of_the_rule_and_no_fault_of_ours(
    nest: str, levels: int, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    condition = "torque_n_m"
    for _ in range(levels):
        condition = nest.replace("{}", condition, 1).replace("{}", "torque_n_m")
    own_rule(folder, ("require: torque_n_m <= torque_high_n_m", f"require: not not {condition} <= torque_high_n_m"))
    for words in (["check", "record.yaml", "--rules", "own"], ["rules", "test", "own"]):
        assert run(words) in (1, 3, 4), capsys.readouterr()
