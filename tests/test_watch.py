"""``packcheck check --watch``: judged again when a file it looks at changes, a photo too; Ctrl-C ends it."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

import packcheck
from packcheck.app.cli import run
from packcheck.app.watching import keep_judging, watch
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder

ROOT = Path(packcheck.__file__).parent.parent
FOLDER = shipped_folder("layouts") / "plover-16"
RECORD, LAYOUT = "clean-pl-0052.yaml", "plover-16.yaml"
PROFILE = "profile: 1\nshop: Harbour workshop\n"
LONGEST_S = 60.0


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    for name in (RECORD, LAYOUT):
        (tmp_path / name).write_bytes((FOLDER / name).read_bytes())
    (tmp_path / "shop.yaml").write_text(PROFILE, encoding="utf-8")
    rule = (shipped_folder("rules") / "torque" / "joint-torque-high.yaml").read_text(encoding="utf-8")
    (tmp_path / "own" / "torque").mkdir(parents=True)
    own = rule.replace("rule: joint-torque-high", "rule: our-torque-high")
    (tmp_path / "own" / "torque" / "our-torque-high.yaml").write_text(own, encoding="utf-8")
    return tmp_path


class Watched:
    """A watching command and what it has printed so far."""

    def __init__(self, folder: Path) -> None:
        self.out = folder / "out.txt"
        words = ["check", RECORD, "--brief", "--watch", "--profile", "shop.yaml", "--rules", "own"]
        code = (
            "import signal, sys\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
            "from packcheck.app.cli import main\nmain(sys.argv[1:])"
        )
        with self.out.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-c", code, *words], cwd=folder, stdout=out, stderr=subprocess.STDOUT,
                env={**os.environ, "PYTHONPATH": str(ROOT)},
            )  # fmt: skip

    def wait_for(self, word: str, count: int) -> str:
        """Return all that was printed once a word stands there so often."""
        until = time.monotonic() + LONGEST_S
        while time.monotonic() < until:
            text = self.out.read_text(encoding="utf-8")
            if text.count(word) >= count:
                return text
            time.sleep(0.05)
        raise AssertionError(f"no {count} times '{word}' in: {self.out.read_text(encoding='utf-8')}")


@pytest.fixture
def watched(bench: Path) -> Iterator[Watched]:
    found = Watched(bench)
    yield found
    found.process.kill()
    found.process.wait()


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_each_of_the_four_kinds_of_file_is_watched_and_ctrl_c_ends_it(bench: Path, watched: Watched) -> None:
    watched.wait_for("watching;", 1)
    change(bench / RECORD, "B01/P01: [6,", "B01/P01: [16,")
    text = watched.wait_for("watching;", 2)
    assert text.count("NO RULE BROKEN") == 1
    assert f"{RECORD} changed, judged again" in text
    change(bench / LAYOUT, "revision: 2", "revision: 3")
    text = watched.wait_for("watching;", 3)
    assert f"{LAYOUT} changed, judged again" in text
    (bench / "shop.yaml").write_text("profile: 1\nshop: [\n", encoding="utf-8")
    text = watched.wait_for("watching;", 4)
    assert "shop.yaml changed, judged again" in text
    (bench / "shop.yaml").write_text(PROFILE, encoding="utf-8")
    watched.wait_for("watching;", 5)
    change(bench / "own" / "torque" / "our-torque-high.yaml", "rule: our-torque-high", "rule: our-torque-higher")
    text = watched.wait_for("watching;", 6)
    assert "our-torque-high.yaml changed, judged again" in text
    watched.process.send_signal(signal.SIGINT)
    assert watched.process.wait(LONGEST_S) == 4
    assert watched.out.read_text(encoding="utf-8").endswith("what stands above is the last answer\n")


def test_a_photo_that_the_record_names_is_watched(bench: Path) -> None:
    (bench / "a.jpg").write_bytes(b"one picture")
    with (bench / LAYOUT).open("a", encoding="utf-8") as file:
        file.write("\ntests:\n  picture: {kind: photo, at: [face T]}\n")
    digest = hashlib.sha256(b"one picture").hexdigest()
    with (bench / RECORD).open("a", encoding="utf-8") as file:
        file.write(f"\ntests:\n  taken: {{at: 2026-10-06 09:00}}\n  picture/face T: {{found: {digest}, file: a.jpg}}\n")
    rounds = []

    def once() -> int:
        rounds.append(1)
        if len(rounds) == 2:
            raise KeyboardInterrupt
        (bench / "a.jpg").write_bytes(b"another picture")
        return 0

    assert keep_judging(once, [str(bench / RECORD)], []) == 130
    assert len(rounds) == 2


def test_a_pattern_is_watched_as_what_it_matches_now(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record = bench / RECORD
    acts = iter([
        lambda: change(record, "B01/P01: [6,", "B01/P01: [16,"),
        lambda: (bench / "clean-again.yaml").write_bytes(record.read_bytes()),
        record.unlink,
    ])  # fmt: skip

    def once() -> int:
        act = next(acts, None)
        if act is None:
            raise KeyboardInterrupt
        act()
        return 0

    assert keep_judging(once, [str(bench / "clean-*.yaml")], []) == 130
    told = [line.split()[2] for line in capsys.readouterr().out.splitlines() if line.endswith("judged again")]
    assert told == [RECORD, "clean-again.yaml", RECORD]


def test_it_ends_with_the_exit_code_of_the_last_answer(tmp_path: Path) -> None:
    file = tmp_path / "one.yaml"
    file.write_text("1", encoding="utf-8")
    codes = iter([0, 1, 3])

    def once() -> int:
        code = next(codes)
        if code == 3:
            raise KeyboardInterrupt
        file.write_text(f"{code} and more", encoding="utf-8")
        return code

    assert watch(once, lambda: [file], pause_s=0.01) == 130
    assert next(codes, None) is None


def test_what_cannot_be_read_ends_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "one.yaml"
    rounds = []

    def once() -> int:
        rounds.append(1)
        file.write_text("x" * len(rounds), encoding="utf-8")
        if len(rounds) < 3:
            raise InputProblems([])
        raise KeyboardInterrupt

    watch(once, lambda: [file], pause_s=0.01)
    assert len(rounds) == 3
    assert capsys.readouterr().err.count("watching;") == 2


def test_what_is_no_longer_looked_at_has_not_changed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record, layout = tmp_path / "record.yaml", tmp_path / "layout.yaml"
    record.write_text("1", encoding="utf-8")
    layout.write_text("1", encoding="utf-8")

    def once() -> int:
        if not record.exists():
            raise KeyboardInterrupt
        record.unlink()
        return 0

    watch(once, lambda: [record, layout] if record.exists() else [record], pause_s=0.01)
    assert ": record.yaml changed" in capsys.readouterr().out


def test_standard_input_cannot_be_watched(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "-", "--watch"]) == 2
    assert "standard input" in capsys.readouterr().err
