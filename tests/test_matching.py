"""Which modules go together and where: against every grouping, scipy's solvers, and the plan that is checked."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from itertools import combinations, permutations
from pathlib import Path
from statistics import fmean

import jsonschema
import numpy as np
import pytest
import yaml
from faulty_builds import shipped_rules
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from workshop import Data, grouped_layout, pack_of, record_of, stick_layout

from packcheck.app.cli import run
from packcheck.files.shipped import schema_folder
from packcheck.judging.check import check_opened
from packcheck.matching import pool
from packcheck.matching.answer import Arrangement, arrange
from packcheck.matching.grouping import Grouping, group, least_range, spread_bound
from packcheck.matching.placing import place, units_of, warmth_of
from packcheck.model.opening import open_file
from packcheck.render.arrangement import plan_as_yaml, render_arrangement
from packcheck.rules.findings import Gate, Outcome

SAMPLES = Path(__file__).parent / "samples"
SKERRY = Path(__file__).parent.parent / "layouts" / "skerry-24" / "skerry-24.yaml"
SHELF = SAMPLES / "shelf-34.yaml"


def groupings(things: tuple[int, ...], size: int) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Yield every grouping, by hand: the first thing with each choice of the others."""
    if not things:
        yield ()
        return
    for others in combinations(things[1:], size - 1):
        one = (things[0], *others)
        for rest in groupings(tuple(t for t in things if t not in one), size):
            yield (one, *rest)


def sum_of_squares(values: list[float], size: int):  # type: ignore[no-untyped-def]
    target = fmean(values) * size
    return lambda one: (sum(values[i] for i in one) - target) ** 2


def spread(values: list[float], groups: tuple[tuple[int, ...], ...]) -> float:
    sums = [sum(values[i] for i in one) for one in groups]
    return max(sums) - min(sums)


# -- groups ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("size", [2, 4])
def test_no_grouping_of_eight_is_better(seed: int, size: int) -> None:
    dice = random.Random(seed)
    values = [dice.gauss(10, 1) for _ in range(8)]
    cost = sum_of_squares(values, size)
    found = group(8, size, cost, values)
    best = min(sum(map(cost, groups)) for groups in groupings(tuple(range(8)), size))
    assert found.proven
    assert sum(map(cost, found.groups)) == pytest.approx(best, abs=1e-7)


def test_things_that_all_go_together_and_things_that_each_go_alone_have_one_grouping() -> None:
    cost = sum_of_squares([9.0, 9.5, 10.0, 11.0], 4)
    assert group(4, 4, cost, [9.0, 9.5, 10.0, 11.0]) == Grouping(((0, 1, 2, 3),), True)
    assert group(2, 2, cost, [9.0, 9.5]) == Grouping(((0, 1),), True)
    assert group(3, 1, cost, [9.0, 9.5, 10.0]) == Grouping(((0,), (1,), (2,)), True)


@pytest.mark.parametrize("seed", range(4))
def test_pairs_with_costs_of_any_kind_are_as_good_as_those_of_an_integer_programme(seed: int) -> None:
    dice = random.Random(seed)
    pairs = list(combinations(range(12), 2))
    costs = {pair: dice.random() for pair in pairs}
    found = group(12, 2, lambda one: costs[one[0], one[1]], [0.0] * 12)
    each_once = np.array([[float(thing in pair) for pair in pairs] for thing in range(12)])
    best = milp(c=[costs[pair] for pair in pairs], integrality=np.ones(len(pairs)), bounds=Bounds(0, 1),
                constraints=LinearConstraint(each_once, 1, 1))  # fmt: skip
    assert sum(costs[one[0], one[1]] for one in found.groups) == pytest.approx(best.fun, abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_folding_is_the_best_pairing_of_sums_and_has_the_least_spread(seed: int) -> None:
    dice = random.Random(seed)
    values = [dice.gauss(10, 1) for _ in range(8)]
    cost = sum_of_squares(values, 2)
    order = sorted(range(8), key=values.__getitem__)
    folded = tuple((order[i], order[7 - i]) for i in range(4))
    everything = list(groupings(tuple(range(8)), 2))
    assert sum(map(cost, folded)) == pytest.approx(min(sum(map(cost, groups)) for groups in everything))
    assert spread(values, folded) == pytest.approx(min(spread(values, groups) for groups in everything))


def test_many_pairs_are_folded_in_no_time_and_larger_groups_exchanged_towards_their_bound() -> None:
    dice = random.Random(1)
    values = [dice.gauss(10, 1) for _ in range(192)]
    cost = sum_of_squares(values, 2)
    folded = group(192, 2, cost, values, folds=True)
    order = sorted(values)
    by_hand = max(a + b for a, b in zip(order, reversed(order), strict=True)) - min(
        a + b for a, b in zip(order, reversed(order), strict=True)
    )
    assert folded.proven
    assert spread(values, folded.groups) == pytest.approx(by_hand)
    threes = group(48, 3, sum_of_squares(values[:48], 3), values[:48])
    assert not threes.proven
    assert spread_bound(values[:48], 3) <= spread(values[:48], threes.groups) < 0.2


@pytest.mark.parametrize("seed", range(5))
def test_no_grouping_goes_below_the_bound(seed: int) -> None:
    dice = random.Random(seed)
    values = [dice.gauss(1, 1) ** 4 for _ in range(9)]
    best = min(spread(values, groups) for groups in groupings(tuple(range(9)), 3))
    assert spread_bound(values, 3) <= best + 1e-9
    assert spread_bound([1, 1, 1, 1, 1, 10], 3) == 12 - 7.5


@pytest.mark.parametrize("seed", range(5))
def test_no_choice_differs_less(seed: int) -> None:
    dice = random.Random(seed)
    values = [dice.gauss(10, 1) for _ in range(10)]
    chosen = [values[i] for i in least_range(values, 6)]
    best = min(max(some) - min(some) for some in combinations(values, 6))
    assert max(chosen) - min(chosen) == pytest.approx(best)


# -- places ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(5))
def test_no_placing_of_groups_is_cooler(seed: int) -> None:
    dice = random.Random(seed)
    units = tuple((f"P{2 * n + 1}", f"P{2 * n + 2}") for n in range(6))
    warmth = {name: dice.random() for unit in units for name in unit}
    warmth |= {b: warmth[a] for a, b in units}  # both of a block alike, so that only the blocks are placed
    heats = [dice.random() for _ in range(12)]
    groups = [(2 * n, 2 * n + 1) for n in range(6)]
    placed = place(warmth, units, groups, heats)
    found = sum(warmth[name] * heats[thing] for name, thing in placed.items())
    costs = np.array([[warmth[unit[0]] * sum(heats[i] for i in one) for one in groups] for unit in units])
    rows, columns = linear_sum_assignment(costs)
    assert found == pytest.approx(float(costs[rows, columns].sum()))
    by_hand = min(sum(costs[a, b] for a, b in enumerate(order)) for order in permutations(range(6)))
    assert found == pytest.approx(float(by_hand))


def test_the_middle_of_the_stack_is_warm_and_the_blocks_are_those_between_taps() -> None:
    pack = open_file(SKERRY).pack
    warmth = warmth_of(pack)
    assert [name for name, warm in warmth.items() if warm == max(warmth.values())] == ["P12", "P13"]
    assert warmth["P01"] == warmth["P24"] == 0
    assert units_of(pack) == tuple((f"P{n:02}", f"P{n + 1:02}") for n in range(1, 24, 2))
    assert units_of(pack_of(grouped_layout(4, 2)))[0] == ("G1a", "G1b")


# -- who may be fitted -----------------------------------------------------------------------------------------------


def test_the_limits_are_those_of_the_rules() -> None:
    limits = {(rule.name, name): limit.number for rule in shipped_rules() for name, limit in rule.limits.items()}
    assert limits["module-capacity-low", "drawn_least"] == pool.DRAWN_LEAST
    assert limits["module-capacity-low", "peers_least"] == pool.PEERS_LEAST
    assert limits["module-resistance-high", "drawn_most"] == pool.DRAWN_MOST
    assert limits["module-resistance-high", "peers_most"] == pool.PEERS_MOST
    assert limits["module-lost-on-shelf", "settles_cell_v"] == pool.SETTLES_CELL_V
    assert limits["module-lost-on-shelf", "day_cell_v"] == pool.DAY_CELL_V
    assert limits["module-lost-on-shelf", "floor_v"] == pool.FLOOR_V


def shelf_of(rows: Data, layout: Data | None = None) -> Arrangement:
    layout = layout or stick_layout(4)
    meter = {"kind": "load tester", "accuracy": "1 %", "due": "2027-01-01"}
    record = {"record": 1, "layout": "layout.yaml", "of": {"name": layout["name"], "revision": 1, "pack": "SK-1"},
              "people": {"MK": "tests"}, "instruments": {"L1": meter},
              "shelf": {"taken": {"at": "2026-10-01 09:00", "by": "MK", "with": "L1"}, **rows}}  # fmt: skip
    return arrange(record_of(record, pack_of(layout)))


GOOD: Data = {f"M-{n}": {"resistance": f"{9 + n / 10} mΩ", "capacity": "6 Ah"} for n in range(1, 6)}


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"resistance": "9 mΩ", "capacity": "3 Ah"}, "it holds 3 Ah"),
        ({"resistance": "31 mΩ", "capacity": "6 Ah"}, "it has 31 mΩ"),
        ({"resistance": "9 mΩ"}, "its capacity was not measured"),
        ({"capacity": "6 Ah"}, "its resistance was not measured"),
        ({"resistance": "9 mΩ", "capacity": "6 Ah", "lost": "200 mV", "stood": "24 h"}, "it lost 200 mV in 24 h"),
        ({"resistance": "9 mΩ", "capacity": "6 Ah", "lost": "1 mV"}, "nobody wrote down how long it stood"),
        ({"resistance": "9 mΩ", "capacity": "6 Ah", "set aside": "swollen"}, "swollen"),
    ],
)
def test_who_is_not_to_be_fitted_is_told_why(row: Data, why: str) -> None:
    found = shelf_of({**GOOD, "M-9": row})
    (one,) = found.left_out
    assert (one.serial, one.why.startswith(why)) == ("M-9", True)
    assert len(found.plan) == 4
    assert len(found.spares) == 1


def test_without_enough_modules_or_numbers_there_is_no_plan() -> None:
    few = shelf_of({name: GOOD[name] for name in ("M-1", "M-2", "M-3")})
    assert (few.plan, few.lacking) == ({}, {"stick": 1})
    blind = shelf_of({f"M-{n}": {"lot": "38C"} for n in range(6)})
    assert (blind.plan, blind.unmeasured) == ({}, ("stick",))


def test_lots_stay_together_where_that_costs_little() -> None:
    rows = {f"M-{n}": {"resistance": "10 mΩ" if n % 2 else "10.01 mΩ", "lot": "AABB"[n]} for n in range(4)}
    layout = stick_layout(4)
    layout["taps"] = {"T0": "P1.B", "T1": "P2.B", "T2": "P4.B"}
    found = shelf_of(rows, layout)
    lots = {
        frozenset(rows[serial]["lot"] for serial in one.serials.values()) for m in found.matches for one in m.together
    }
    assert lots == {frozenset("A"), frozenset("B")}


def test_parallel_groups_are_matched_by_capacity_and_within_by_resistance() -> None:
    dice = random.Random(3)
    rows = {f"M-{n}": {"resistance": f"{dice.gauss(0.8, 0.04):.4f} mΩ", "capacity": f"{dice.gauss(60, 2):.2f} Ah"}
            for n in range(12)}  # fmt: skip
    found = shelf_of(rows, grouped_layout(6, 2))
    (match,) = found.matches
    assert (match.unit, match.size, match.proven, len(match.together)) == ("Ah", 2, True, 6)
    assert match.spread < match.random / 2
    three = shelf_of(rows, grouped_layout(4, 3))
    assert three.matches[0].proven, "15,400 groupings are tried one by one"


@pytest.mark.parametrize("seed", range(40))
def test_an_arrangement_is_evener_than_chance_and_than_filling_the_smallest(seed: int) -> None:
    dice = random.Random(seed)
    values = [dice.gauss(100, 5) for _ in range(24)]
    ours = group(24, 2, sum_of_squares(values, 2), values)
    order = list(range(24))
    dice.shuffle(order)
    chance = tuple((order[i], order[i + 1]) for i in range(0, 24, 2))
    blocks: list[list[int]] = [[] for _ in range(12)]
    for thing in sorted(range(24), key=lambda i: -values[i]):
        open_ones = [one for one in blocks if len(one) < 2]
        min(open_ones, key=lambda one: sum(values[i] for i in one)).append(thing)
    assert spread(values, ours.groups) <= spread(values, tuple(map(tuple, blocks))) + 1e-9
    assert spread(values, ours.groups) < spread(values, chance)


# -- the answer ------------------------------------------------------------------------------------------------------


def test_the_plan_is_what_check_holds_the_build_to(tmp_path: Path) -> None:
    found = shelf_of(GOOD)
    layout = stick_layout(4) | yaml.safe_load(plan_as_yaml(found))
    pack = pack_of(layout)
    assert pack.plan == found.plan
    for exchanged in (False, True):
        fitted = dict(found.plan)
        if exchanged:
            fitted["P1"], fitted["P2"] = fitted["P2"], fitted["P1"]
        record = {"record": 1, "layout": "l.yaml", "of": {"name": "generated", "revision": 1, "pack": "SK-1"},
                  "modules": {name: {"serial": serial} for name, serial in fitted.items()}}  # fmt: skip
        (tmp_path / "l.yaml").write_text(json.dumps(layout), encoding="utf-8")
        (tmp_path / "r.yaml").write_text(json.dumps(record), encoding="utf-8")
        report = check_opened(open_file(tmp_path / "r.yaml"), shipped_rules(), Gate.FIT_BARS, None)
        broken = [f.subject for p in report.paragraphs for f in p.findings
                  if f.rule == "module-out-of-plan" and f.outcome is Outcome.BROKEN]  # fmt: skip
        assert broken == (["P1", "P2"] if exchanged else [])


def test_serials_that_look_like_other_words_stay_texts() -> None:
    odd = ["0012", "yes", "1e5", "12:30", "a: b", "it's"]
    found = Arrangement({f"P{n}": serial for n, serial in enumerate(odd)}, (), (), (), {}, (), False, None)  # type: ignore[arg-type]
    assert list(yaml.safe_load(plan_as_yaml(found))["plan"].values()) == odd


def test_the_sample_is_arranged_in_every_format(capsys: pytest.CaptureFixture[str]) -> None:
    command = ["arrange", str(SHELF), "--layout", str(SKERRY)]
    assert run(command) == 0
    text = capsys.readouterr().out
    assert "A PLAN FOR 24 MODULES" in text
    assert "M-1183: wet at the vent" in text
    assert run([*command, "--format", "yaml"]) == 0
    plan = yaml.safe_load(capsys.readouterr().out)["plan"]
    assert run([*command, "--format", "json"]) == 0
    parsed = json.loads(capsys.readouterr().out)
    jsonschema.validate(parsed, json.loads((schema_folder() / "arrangement.json").read_text(encoding="utf-8")))
    assert parsed["plan"] == plan
    assert len(plan) == 24


def test_a_record_without_a_shelf_has_no_plan_and_a_layout_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["arrange", str(SKERRY.parent / "clean-sk-0417.yaml")]) == 3
    assert "NO PLAN: too little was measured" in capsys.readouterr().out
    assert run(["arrange", str(SKERRY.parent / "clean-sk-0417.yaml"), "--format", "yaml"]) == 2
    assert run(["arrange", str(SKERRY)]) == 2
    assert run(["arrange", str(SHELF), "--layout", str(SKERRY), "--load", "-1"]) == 2


def test_coarse_readings_are_told() -> None:
    coarse = {f"M-{n}": {"resistance": f"{10 + n / 1000} mΩ"} for n in range(4)}
    layout = stick_layout(4)
    layout["taps"] = {"T0": "P1.B", "T1": "P2.B", "T2": "P4.B"}
    meter = {"kind": "load tester", "accuracy": "1 mΩ", "due": "2027-01-01"}
    record = {"record": 1, "layout": "layout.yaml", "of": {"name": "generated", "revision": 1, "pack": "SK-1"},
              "people": {"MK": "t"}, "instruments": {"L1": meter},
              "shelf": {"taken": {"at": "2026-10-01 09:00", "by": "MK", "with": "L1"}, **coarse}}  # fmt: skip
    pack = pack_of(layout)
    text = render_arrangement(arrange(record_of(record, pack)), pack)
    assert "too coarse, or the modules too alike" in text


@pytest.mark.parametrize(
    ("readers", "expected_mv"),
    [
        # four sticks of 10.0, 10.2, 10.4 and 10.6 mΩ give way by 100 to 106 mV at 10 A, 6 mV apart
        (("L1", "L1", "L1", "L1"), 0.06),  # 1 % too much in all of them is 1 % too much of their 6 mV
        (("L1", "L1", "L2", "L2"), 1.02 + 1.06),  # the one tester may read 1 % too much and the other too little
    ],
)
def test_what_one_instrument_reads_too_high_it_reads_too_high_in_all(
    readers: tuple[str, ...], expected_mv: float
) -> None:
    meters = {name: {"kind": "load tester", "accuracy": accuracy, "due": "2027-01-01"}
              for name, accuracy in (("L1", "1 %"), ("L2", "1 %"))}  # fmt: skip
    rows = {f"M-{n}": {"resistance": f"{10 + n / 5} mΩ", "with": reader} for n, reader in enumerate(readers)}
    layout = stick_layout(4)
    record = {"record": 1, "layout": "layout.yaml", "of": {"name": layout["name"], "revision": 1, "pack": "SK-1"},
              "people": {"MK": "tests"}, "instruments": meters,
              "shelf": {"taken": {"at": "2026-10-01 09:00", "by": "MK"}, **rows}}  # fmt: skip
    pack = pack_of(layout)
    found = arrange(record_of(record, pack), 10.0)
    (match,) = found.matches
    assert match.spread * 1e3 == pytest.approx(6.0)
    assert match.half * 1e3 == pytest.approx(expected_mv)
    assert f"6 mV ± {expected_mv:.3g} mV" in render_arrangement(found, pack)


def test_of_modules_all_alike_one_instrument_leaves_nothing_open() -> None:
    found = shelf_of({f"M-{n}": {"resistance": "9.13 mΩ"} for n in range(4)})
    assert (found.matches[0].spread, found.matches[0].half) == (0.0, 0.0)
    assert " ± " not in render_arrangement(found, pack_of(stick_layout(4)))


@pytest.mark.parametrize("number", ["-1", "0", "999"])
def test_a_plan_that_is_not_there_cannot_be_chosen(number: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["arrange", str(SHELF), "--layout", str(SKERRY), "--choose", number]) == 2
    assert "--choose takes" in capsys.readouterr().err
