"""Cases that questions are asked on: a build as a trainee reads it, and a lesson with three questions asked."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from test_simulate import bench_of, even, layout_of

from packcheck.app.cli import run
from packcheck.app.teaching.folder import PathFile, open_key, stand_again
from packcheck.lessons.questions import question_of
from packcheck.simulate.asked.answer import answer
from packcheck.simulate.asked.truth import Truth, truth_of
from packcheck.simulate.build import Build

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


ASKED = (("look", "P01"), ("volts", "S01", "S00"), ("count", "modules"))


@cache
def made(tmp: Path) -> Path:
    layout, folder = tmp / "plover-16.yaml", tmp / "lesson"
    layout.write_bytes(layout_of("plover-16").content)
    wanted = ["--cases", "2", "--pairs", "0", "--healthy", "0", "--fault", "module-turned"]
    assert run(["lesson", "make", str(layout), "--output", str(folder), *wanted]) == 0
    return folder


@pytest.fixture(name="lesson")
def asked_lesson(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
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
