"""The groupings that no other beats: against every grouping of small shelves, written out and compared by hand.

Better in one thing and worse in nothing is Pareto's improvement; the front is what has none (V. Pareto, Manuale di
economia politica, 1906, from memory).
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from itertools import combinations
from math import sqrt
from statistics import fmean, pstdev

import pytest
from test_matching import GOOD, SHELF, SKERRY, groupings, shelf_of
from workshop import grouped_layout, stick_layout

from packcheck.app.cli import run
from packcheck.matching.choices import Choice, Weighed, choices_of, unbeaten
from packcheck.matching.grouping import Grouping
from packcheck.model.opening import open_file
from packcheck.render.arrangement import render_arrangement

Vector = tuple[float, float, int]


def vector(groups: tuple[tuple[int, ...], ...], weighed: Weighed) -> Vector:
    """Return, by hand, how far sums lie apart, how far members, and how many second lots there are."""
    sums = [sum(weighed.values[i] for i in one) for one in groups]
    means = {i: fmean(weighed.alike[j] for j in one) for one in groups for i in one}
    unlike = sqrt(fmean((weighed.alike[i] - mean) ** 2 for i, mean in means.items()))
    return pstdev(sums), unlike, sum(len({weighed.lots[i] for i in one}) - 1 for one in groups)


def front_of(vectors: set[Vector]) -> set[Vector]:
    """Return those that nothing beats, each held against each."""

    def beaten(one: Vector) -> bool:
        return any(v != one and all(a <= b for a, b in zip(v, one, strict=True)) for v in vectors)

    return {one for one in vectors if not beaten(one)}


def shelves() -> Iterator[tuple[int, int, Weighed]]:
    for seed, (count, size) in enumerate([(4, 2), (6, 2), (6, 3), (8, 2), (8, 4), (9, 3), (10, 2), (10, 5)]):
        dice = random.Random(seed)
        values = [dice.gauss(60, 2) for _ in range(count)]
        alike = [dice.gauss(8e-4, 4e-5) for _ in range(count)]
        yield count, size, Weighed(values, alike, [dice.choice("ABC") for _ in range(count)])
        yield count, size, Weighed(values, alike, ["A"] * count)
        yield count, size, Weighed(values, values, [dice.choice("AB") for _ in range(count)])
        coarse = [float(round(value)) for value in values]  # many groupings are as good as others
        yield count, size, Weighed(coarse, [round(ohm, 4) for ohm in alike], ["A"] * count)


@pytest.mark.parametrize(("count", "size", "weighed"), list(shelves()))
def test_of_a_small_shelf_the_front_is_that_of_every_grouping(count: int, size: int, weighed: Weighed) -> None:
    everything = {vector(groups, weighed) for groups in groupings(tuple(range(count)), size)}
    near = {tuple(round(x / scale, 8) for x, scale in zip(v, (2.0, pstdev(weighed.alike) or 1.0, 1), strict=True)): v
            for v in everything}  # fmt: skip
    by_hand = {near[one] for one in front_of(set(near))}  # type: ignore[arg-type]
    first = Grouping(next(groupings(tuple(range(count)), size)), False)
    found = choices_of(size, weighed, first)
    assert found.all_seen
    assert len(found.front) == len(by_hand)
    for one, other in zip(found.front, sorted(by_hand), strict=True):
        assert (one.uneven, one.unlike, one.lots) == pytest.approx(other, rel=1e-5, abs=1e-8)
    for one in found.front:
        assert sorted(i for group in one.groups for i in group) == list(range(count))
        assert (one.uneven, one.unlike, one.lots) == pytest.approx(vector(one.groups, weighed), abs=1e-7)


@pytest.mark.parametrize("seed", range(3))
def test_of_a_large_shelf_nothing_tried_is_beaten_and_neither_is_the_plan_of_least_cost(seed: int) -> None:
    dice = random.Random(seed)
    values, alike = [dice.gauss(60, 2) for _ in range(20)], [dice.gauss(8e-4, 4e-5) for _ in range(20)]
    weighed = Weighed(values, alike, [dice.choice("AB") for _ in range(20)])
    order = sorted(range(20), key=values.__getitem__)
    folded = Grouping(tuple((order[i], order[19 - i]) for i in range(10)), True)
    found = choices_of(2, weighed, folded)
    assert not found.all_seen
    assert len(found.front) >= 4
    vectors = {(one.uneven, one.unlike, one.lots) for one in found.front}
    assert front_of(vectors) == vectors
    assert min(one.uneven for one in found.front) == pytest.approx(vector(folded.groups, weighed)[0])


@pytest.mark.parametrize("seed", range(3))
def test_what_is_tried_on_a_shelf_that_could_be_looked_through_lies_on_its_front(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Weights of both find no grouping that another one beats in evenness and likeness."""
    dice = random.Random(seed)
    weighed = Weighed([dice.gauss(60, 2) for _ in range(10)], [dice.gauss(8e-4, 4e-5) for _ in range(10)], ["A"] * 10)
    every = choices_of(2, weighed, Grouping(next(groupings(tuple(range(10)), 2)), False))
    monkeypatch.setattr("packcheck.matching.choices.are_few", lambda *_: False)
    some = choices_of(2, weighed, Grouping(next(groupings(tuple(range(10)), 2)), False))
    assert {(c.uneven, c.unlike) for c in some.front} <= {(c.uneven, c.unlike) for c in every.front}
    assert 3 <= len(some.front) <= len(every.front)


def test_one_beats_another_that_is_nowhere_better_and_somewhere_worse() -> None:
    best, even, like = (Choice(((n,),), *v) for n, v in enumerate([(1.0, 1.0, 0), (1.0, 1.0, 1), (2.0, 0.5, 0)]))
    assert best.beats(even)
    assert not even.beats(best)
    assert not best.beats(like)
    assert not best.beats(best)
    assert unbeaten([like, even, best]) == (best, like)


def test_modules_one_by_one_and_a_single_group_leave_nothing_to_choose() -> None:
    weighed = Weighed([1.0, 2.0, 3.0, 4.0], [1.0] * 4, ["A"] * 4)
    for size, groups in ((1, ((0,), (1,), (2,), (3,))), (4, ((0, 1, 2, 3),))):
        found = choices_of(size, weighed, Grouping(groups, True))
        assert [one.groups for one in found.front] == [groups]


def parallel_shelf() -> dict[str, dict[str, str]]:
    dice = random.Random(5)
    return {f"M-{n}": {"resistance": f"{dice.gauss(0.8, 0.04):.4f} mΩ", "capacity": f"{dice.gauss(60, 2):.2f} Ah"}
            for n in range(8)}  # fmt: skip


def test_the_plan_is_the_choice_that_costs_least_and_each_choice_is_of_the_same_modules() -> None:
    (match,) = shelf_of(parallel_shelf(), grouped_layout(4, 2)).matches
    assert match.choices.all_seen
    assert match.proven
    taken = {frozenset(one.serials.values()) for one in match.together}
    chosen = match.choices.front[match.chosen]
    assert {frozenset(match.serials[i] for i in group) for group in chosen.groups} == taken
    assert len({combo for c in match.choices.front for combo in [frozenset(map(frozenset, c.groups))]}) == len(
        match.choices.front
    )
    assert 0 < match.chosen < len(match.choices.front) - 1, "the usual weights take neither end"
    pairs = set(combinations(range(8), 2))
    assert all(set(c.groups) <= pairs for c in match.choices.front)


def test_another_plan_is_taken_by_its_number(capsys: pytest.CaptureFixture[str]) -> None:
    command = ["arrange", str(SHELF), "--layout", str(SKERRY), "--format", "json"]
    plans = []
    for number in ("1", "3"):
        assert run([*command, "--choose", number]) == 0
        told = json.loads(capsys.readouterr().out)
        (match,) = told["matches"]
        assert [one["number"] for one in match["choices"] if one["chosen"]] == [int(number)]
        together = {frozenset(one["serials"].values()) for one in match["together"]}
        assert {frozenset(one) for one in match["choices"][int(number) - 1]["together"]} == together
        assert sorted(told["plan"].values()) == sorted(serial for one in together for serial in one)
        plans.append(told["plan"])
    assert plans[0] != plans[1]
    assert run([*command, "--choose", "99"]) == 2
    assert "--choose takes a number from 1 to" in capsys.readouterr().err
    assert run([*command, "--choose", "0"]) == 2


def test_the_terminal_lists_them_and_marks_the_one_taken() -> None:
    found = shelf_of(parallel_shelf(), grouped_layout(4, 2))
    (match,) = found.matches
    pack = open_file(SKERRY).pack
    text = " ".join(render_arrangement(found, pack, width=200).split())
    assert f"{len(match.choices.front)} plans, of all groupings, that no other beats" in text
    assert f"{match.chosen + 1}, taken here: sums" in text
    alone = shelf_of(GOOD, stick_layout(4))
    assert "no other beats" not in render_arrangement(alone, pack)
