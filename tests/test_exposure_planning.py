"""The proposed order against every order there is, what no order avoids, and the change that helps most."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

import pytest
from exposure_packs import example_24, small
from workshop import Data, grouped_layout, pack_of, rack_layout, stick_layout

from packcheck.exposure.answer import work_out
from packcheck.exposure.bounds import unavoidable
from packcheck.exposure.changes import _candidates, _changed, best_change, weigh
from packcheck.exposure.exposed import Asked, Model
from packcheck.exposure.planning import acts_of, halving, proposals_for, stages_of_acts
from packcheck.exposure.precedence import Precedence
from packcheck.exposure.search import MOST_ACTS, best_order, merit_of, plan
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import read_order

SMALL: dict[str, Data] = {
    "four modules of 25 V": small(4),
    "five modules of 16 V": small(5, highest_v=16.0),
    "four modules, a disconnect after the second": small(4, disconnect_after=2),
    "five modules of 25 V, one face covered": small(5, covers="B"),
    "three groups of two, wide apart": small(3, members=2, pitch_mm=90.0),
    "four modules of 70 V": small(4, highest_v=70.0),
    "five modules of 11 V: class A": small(5, highest_v=11.0),
}


def every_order(precedence: Precedence) -> Iterator[tuple[str, ...]]:
    for acts in permutations(act for act in precedence.acts() if precedence.counts(act)):
        done: set[str] = set()
        for act in acts:
            if not precedence.may_come(act, done):
                break
            done.add(act)
        else:
            yield acts


@pytest.mark.parametrize("name", SMALL)
def test_plan_is_as_good_as_the_best_of_all_orders(name: str) -> None:
    pack = pack_of(SMALL[name])
    model, precedence = Model(pack, Asked()), Precedence(pack)
    acts, is_best = plan(model, precedence)
    merits = [merit_of(model, precedence, order) for order in every_order(precedence)]
    assert len(merits) >= 6
    assert is_best
    best, found = min(merit.key for merit in merits), merit_of(model, precedence, acts).key
    assert found[:3] == best[:3]
    assert found[3] == pytest.approx(best[3], rel=1e-9)


@pytest.mark.parametrize("name", SMALL)
def test_no_order_has_fewer_class_b_acts_than_the_bound(name: str) -> None:
    pack = pack_of(SMALL[name])
    precedence = Precedence(pack)
    bound = unavoidable(pack, precedence)
    fewest = min(precedence.profile(order)[1].class_b_acts for order in every_order(precedence))
    assert bound.acts <= fewest
    assert (bound.acts == 0) is (fewest == 0)


@pytest.mark.parametrize(
    ("layout", "joins", "covers"),
    [(example_24(), 3, 1), (stick_layout(6), 0, 0), (stick_layout(7), 1, 0), (stick_layout(12), 1, 0),
     (stick_layout(13), 2, 1), (grouped_layout(28, 2), 1, 0), (small(4, highest_v=70.0), 3, 1)],
)  # fmt: skip
def test_what_no_order_avoids(layout: Data, joins: int, covers: int) -> None:
    """Derived: K - 1 joins for K sections within 60 V; a disconnect may make one of them, and no cover follows that."""
    bound = unavoidable(pack_of(layout))
    assert (bound.joins, bound.covers) == (joins, covers)
    assert "V" in bound.reason


def test_the_trade_plan_of_the_example_is_found() -> None:
    """Face A and its cover, face B inside sections of six, then one link in each half, then the rest, then the plug."""
    layout = example_24()
    del layout["order"]
    pack = pack_of(layout)
    precedence = Precedence(pack)
    acts, is_best = plan(Model(pack, Asked()), precedence)
    assert not is_best
    spans, merit = precedence.profile(acts)
    after = dict(zip(acts, spans, strict=True))
    assert after["CA"].modules == 2
    links = [act for act in acts if act.startswith("B") and after[act].highest_v > 60]
    assert links == ["B06", "B18"]
    assert max(span.modules for act, span in after.items() if span.highest_v <= 60) == 6
    assert acts[-1] == "SD"
    assert merit.stretches_v == pytest.approx((17.4, 104.4, 208.8))


@pytest.mark.parametrize("layout", [stick_layout(24), stick_layout(31), grouped_layout(40, 2), example_24()])
def test_every_proposal_fits_everything_once_and_in_a_possible_order(layout: Data) -> None:
    pack = pack_of(layout)
    precedence = Precedence(pack)
    proposals = proposals_for(pack, precedence)
    assert len(proposals) >= 2
    for acts in proposals:
        assert sorted(acts) == sorted(precedence.acts())
        done: set[str] = set()
        for act in acts:
            assert precedence.may_come(act, done), act
            done.add(act)


def best_proposal(pack: Pack, precedence: Precedence) -> list[str]:
    return min(proposals_for(pack, precedence), key=lambda acts: precedence.profile(acts)[1].key)


@pytest.mark.parametrize("modules", [14, 20, 24, 40, 61])
def test_proposed_sections_are_as_few_as_they_can_be(modules: int) -> None:
    pack = pack_of(stick_layout(modules))
    precedence = Precedence(pack)
    spans, _ = precedence.profile(best_proposal(pack, precedence))
    joins = sum(1 for span in spans if span.highest_v > 60 and span.modules > 1)
    assert joins >= unavoidable(pack, precedence).joins
    within = [span.highest_v for span in spans if span.highest_v <= 60]
    assert max(within) <= 6 * 8.7 + 1e-9


def test_the_proposed_order_is_no_worse_than_the_order_of_the_layout() -> None:
    answer = work_out(pack_of(example_24()), None, Asked())
    assert answer.own is not None
    assert answer.proposal.merit.key <= answer.own.key
    assert answer.own.class_b_acts == 10  # B06, B18, the taps, W1 to W5, CB, SD
    assert answer.proposal.merit.class_b_acts < 10


def test_too_many_acts_are_not_searched_through() -> None:
    pack = pack_of(stick_layout(12))
    precedence = Precedence(pack)
    assert len(precedence.acts()) > MOST_ACTS
    assert best_order(Model(pack, Asked()), precedence) is None


def test_stages_name_every_act_once() -> None:
    pack = pack_of(example_24())
    precedence = Precedence(pack)
    acts = best_proposal(pack, precedence)
    assert acts_of(stages_of_acts(pack, precedence, acts)) == acts


def test_halving_keeps_pieces_small() -> None:
    order = [int(name) for name in halving([str(i) for i in range(1, 16)])]
    assert sorted(order) == list(range(1, 16))
    size = dict.fromkeys(range(16), 1)
    for bar in order[:8]:
        size[bar] = 2
    assert order[:8] == [1, 3, 5, 7, 9, 11, 13, 15]
    assert order[-1] == 8


def test_the_change_that_helps_most_lowers_the_exposure() -> None:
    pack = pack_of(example_24())
    model, stages = Model(pack, Asked()), read_order(pack_of(example_24())).stages
    exposures = model.story(stages)
    change = best_change(model, stages, exposures)
    assert change is not None
    assert change.before == weigh(exposures)
    assert change.words.startswith("one more ")
    assert (change.after.class_b_pairs, change.after.power_w) < (change.before.class_b_pairs, change.before.power_w)


def test_one_more_link_waits_until_the_last_step_that_joins_and_not_until_the_pack_is_closed() -> None:
    """Step 9 is the last with conductors; the cover over face B follows in step 10, the disconnect in step 11."""
    pack = pack_of(example_24())
    model, stages = Model(pack, Asked(caps=False)), read_order(pack).stages
    links = [one for one in _candidates(model, stages, model.story(stages)) if "one more link" in one.words]
    assert [one.words for one in links] == ["one more link: B04 waits until after step 9"]
    numbers = [stage.number for stage in links[0].stages]
    assert numbers[numbers.index("9") + 1 :] == ["9, link", "10", "11"]
    assert [name for stage in links[0].stages for name in stage.items].count("B04") == 1


def test_a_cap_on_a_sense_connector_covers_each_of_its_pins_and_nothing_else() -> None:
    """Seven taps end in X1, one a pin; what is bare without the cap is bare with it, but for those pins."""
    pack = pack_of(example_24())
    model, stages = Model(pack, Asked(caps=False)), read_order(pack).stages
    story = model.story(stages)
    (cap,) = (one for one in _candidates(model, stages, story) if "a cap on connector X1" in one.words)
    pins = {f"pin X1.{n} (T{2 * (n - 1):02})" for n in range(1, 8)}
    assert cap.bodies == pins
    capped = _changed(model, cap)
    assert [set(before.bare) - pins for before in story] == [set(after.bare) for after in capped]
    assert sum(bool(pins & set(before.bare)) for before in story) == 3, "the taps go on in step 7, the cover in step 10"
    assert weigh(capped).class_b_pairs < weigh(story).class_b_pairs


def test_where_one_more_cover_is_the_answer_it_is_named() -> None:
    """All bars bare under one late cover, no leads, no harness: a cover over the finished bars must win."""
    pack = pack_of(small(6, highest_v=18.0) | {"order": [["B1", "B3", "B5"], ["B2", "B4"], ["CA", "CB"]]})
    model, stages = Model(pack, Asked()), read_order(pack).stages
    change = best_change(model, stages, model.story(stages))
    assert change is not None
    assert "cover" in change.words
    assert change.after.class_b_pairs < change.before.class_b_pairs


def test_no_change_is_named_where_nothing_can_be_bridged() -> None:
    pack = pack_of(small(2, pitch_mm=900.0) | {"order": [["B1"], ["CA", "CB"]]})
    model, stages = Model(pack, Asked(tools_mm=(50.0,))), read_order(pack).stages
    exposures = model.story(stages)
    assert sum(exposure.pairs for exposure in exposures) == 0
    assert best_change(model, stages, exposures) is None


def with_a_contactor_in_mid_string(modules: int) -> Data:
    layout = stick_layout(modules)
    layout["devices"] = {**layout["devices"], "SD": {"kind": "isolator"}}
    return layout


@pytest.mark.parametrize(
    ("layout", "joins"),
    [
        (with_a_contactor_in_mid_string(24), 2),  # two runs of 12 modules, 104.4 V each: two pieces each
        (rack_layout([8, 8]), 2),  # two strings of 69.6 V: two pieces each
        (rack_layout([14, 14, 14]), 6),  # three strings of 121.8 V: three pieces each
        (rack_layout([6, 6]), 0),
    ],
)
def test_what_no_order_avoids_with_several_runs(layout: Data, joins: int) -> None:
    """A switch that no work closes parts two runs, and strings in parallel are runs of their own."""
    pack = pack_of(layout)
    precedence = Precedence(pack)
    bound = unavoidable(pack, precedence)
    assert bound.joins == joins
    proposals = proposals_for(pack, precedence)
    assert min(precedence.profile(acts)[1].class_b_acts for acts in proposals) >= bound.acts
