"""Bridges and what a step asks for: figures, floating sections, an earthed node, classes, covers first."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from exposure_packs import example_24, small
from workshop import Data, pack_of, stick_layout

from packcheck.exposure.answer import work_out
from packcheck.exposure.bridges import SWINGING, Source
from packcheck.exposure.exposed import Asked, Exposure, Model
from packcheck.exposure.protection import asks_for
from packcheck.exposure.steps import State
from packcheck.files.problems import WrongUsage
from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage, read_order
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.graph import branches


@pytest.fixture(scope="module")
def pack() -> Pack:
    return pack_of(example_24())


def story(pack: Pack, **asked: Any) -> dict[str, Exposure]:
    return {e.stage.number: e for e in Model(pack, Asked(**asked)).story(read_order(pack).stages)}


@pytest.fixture(scope="module")
def planned(pack: Pack) -> dict[str, Exposure]:
    return story(pack)


@pytest.fixture(scope="module")
def capless(pack: Pack) -> dict[str, Exposure]:
    return story(pack, caps=False)


def test_worst_bridge_is_the_worst_of_all_pairs_in_reach(pack: Pack, capless: dict[str, Exposure]) -> None:
    """Another road: every pair of bare bodies, its voltage from one solution, its current with the bridge in place."""
    model = Model(pack, Asked(caps=False))
    for number in ("3", "4", "5", "6"):
        exposure = capless[number]
        by_name = {body.name: (i, body) for i, body in enumerate(model.geometry.bodies)}
        near = {frozenset((pair.a, pair.b)) for pair in model.geometry.pairs}
        highest = 0.0
        for a, b in combinations(exposure.bare, 2):
            for section in exposure.sections:
                nodes = (by_name[a][1].node, by_name[b][1].node)
                if set(nodes) <= set(section.highest) and frozenset((by_name[a][0], by_name[b][0])) in near:
                    highest = max(highest, abs(section.highest[nodes[0]] - section.highest[nodes[1]]))
        assert exposure.worst_of_all is not None
        assert exposure.worst_of_all.source.highest_v == pytest.approx(highest)


def test_current_is_that_of_the_network_with_the_bridge_in_place(capless: dict[str, Exposure]) -> None:
    bridged = [exposure for exposure in capless.values() if exposure.worst_of_all]
    assert len(bridged) >= 5
    for exposure in bridged:
        bridge = exposure.worst_of_all
        assert bridge is not None
        section = next(s for s in exposure.sections if set(bridge.nodes) <= set(s.rest))
        solved = solve_circuit([*branches(section.edges), Branch(*bridge.nodes, 1e-3, 0.0)])
        assert abs(float(solved.current[-1])) == pytest.approx(bridge.source.current_rest_a, rel=1e-9)


def test_two_floating_sections_pass_no_current_when_bridged_once(pack: Pack) -> None:
    model = Model(pack, Asked())
    state = State(positions=frozenset(pack.positions), conductors=frozenset({"B01", "B03"}))
    one, other = [s for _, s in model.sections.of(state).values() if len(s.modules) == 2]
    bridge = Branch(one.ends[1], other.ends[0], 1e-3, 0.0)
    solved = solve_circuit([*branches(one.edges), *branches(other.edges), bridge])
    assert solved.current[-1] == 0
    exposure = model.exposure(Stage("1", "conductors", ("B01", "B03")), state)
    assert exposure.floating
    assert exposure.worst_of_all is None
    assert exposure.then_v == pytest.approx(4 * 8.7)


def test_two_sections_out_of_reach_of_each_other_are_not_bridged_into_one(pack: Pack) -> None:
    """P01 and P02, joined, and P23 and P24, 420 mm on: each has bare posts within 150 mm, but none of the other's."""
    state = State(positions=frozenset({"P01", "P02", "P23", "P24"}), conductors=frozenset({"B01", "B23"}))
    exposure = Model(pack, Asked(caps=False)).exposure(Stage("1", "conductors", ("B01", "B23")), state)
    assert [len(section.modules) for section in exposure.sections] == [2, 2]
    assert exposure.pairs > 0
    assert (exposure.floating, exposure.then_v) == (False, 0.0)


def test_with_one_node_earthed_the_frame_bridges_its_whole_section(pack: Pack) -> None:
    earthed = story(pack, caps=False, earthed="P01.B")
    bridge = earthed["4"].worst_of_all
    assert bridge is not None
    assert (bridge.a, bridge.b, bridge.way) == ("the earthed frame", "P06.B", "to the earthed frame")
    assert bridge.source.rest_v == pytest.approx(6 * 7.92)
    assert bridge.source.current_rest_a == pytest.approx(47.52 / 0.061, rel=1e-5)
    middle = story(pack, caps=False, earthed="P04.B")["4"]
    frame = [b for b in middle.worst if b and b.a == "the earthed frame"]
    assert all(b.source.highest_v <= 4 * 8.7 + 1e-9 for b in frame)


def test_earthing_one_node_leaves_other_sections_floating(pack: Pack) -> None:
    model = Model(pack, Asked(caps=False, earthed="P01.B"))
    without = Model(pack, Asked(caps=False))
    state = State(positions=frozenset(pack.positions), conductors=frozenset({"B01", "B03"}))
    stage = Stage("1", "conductors", ("B01", "B03"))
    one, other = model.exposure(stage, state), without.exposure(stage, state)
    assert one.pairs > other.pairs
    assert one.floating
    joined = next(s for _, s in model.sections.of(state).values() if "P01" in s.modules)
    assert one.pairs - other.pairs == sum(
        1 for name in one.bare if name in joined.highest and abs(joined.highest[name] - joined.highest["P01.B"]) > 1e-6
    )


def test_an_earthed_node_that_does_not_exist_is_refused(pack: Pack) -> None:
    with pytest.raises(WrongUsage, match=r"did you mean 'P01\.B'"):
        Model(pack, Asked(earthed="P01.b"))


def test_parallel_members_multiply_the_current() -> None:
    currents = []
    for members in (1, 2):
        model = Model(pack_of(small(4, members=members, highest_v=8.0)), Asked(external_ohm=1e-9))
        state = State(positions=frozenset(model.pack.positions), conductors=frozenset(model.pack.conductors))
        bars = [index for index, body in enumerate(model.geometry.bodies) if body.name in ("B1", "B3")]
        ((key, section),) = model.sections.of(state).values()
        (bridge,) = {found for found in model.bridges.of_section(key, section, bars).worst if found}
        assert bridge.source.highest_v == pytest.approx(16.0)
        currents.append(bridge.source.current_a)
    assert currents[1] / currents[0] == pytest.approx(2, rel=0.02)


@pytest.mark.parametrize("external_ohm", [1e-4, 1e-3, 1e-2])
def test_the_outside_resistance_counts(external_ohm: float) -> None:
    assert Source(47.52, 52.2, 0.06, external_ohm).current_a == pytest.approx(52.2 / (0.06 + external_ohm))


def test_open_sense_connector_carries_the_whole_section(planned: dict[str, Exposure]) -> None:
    bridge = planned["7"].worst_of_all
    assert bridge is not None
    assert bridge.way == "at connector X1"
    assert bridge.source.rest_v == pytest.approx(95.04)
    assert planned["10"].stage.items == ("CB",)
    assert planned["10"].worst_of_all is None


def test_a_smaller_reach_never_finds_a_worse_bridge(pack: Pack) -> None:
    differing = 0
    for exposure in story(pack, tools_mm=(30.0, 100.0, 300.0), caps=False).values():
        volts = [bridge.source.highest_v if bridge else 0.0 for bridge in exposure.worst[:3]]
        assert volts == sorted(volts)
        differing += volts[0] < volts[2]
    assert differing >= 3


@pytest.mark.parametrize(
    ("highest_v", "shock", "gloves", "second"),
    [(8.7, "A", "", False), (60.0, "A", "", False), (60.1, "B", "class 00", True), (750.0, "B", "class 00", True),
     (750.1, "B", "class 0", True), (1500.0, "B", "class 0", True), (1500.1, "beyond B", "class 1", True)],
)  # fmt: skip
def test_what_a_voltage_asks_for(pack: Pack, highest_v: float, shock: str, gloves: str, second: bool) -> None:
    asks = asks_for(pack, highest_v, highest_v, (), (), {})
    assert (asks.voltage_class, asks.gloves, asks.second_person) == (shock, gloves, second)
    assert any("1500" in note for note in asks.notes) is (shock == "beyond B")


@pytest.mark.parametrize(("pack_v", "gloves"), [(740, "00"), (760, "0"), (1480, "0"), (1520, "1")])
def test_gloves_cover_the_highest_voltage_of_the_pack(pack: Pack, pack_v: float, gloves: str) -> None:
    """Largest DC voltages of use, from memory of IEC 60903: class 00 750 V, 0 1500 V, 1 11250 V."""
    assert asks_for(pack, 104.4, 95.0, (), (), {}, pack_v).gloves == f"class {gloves}"
    assert asks_for(pack, 52.2, 47.5, (), (), {}, pack_v).gloves == "", "within class A none are asked for"


def test_the_pack_is_known_while_a_section_is_in_hand(pack: Pack) -> None:
    highest = [pack.module_type_at(name).highest_v for name in pack.positions]
    assert Model(pack, Asked()).pack_v == pytest.approx(sum(highest))


def test_rest_below_and_highest_above_60_v_is_said(pack: Pack) -> None:
    (note,) = asks_for(pack, 60.9, 55.7, (), (), {}).notes
    assert "60.9 V when the cells are at their highest" in note
    assert asks_for(pack, 60.9, 60.1, (), (), {}).notes == ()


def test_cover_first_names_covers_and_faces_without_one(pack: Pack) -> None:
    over = {"P01.A": ["CA"], "P01.B": []}
    asks = asks_for(pack, 104.4, 95.0, over, (), over)
    assert asks.cover_first == ("CA", "face B (no cover in this layout)")
    assert asks_for(pack, 104.4, 95.0, ["P01.A"], ["CA"], over).cover_first == ()


@pytest.mark.parametrize(
    ("harness", "limit_a"),
    [({"fuse": "1 A"}, 1.0), ({"fuse": "1 A", "wire": "22 AWG"}, 1.0), ({"wire": "22 AWG"}, 41.3), ({}, None)],
)
def test_a_sense_wire_lets_through_what_its_fuse_or_its_copper_does(harness: Data, limit_a: float | None) -> None:
    """22 AWG is 0.644 mm thick: Preece's rule gives 10 244 · (0.644/25.4)^1.5 = 41.3 A."""
    layout = stick_layout(12)
    layout["harness"] = {**harness, "X1": list(layout["taps"])}
    pack = pack_of(layout)
    assert pack.sense_limit_a == (limit_a if limit_a is None else pytest.approx(limit_a, abs=0.1))
    steps = work_out(pack, None, Asked()).exposures
    pins = [bridge for step in steps for bridge in step.worst if bridge and "pin " in bridge.a + bridge.b]
    heads = [step.worst_of_all for step in steps if step.worst_of_all]
    if limit_a is None:
        assert any("pin " in head.a for head in heads)
        return
    assert all(bridge.source.current_a <= pack.sense_limit_a for bridge in pins)  # type: ignore[operator]
    assert all(bridge.source.power_w <= bridge.source.highest_v * pack.sense_limit_a for bridge in pins)  # type: ignore[operator]
    for step in steps:
        others = [b for b in step.worst if b and "pin " not in b.a + b.b]
        assert not others or "pin " not in (step.worst_of_all.a + step.worst_of_all.b)  # type: ignore[union-attr]


@pytest.mark.parametrize(("length_mm", "by", "gap_mm"), [(135, SWINGING, 0.0), (120, "a tool of 25 mm", 15.0)])
def test_the_free_end_of_a_lead_touches_within_its_length_and_further_off_with_a_tool(
    length_mm: float, by: str, gap_mm: float
) -> None:
    """From the lead's post to the last one are 7 x 20 mm, 5 mm of which are that post; no tool joins the two posts."""
    layout = small(8, covers="B") | {"order": [["B2", "B4", "B6"], ["B1", "B3", "B5", "B7"], ["W"]]}
    layout["devices"] = {"K": {"kind": "main contactor"}}
    layout["leads"] = {"W": {"lands": ["G1a.B", "K.1"], "length": f"{length_mm} mm"}}
    (bridge,) = story(pack_of(layout), tools_mm=(25.0,))["3"].worst
    assert bridge is not None
    assert (bridge.a, bridge.b, bridge.source.highest_v) == ("G8a.B", "end of W at K.1", pytest.approx(200.0))
    assert (bridge.by, bridge.gap_mm) == (by, pytest.approx(gap_mm))


@pytest.mark.parametrize("name", ["heron-2x15", "skerry-24", "tern-96", "eider-20"])
def test_only_a_lead_in_hand_touches_by_itself(name: str) -> None:
    """Once the step that bolts a lead is over, a tool has to reach its end; no distance is drawn to it."""
    pack = open_file(shipped_folder("layouts") / name / f"{name}.yaml").pack
    model = Model(pack, Asked())
    part_of = {body.name: body.part for body in model.geometry.bodies if body.kind == "lead end"}
    bolted = 0
    for exposure in work_out(pack, None, Asked()).exposures:
        for bridge in filter(None, exposure.worst):
            leads = {part_of[end] for end in (bridge.a, bridge.b) if end in part_of}
            if bridge.by == SWINGING:
                assert leads & exposure.state.in_hand
            elif leads and not bridge.gap_mm:
                bolted += 1
                assert not leads & exposure.state.in_hand
                assert not bridge.gap_drawn
    assert bolted or name != "heron-2x15"
