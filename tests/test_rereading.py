"""What is drawn at random to be read again: the chances are the hypergeometric ones, and a number draws it again."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import hypergeom

from packcheck.app.cli import run
from packcheck.files.shipped import shipped_folder
from packcheck.judging.rereading import chance_of_one, draw, number_needed

RECORD = str(shipped_folder("layouts") / "skerry-24" / "clean-sk-0417.yaml")


@pytest.mark.parametrize(("lot", "wrong", "needed"), [(48, 5, 21), (24, 2, 19), (24, 3, 15)])
def test_so_many_are_needed_to_find_one_of_the_wrong_ones_nineteen_times_in_twenty(
    lot: int, wrong: int, needed: int
) -> None:
    """The product of (lot − wrong − i) / (lot − i) over those drawn is the chance of none: plain arithmetic."""

    def none(drawn: int) -> float:
        left = 1.0
        for i in range(drawn):
            left *= (lot - wrong - i) / (lot - i)
        return left

    assert none(needed) <= 0.05 < none(needed - 1)
    assert number_needed(lot, wrong, 0.95) == needed


@given(st.data())
def test_the_chance_is_that_of_scipy(data: st.DataObject) -> None:
    lot = data.draw(st.integers(1, 200))
    wrong, drawn = data.draw(st.integers(0, lot)), data.draw(st.integers(0, lot))
    assert chance_of_one(lot, wrong, drawn) == pytest.approx(1 - hypergeom(lot, wrong, drawn).pmf(0), abs=1e-9)


@pytest.mark.parametrize(("lot", "wrong", "drawn"), [(4, 5, 1), (4, 1, 5), (4, -1, 2), (4, 2, -1)])
def test_more_than_there_are_is_refused(lot: int, wrong: int, drawn: int) -> None:
    with pytest.raises(ValueError, match=f"of {lot}"):
        chance_of_one(lot, wrong, drawn)


def test_every_pair_of_eight_is_drawn_about_as_often_as_another() -> None:
    """3,000 draws of 2 of 8: each of the 28 pairs 107 times, give or take 41 (four standard deviations)."""
    names = [f"J{n}" for n in range(8)]
    seen = [draw(names, 2, number, "torque") for number in range(3000)]
    counts = [seen.count(pair) for pair in combinations(names, 2)]
    assert sum(counts) == 3000
    assert max(abs(count - 3000 / 28) for count in counts) < 41


def test_a_number_draws_the_same_again_and_another_draws_others(capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for number in ("4711", "4711", "4712"):
        assert run(["reread", RECORD, "--number", number, "--wrong", "5", "--chance", "0.95"]) == 0
        answers.append(capsys.readouterr().out)
    assert answers[0] == answers[1] != answers[2]
    assert "drawn with number 4711" in " ".join(answers[0].split())
    assert hypergeom(54, 5, 24).pmf(0) < 0.05 < hypergeom(54, 5, 23).pmf(0)
    assert "torque of joints: 24 of 54" in answers[0]
    assert "If 5 are wrong" in answers[0]


def test_without_a_number_one_is_drawn_and_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert run(["reread", RECORD, "-o", str(tmp_path / "again.txt")]) == 0
    assert capsys.readouterr().out == ""
    assert "drawn with number" in " ".join((tmp_path / "again.txt").read_text("utf-8").split())


@pytest.mark.parametrize("words", [["--count", "0"], ["--chance", "1.5"], ["--wrong", "-1"], ["--number", "-3"]])
def test_what_cannot_be_drawn_is_wrong_usage(words: list[str]) -> None:
    assert run(["reread", RECORD, *words]) == 2


def test_of_a_layout_nothing_is_drawn() -> None:
    assert run(["reread", str(Path(RECORD).parent / "skerry-24.yaml")]) == 2
