"""Cases that look alike and are not: which explanations stand, in which order, and what settles it.

The pack is one string of 24 modules of 7.92 V and 10 mΩ, taps at every second one.  Every reading here is a sum of
modules done in the test by hand; the cases are those that a trainer sets (common practice).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from near_misses import TOTAL, U, V, record, vector

from packcheck.diagnosis.answer import Diagnosis, diagnose
from packcheck.diagnosis.hypothesis import NOTHING, Hypothesis
from packcheck.diagnosis.plan import Step
from packcheck.diagnosis.search import Excluded, Fit, Search

P = ("P07", "P08")
"""The two modules of block 4."""


def kinds(diagnosis: Diagnosis) -> set[tuple[str, tuple[str, ...]]]:
    return {(fit.hypothesis.kind, fit.hypothesis.parts) for fit in diagnosis.fits}


def steps(step: Step | None) -> list[str]:
    """Return everything that the plan may ask for, the first thing first."""
    if step is None:
        return []
    return [step.do, *(do for outcome in step.outcomes for do in steps(outcome.then))]


def left_at(step: Step | None, shows: str) -> set[tuple[str, tuple[str, ...]]]:
    """Return the explanations left when the first measurement shows this."""
    assert step is not None
    left = [o.left for o in step.outcomes if o.shows == shows]
    assert len(left) == 1, [o.shows for o in step.outcomes]
    return {(fit.hypothesis.kind, fit.hypothesis.parts) for fit in left[0]}


def test_one_module_turned_or_the_block_bridged_or_shorted_is_settled_by_the_sign_at_a_module() -> None:
    found = diagnose(record(vector(X4=0.0), TOTAL - 2 * V))
    assert {fit.hypothesis.kind for fit in found.fits[:2]} == {"module turned"}
    expected = {("module turned", ("P07",)), ("module turned", ("P08",)), ("block bridged", P),
                ("conductor stray", ("P06.B to P08.B",))}  # fmt: skip
    assert expected <= kinds(found)
    assert not any(kind in ("block turned", "sign or leads", "taps exchanged") for kind, _ in kinds(found))
    assert found.step is not None
    assert found.step.do == "Read P07 at its posts, P07.A against P07.B"
    assert found.step.volts < 10
    assert left_at(found.step, "about −7.92 V") == {("module turned", ("P07",))}
    assert ("module turned", ("P08",)) in left_at(found.step, "about 7.92 V")
    assert ("block bridged", P) not in left_at(found.step, "about 7.92 V")


def test_a_block_bridged_and_a_block_shorted_are_settled_by_what_is_fitted_there() -> None:
    """Zero at the posts of a module leaves both; a short of two modules would be 15.84 V over 20.5 mΩ, 770 A."""
    found = diagnose(record(vector(X4=0.0), TOTAL - 2 * V))
    assert any(do.startswith("Look at") for do in steps(found.step))
    assert not any(do.startswith("Draw a load") for do in steps(found.step)), "no load while something may be shorted"


def test_two_modules_bypassed_in_different_blocks_take_a_pair_and_module_readings_settle_it() -> None:
    found = diagnose(record(vector(X4=V, X9=V), TOTAL - 2 * V))
    assert found.tried[1] > 0
    assert all(fit.hypothesis.count == 2 for fit in found.fits)
    best = {fit.hypothesis.parts for fit in found.fits[:4]}
    assert best == {("P07", "P17"), ("P07", "P18"), ("P08", "P17"), ("P08", "P18")}
    assert found.step is not None
    assert found.step.do.startswith("Read P")


def test_an_answer_says_how_many_hypotheses_were_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    solved, fit = Counter[int](), Search.fit

    def counted(search: Search, hypothesis: Hypothesis) -> Fit | Excluded:
        solved[hypothesis.count] += hypothesis is not NOTHING
        return fit(search, hypothesis)

    monkeypatch.setattr(Search, "fit", counted)
    one = diagnose(record(vector(X4=V), TOTAL - V))
    assert one.tried == (solved[1] + 1, 0), "and nothing otherwise than recorded"
    solved.clear()
    two = diagnose(record(vector(X4=V, X9=V), TOTAL - 2 * V))
    assert two.tried == (solved[1] + 1, solved[2])
    assert solved[2] > 0


def test_twelve_cells_short_one_in_each_block_leave_no_outlier_and_a_known_source_settles_it() -> None:
    found = diagnose(record([14.52] * 12, TOTAL - 12 * 1.32))
    assert kinds(found) == {("one cell short in every block", ("every block",)), ("meter shows wrongly", ("V1",))}
    assert steps(found.step) == ["Read a known source with V1"]


def test_a_block_turned_is_told_from_every_other_negative_block_by_the_total() -> None:
    found = diagnose(record(vector(X4=-U), TOTAL - 4 * V))
    assert kinds(found) == {("block turned", P)}
    assert found.step is None
    by = {kind.kind: kind.readings for kind in found.excluded}
    assert "total" in by["sign or leads"]


@pytest.mark.parametrize(("block", "taps"), [(4, ("T03", "T04")), (5, ("T04", "T05")), (10, ("T09", "T10"))])
def test_neighbouring_taps_exchanged(block: int, taps: tuple[str, str]) -> None:
    found = diagnose(record(vector(**{f"X{block - 1}": 2 * U, f"X{block}": -U, f"X{block + 1}": 2 * U}), TOTAL))
    assert kinds(found) == {("taps exchanged", taps)}


def test_the_first_two_taps_exchanged() -> None:
    assert kinds(diagnose(record(vector(X1=-U, X2=2 * U), TOTAL))) == {("taps exchanged", ("T00", "T01"))}


def test_taps_two_apart_exchanged() -> None:
    """T03 and T05: 3u, −u, −u, 3u over blocks 3 to 6."""
    found = diagnose(record(vector(X3=3 * U, X4=-U, X5=-U, X6=3 * U), TOTAL))
    assert kinds(found) == {("taps exchanged", ("T03", "T05"))}


def test_a_lost_sign_is_told_from_a_turned_block_by_the_total_and_settled_by_reading_again() -> None:
    found = diagnose(record(vector(X4=-U), TOTAL))
    assert kinds(found) == {("sign or leads", ("X4",))}
    without = diagnose(record(vector(X4=-U)))
    assert {("sign or leads", ("X4",)), ("block turned", P)} <= kinds(without)
    assert without.step is not None
    assert "read X4 again" in without.step.do or "Read P07 at its posts" in without.step.do


@pytest.mark.parametrize(
    ("readings", "places"),
    [({"X4": 0.0, "X5": 2 * U}, {"P06.B", "P07.B"}), ({"X4": V, "X5": 3 * V}, {"P08.A", "P07.A"})],
    ids=["next bar of the face", "other face"],
)
def test_a_tap_on_another_post_leaves_the_total_full(readings: dict[str, float], places: set[str]) -> None:
    found = diagnose(record(vector(**readings), TOTAL))
    best = [fit.hypothesis for fit in found.fits if fit.hypothesis.kind == "tap on another place"]
    assert {node for hypothesis in best for node in hypothesis.taps.values()} == places
    assert all(hypothesis.parts == ("T04",) for hypothesis in best)
    assert {kind for kind, _ in kinds(found)} == {"tap on another place", "tap open"}
    assert found.fits[0].hypothesis.kind == "tap on another place"
    assert "from the pin of T04" in steps(found.step)[0]


@pytest.mark.parametrize("split", [3.1, 11.0, 15.0])
def test_a_tap_that_is_open_splits_the_sum_of_its_neighbours_anyhow(split: float) -> None:
    found = diagnose(record(vector(X4=split, X5=2 * U - split), TOTAL))
    assert ("tap open", ("T04",)) in kinds(found)
    assert {parts for _, parts in kinds(found)} == {("T04",)}


def test_a_tap_that_is_open_may_read_as_it_should() -> None:
    found = diagnose(record(vector(), TOTAL))
    assert found.nothing_needed
    assert ("tap open", ("T04",)) in kinds(found)


def test_a_mirrored_harness_and_leads_the_wrong_way_round_are_settled_by_a_reading_at_posts() -> None:
    found = diagnose(record([-U] * 12, TOTAL))
    assert {kind for kind, _ in kinds(found)} == {"harness mirrored", "leads reversed at the taps"}
    assert "again" in steps(found.step)[0] or "posts" in steps(found.step)[0]


def test_a_mirrored_stack_and_a_meter_the_wrong_way_round_are_settled_by_a_known_source() -> None:
    found = diagnose(record([-U] * 12, -TOTAL))
    assert {kind for kind, _ in kinds(found)} == {"stack turned", "meter leads reversed"}
    assert steps(found.step) == ["Read a known source with V1"]


def test_connectors_exchanged_show_only_in_the_fingerprint_of_their_blocks() -> None:
    """Ramp of 20 mV a module: each block differs from the next by 80 mV, far more than the meter leaves open."""
    rests = {i: round(7.68 + 0.02 * i, 3) for i in range(1, 25)}
    blocks = [round(rests[2 * i - 1] + rests[2 * i], 3) for i in range(1, 13)]
    exchanged = blocks[6:] + blocks[:6]
    found = diagnose(record(exchanged, sum(blocks), rests=rests))
    assert found.fits[0].hypothesis.kind == "connectors exchanged"
    assert set(found.fits[0].hypothesis.parts) == {"T06x", *(f"T{i:02d}" for i in range(13))}
    alike = diagnose(record(vector(), TOTAL))
    assert alike.nothing_needed
    assert "connectors exchanged" in {kind for kind, _ in kinds(alike)}, "alike blocks cannot tell"


@pytest.mark.parametrize("rest", [14.52])
def test_one_cell_short_or_a_module_of_five_cells_are_settled_by_module_and_label(rest: float) -> None:
    found = diagnose(record(vector(X4=rest), TOTAL - 1.32))
    assert {kind for kind, _ in kinds(found)} == {"one cell short", "module of another type", "module weak"}
    assert {part for _, parts in kinds(found) for part in parts} == set(P)
    assert found.step is not None
    assert found.step.do == "Read P07 at its posts, P07.A against P07.B"
    assert any(do.startswith("Read the label of P07") for do in steps(found.step))


def test_two_cells_short_or_one_reversed_are_settled_by_a_load_step_or_a_stand() -> None:
    found = diagnose(record(vector(X4=13.20), TOTAL - 2.64))
    assert {kind for kind, _ in kinds(found)} == {"two cells short", "one cell reversed", "module weak"}
    asked = steps(found.step)
    assert asked[0].startswith("Read P0")
    assert any(do.startswith(("Draw a load across P07", "Recharge P07")) for do in asked)


@pytest.mark.parametrize("low", [0.1, 0.25, 0.4])
def test_a_low_state_of_charge_is_no_whole_number_of_cells(low: float) -> None:
    found = diagnose(record(vector(X4=U - low), TOTAL - low))
    slips = {("one digit otherwise", ("X4",)), ("two digits exchanged", ("X4",))}
    assert kinds(found) - slips == {("module weak", ("P07",)), ("module weak", ("P08",))}
    assert found.fits[0].size == pytest.approx(-low, abs=0.02)
    assert found.fits[0].hypothesis.traits == {("stand", "P07"): "recovers"}


def sags(extra_mohm: float) -> list[float]:
    """Return each block under 20 A: two modules of 10 mΩ, bars and joints 0.36 mΩ; block 4 has some more."""
    ohm = [0.020 + 0.00036 + (extra_mohm / 1000 if i == 4 else 0.0) for i in range(1, 13)]
    return [U - 20 * r for r in ohm]


@pytest.mark.parametrize("extra_mohm", [1.0, 3.0])
def test_a_loose_joint_or_a_module_of_high_resistance_shows_only_under_load(extra_mohm: float) -> None:
    """20 A through 1 mΩ more is 20 mV more: block 4 sags by 0.427 V where the others sag by 0.407 V."""
    assert diagnose(record(vector(), TOTAL)).nothing_needed
    found = diagnose(record(vector(), TOTAL, loaded=sags(extra_mohm)))
    assert [found.observed[i].probe.reading for i in found.misfits] == ["L4"]
    expected = {("module resistance high", (p,)) for p in P}
    expected |= {("joint resistance high", (j,)) for j in ("B06/P06", "B06/P07", "B07/P07", "B07/P08")}
    assert kinds(found) == expected
    assert found.fits[0].size == pytest.approx(extra_mohm / 1000, abs=0.0004)
    assert steps(found.step)[0].startswith("Read the resistance of the joint")


def test_a_load_step_that_all_blocks_share_alike_needs_no_fault() -> None:
    """All modules at 13 mΩ in place of 10: colder, or older, and none stands out."""
    assert diagnose(record(vector(), TOTAL, loaded=[U - 20 * 0.0264] * 12)).nothing_needed


def test_next_to_nothing_across_all_with_every_block_right_is_an_open_way_outside_the_blocks() -> None:
    """A disconnect that is out, a fuse that is open or a lead that is missing: no block knows, and halves are whole."""
    halves = ["  hA: [P12.B, P01.B, 95.04, none]", "  hB: [P24.B, P13.B, 95.04, none]"]
    for more in ((), halves):
        found = diagnose(record(vector(), 0.03, more=more))
        assert [found.observed[i].probe.reading for i in found.misfits] == ["total"]
        opened = {("device open", ("SD",)), ("device open", ("F1",))}
        opened |= {("conductor missing", (f"W{i}",)) for i in range(1, 6)}
        assert opened <= kinds(found)
        assert {kind for kind, _ in kinds(found)} <= {"device open", "conductor missing", "conductor moved",
                                                      "leads exchanged"}  # fmt: skip
        assert all(do.startswith("Look at W") for do in steps(found.step)), "no voltage of a live string to tell them"


def test_next_to_nothing_across_all_with_one_block_floating_is_a_bar_or_a_module_of_that_block() -> None:
    found = diagnose(record(vector(X5=0.02), 0.03))
    expected = {("conductor missing", ("B08",)), ("conductor missing", ("B09",)), ("conductor moved", ("B08",)),
                ("module open", ("P09",)), ("module open", ("P10",))}  # fmt: skip
    assert kinds(found) == expected
    assert steps(found.step)[0] == "Look at B08: what is fitted there"
    assert {do for do in steps(found.step) if do.startswith("Read P")} == {
        "Read P09 at its posts, P09.A against P09.B", "Read P10 at its posts, P10.B against P10.A",
    }  # fmt: skip


def test_a_clean_record_has_nothing_otherwise_first() -> None:
    found = diagnose(record(vector(), TOTAL))
    assert found.fits[0].hypothesis.count == 0
    assert found.step is None


def test_a_record_without_readings_explains_nothing() -> None:
    built = record(vector(), TOTAL)
    found = diagnose(replace(built, readings=(), loaded=()))
    assert not found.nothing_needed
    assert found.fits == ()
