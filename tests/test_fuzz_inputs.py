"""Some hundred mutated files, always the same: none may lead to anything but a judgement or a plain refusal.

``tests/benchmarks/fuzz_inputs.py`` runs as many more as one has patience for.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from benchmarks import fuzz_inputs
from benchmarks.files_to_spoil import seeds
from benchmarks.spoiling import MUTATIONS, mutate
from benchmarks.using_spoilt_files import use

COUNT = 300
SEED = 2026


def test_seed_files_are_judged_as_they_stand(tmp_path: Path) -> None:
    for kind in seeds():
        seed = min(kind, key=lambda one: len(one.text))
        assert use(seed, seed.text.encode("utf-8"), tmp_path, random.Random(1)) == "judged"


@pytest.mark.parametrize("first", range(0, COUNT, 50))
def test_mutated_file_is_judged_or_refused_and_nothing_else(first: int, tmp_path: Path) -> None:
    outcomes = [fuzz_inputs.run_one(SEED, index, tmp_path) for index in range(first, first + 50)]
    assert [(one.index, one.trace) for one in outcomes if one.failure] == []
    assert {one.word for one in outcomes} <= {"judged", "refused", "wrong usage"}
    assert Counter(one.word for one in outcomes)["refused"] > 5


def test_a_mutation_is_the_same_every_time() -> None:
    seed = seeds()[0][0]
    one, other = (mutate(seed, random.Random("7:7")) for _ in range(2))
    assert one == other
    assert one != seed.text.encode("utf-8")


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.__name__)
def test_every_kind_of_mutation_changes_something(mutation: object) -> None:
    assert callable(mutation)
    text = seeds()[0][0].text
    changed = [mutation(text, random.Random(number)) for number in range(5)]
    assert any(new not in (text, text.encode("utf-8")) for new in changed)


def test_a_fault_is_noticed_and_its_file_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> str:
        raise KeyError("P01")

    monkeypatch.setattr(fuzz_inputs, "use", broken)
    outcome = fuzz_inputs.run_one(SEED, 1, tmp_path, keep=tmp_path / "kept")
    assert outcome.word == "FAILED"
    assert outcome.failure.startswith("KeyError")
    assert "KeyError" in (tmp_path / "kept" / f"{SEED}-1" / "traceback.txt").read_text(encoding="utf-8")
    assert list((tmp_path / "kept" / f"{SEED}-1").glob("*-mutated.yaml"))
