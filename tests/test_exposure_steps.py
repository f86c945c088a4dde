"""The order of work: its words, its stages, what it leaves out, and the sections that grow with it."""

from __future__ import annotations

import random

import pytest
from exposure_packs import example_24, small
from workshop import pack_of, stick_layout

from packcheck.exposure.answer import work_out
from packcheck.exposure.exposed import Asked
from packcheck.exposure.sections import Sections
from packcheck.exposure.steps import Bareness, State, finished, states_of
from packcheck.files.document import parse_document
from packcheck.files.shipped import shipped_folder
from packcheck.geometry.reach import build_geometry
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Order, read_order, teardown
from packcheck.network.graph import network_of_layout
from packcheck.network.sections import Joined, least_sections


@pytest.fixture(scope="module")
def pack() -> Pack:
    return pack_of(example_24())


def order_of(*steps: list[str]) -> Order:
    return read_order(pack_of(stick_layout(6)), steps)


def test_words_of_the_order_become_stages_of_one_kind_each() -> None:
    order = order_of(["P1..P6", "clamp"], ["bars on A", "CA"], ["bars on B", "leads", "taps", "F1", "CB"], ["SD"])
    assert [(stage.number, stage.kind, len(stage.items)) for stage in order.stages] == [
        ("1.1", "positions", 6), ("1.2", "clamp", 1), ("2.1", "conductors", 2), ("2.2", "covers", 1),
        ("3.1", "conductors", 7), ("3.2", "taps", 1), ("3.3", "devices", 1), ("3.4", "covers", 1),
        ("4", "disconnect", 1)]  # fmt: skip
    assert order.unknown == ()
    assert order.left_out == ()


@pytest.mark.parametrize("word", ["B99", "B1..B9", "bars on C", "P1..P2 by", "cover", ""])
def test_a_word_that_means_nothing_is_kept_with_its_step(word: str) -> None:
    assert order_of(["P1..P6"], [word]).unknown == ((2, word),)


def test_a_phrase_or_a_probe_changes_nothing() -> None:
    pack = pack_of(stick_layout(6) | {"probes": {"N1": {"on": "P2", "kind": "NTC 10 kΩ"}}})
    order = read_order(pack, [["P1..P6"], ["measure every module"], ["N1"], ["T2"]])
    assert [(stage.kind, stage.items) for stage in order.stages if not stage.unnamed][1:] == [
        ("others", ("measure every module",)), ("others", ("N1",)), ("taps", ("T2",))]  # fmt: skip
    before = State(positions=frozenset({"P1"}))
    assert before.after(pack, order.stages[1]) == before


def test_what_no_step_names_is_told_and_put_before_the_cover_over_it() -> None:
    order = order_of(["P1..P6"], ["bars on A", "CA"], ["B2", "F1", "CB"])
    assert order.left_out == ("B4", "W1", "W2", "W5", "clamp", "SD")
    assert [(stage.items, stage.unnamed) for stage in order.stages[1:]] == [
        (("B1", "B5"), False), (("W1", "W2"), True), (("CA",), False), (("B2",), False), (("F1",), False),
        (("B4", "W3", "W4", "W5"), True), (("CB",), False)]  # fmt: skip


def test_leads_of_a_named_device_are_not_left_out() -> None:
    assert "W3" not in order_of(["F1"]).left_out
    assert "W3" in order_of(["K2"]).left_out


def test_a_thing_named_twice_is_fitted_once() -> None:
    order = order_of(["B1"], ["B1..B2"])
    named = [stage.items for stage in order.stages if stage.kind == "conductors" and not stage.unnamed]
    assert named == [("B1",), ("B2",)]


def test_the_teardown_runs_backwards_to_nothing(pack: Pack) -> None:
    stages = read_order(pack).stages
    backwards = teardown(stages)
    assert [stage.items for stage in backwards] == [stage.items for stage in reversed(stages)]
    state = finished(pack)
    for stage in backwards:
        state = state.after(pack, stage)
    assert (state.positions, state.conductors, state.covers, state.closed, state.taps) == (
        frozenset(), frozenset(), frozenset(), frozenset(), False)  # fmt: skip


def test_the_teardown_has_the_same_sections_as_the_build(pack: Pack) -> None:
    stages = read_order(pack).stages
    sections = Sections(pack, network_of_layout(pack).edges)

    def highest(state: State) -> float:
        return max((section.highest_v for _, section in sections.of(state).values()), default=0.0)

    up = [highest(state) for _, state in states_of(pack, stages)]
    down = [highest(state) for _, state in states_of(pack, teardown(stages), finished(pack))]
    assert down == pytest.approx(up[::-1])


def test_sections_agree_with_voltages_summed_edge_by_edge(pack: Pack) -> None:
    """Two roads to one number: the solved network, and open-circuit sums while the sections grow."""
    network = network_of_layout(pack)
    sections = Sections(pack, network.edges)
    joined = Joined({name: pack.module_type_at(name).highest_v for name in pack.positions})
    done: set[int] = set()
    for _, state in states_of(pack, read_order(pack).stages):
        found = sorted((s for _, s in sections.of(state).values()), key=lambda s: -s.highest_v)
        for index in sections._active(state):
            if index not in done:
                joined.add(network.edges[index])
                done.add(index)
        assert joined.largest.highest_v == pytest.approx(found[0].highest_v)
        assert joined.largest.rest_v == pytest.approx(found[0].rest_v)
        assert joined.largest.modules == len(found[0].modules)


def test_members_of_a_group_do_not_add_up() -> None:
    pack = pack_of(small(4, members=2, highest_v=8.0))
    sections = Sections(pack, network_of_layout(pack).edges)
    (section,) = (s for _, s in sections.of(finished(pack)).values())
    assert len(section.modules) == 8
    assert section.highest_v == pytest.approx(32.0)


def test_edges_in_any_order_make_the_same_sections(pack: Pack) -> None:
    edges = [edge for edge in network_of_layout(pack).edges if edge.kind != "device"]
    for seed in range(5):
        random.Random(seed).shuffle(edges)
        joined = Joined(dict.fromkeys(pack.positions, 8.7))
        for edge in edges:
            joined.add(edge)
        assert joined.span("P01.A").highest_v == pytest.approx(12 * 8.7)
        assert joined.span("P01.A").modules == 12


@pytest.mark.parametrize("seed", range(20))
def test_least_sections_agrees_with_every_way_to_cut(seed: int) -> None:
    rng = random.Random(seed)
    volts = [rng.choice([7.0, 12.0, 20.0, 33.0]) for _ in range(rng.randint(1, 9))]
    ways = []
    for cuts in range(2 ** (len(volts) - 1)):
        runs, total = [], 0.0
        for i, v in enumerate(volts):
            total += v
            if i == len(volts) - 1 or cuts >> i & 1:
                runs.append(total)
                total = 0.0
        if max(runs) <= 60.0:
            ways.append(len(runs))
    assert least_sections(volts, 60.0) == min(ways)


def test_an_eyelet_under_a_cover_exposes_its_pin_before_the_rest_of_the_harness_is_on() -> None:
    layout = example_24()
    layout["taps"]["T01"] = "P01.A"
    layout["harness"]["X1"].append("T01")
    pack = pack_of(layout)
    geometry = build_geometry(pack, (150.0,))
    state = State(frozenset(pack.positions), frozenset({"B01"}), covers=frozenset({"CA"}))
    names = {geometry.bodies[index].name for index in Bareness(pack, geometry).bare(state)}
    assert {name for name in names if name.startswith("pin")} == {"pin X1.8 (T01)"}


def _bare_after_positions(text: str) -> tuple[str, ...]:
    pack = _pack_of(text)
    first = work_out(pack, None, Asked()).exposures[0]
    return first.bare


def _pack_of(text: str) -> Pack:
    return read_pack(parse_document(text, "skerry-24.yaml"))


def test_a_cap_screw_is_no_insulating_cap() -> None:
    """A stack that ends in a part called cap insulates only if the layout says that the part does not conduct."""
    text = (shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml").read_text(encoding="utf-8")
    assert _bare_after_positions(text) == ()
    screw = text.replace("cap-m5: {conducts: false}", "cap-m5: {largest: 16 mm}")
    assert "P01.A" in _bare_after_positions(screw)


def test_a_cover_over_the_joint_in_hand_is_not_asked_for_first() -> None:
    """The links of face B are made before the cover of face B can go on; the cover of face A is asked for."""
    text = (shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml").read_text(encoding="utf-8")
    late = text.replace("[bars on A, CA]", "[bars on A]").replace("F1, K1, K2, CB", "F1, K1, K2, CA, CB")
    links = next(e for e in work_out(_pack_of(late), None, Asked()).exposures if e.stage.items == ("B06", "B18"))
    assert links.asks.cover_first == ("CA",)
