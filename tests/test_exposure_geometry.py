"""Bodies of bare metal, what hides them, and which pairs lie within reach."""

from __future__ import annotations

import random
from itertools import combinations
from math import inf

import pytest
from exposure_packs import example_24
from workshop import Data, pack_of, stick_layout

from packcheck.exposure.steps import Bareness, State, finished
from packcheck.geometry.bodies import Body
from packcheck.geometry.reach import build_geometry, gap_mm, loose_parts, near_pairs, way_of
from packcheck.model.pack.model import Pack

TOOL = (150.0,)


def box(name: str, at: tuple[float, float, float], half: float = 1.0, kind: str = "post", swing: float = 0.0) -> Body:
    return Body(name, kind, name, name, "A", at, (half, half, half), swing)


def bare_names(pack: Pack, state: State, caps: bool = True) -> set[str]:
    geometry = build_geometry(pack, TOOL)
    return {geometry.bodies[index].name for index in Bareness(pack, geometry, caps).bare(state)}


@pytest.fixture(scope="module")
def pack() -> Pack:
    return pack_of(example_24())


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("reach", [0.0, 7.0, 40.0, 500.0])
def test_grid_finds_the_pairs_that_all_against_all_finds(seed: int, reach: float) -> None:
    rng = random.Random(seed)
    bodies = [
        box(str(i), (rng.uniform(0, 200), rng.uniform(-50, 50), rng.uniform(0, 30)), rng.uniform(0, 9))
        for i in range(60)
    ]
    wanted = {(i, j) for i, j in combinations(range(60), 2) if gap_mm(bodies[i], bodies[j]) <= reach}
    found = [tuple(sorted((pair.a, pair.b))) for pair in near_pairs(bodies, reach)]
    assert len(found) == len(set(found))
    assert set(found) == wanted


def test_gap_runs_from_surface_to_surface() -> None:
    assert gap_mm(box("a", (0, 0, 0)), box("b", (12, 0, 0))) == 10
    assert gap_mm(box("a", (0, 0, 0)), box("b", (5, 6, 0))) == pytest.approx(5)
    assert gap_mm(box("a", (0, 0, 0)), box("b", (1, 1, 1))) == 0


def test_a_lead_end_reaches_as_far_as_its_length() -> None:
    end = box("end", (0, 0, 0), 0.0, "lead end", swing=240)
    assert gap_mm(end, box("b", (241, 0, 0))) == 0
    assert gap_mm(end, box("b", (301, 0, 0))) == pytest.approx(60)
    far = box("far", (391.5, 0, 0))
    assert [(p.a, p.b) for p in near_pairs([end, far], 150.5)] == [(0, 1)]
    assert list(near_pairs([end, far], 150.4)) == []


def test_a_lead_hangs_from_its_post_and_a_second_one_from_the_first(pack: Pack) -> None:
    lengths: Data = {"W3": 240, "W4": 90, "W1": 160}
    layout = example_24()
    for name, length in lengths.items():
        layout["leads"][name]["length"] = f"{length} mm"
    bodies = {body.name: body for body in build_geometry(pack_of(layout), TOOL).bodies}
    assert bodies["end of W3 at F1.1"].centre == pack.point_of("P24.B")
    assert bodies["end of W3 at F1.1"].swing_mm == 240
    assert bodies["end of W4 at K1.1"].swing_mm == 330
    assert bodies["end of W1 at SD.1"].centre == pack.point_of("P12.B")


def test_a_lead_without_a_length_reaches_everywhere(pack: Pack) -> None:
    bodies = {body.name: body for body in build_geometry(pack, TOOL).bodies}
    assert bodies["end of W5 at K2.2"].swing_mm == inf


def test_bars_along_a_face_lie_an_odd_number_of_pitches_apart(pack: Pack) -> None:
    bodies = {body.name: body for body in build_geometry(pack, TOOL).bodies}
    for m in range(1, 7):
        gap = gap_mm(bodies["B01"], bodies[f"B{1 + 2 * m:02d}"])
        assert gap == pytest.approx(20 * (2 * m - 1))


def test_ways_of_a_bridge(pack: Pack) -> None:
    geometry = build_geometry(pack, TOOL)
    body = {b.name: b for b in geometry.bodies}
    assert way_of(body["P01.A"], body["P03.A"], geometry.row_axis) == "along face A"
    assert way_of(body["P01.A"], body["P01.B"], geometry.row_axis) == "between faces A and B"
    assert way_of(body["P01.A"], body["end of W3 at F1.1"], geometry.row_axis) == "lead end"
    above = Body("x", "post", "x", "x", "A", (10.0, 0.0, 160.0), (1.0, 1.0, 1.0))
    assert way_of(body["P01.A"], above, geometry.row_axis) == "across face A"


def test_a_tool_as_long_as_the_stack_is_wide_bridges_two_faces(pack: Pack) -> None:
    for tool, bridged in ((269.0, False), (281.0, True)):
        geometry = build_geometry(pack, (tool,))
        number = {body.name: i for i, body in enumerate(geometry.bodies)}
        pairs = {frozenset((pair.a, pair.b)) for pair in geometry.pairs}
        assert (frozenset((number["P05.A"], number["P05.B"])) in pairs) is bridged


def test_pins_of_a_connector_are_within_reach_of_each_other_only(pack: Pack) -> None:
    geometry = build_geometry(pack, TOOL)
    kinds = {
        frozenset((geometry.bodies[p.a].part, geometry.bodies[p.b].part))
        for p in geometry.pairs
        if "pin" in (geometry.bodies[p.a].kind, geometry.bodies[p.b].kind)
    }
    assert kinds == {frozenset(("X1",)), frozenset(("X2",))}


def test_smallest_and_largest_loose_part() -> None:
    layout = stick_layout(6)
    layout["parts"]["rod-m6"] = {"largest": "500 mm"}
    words = [reach.words for reach in loose_parts(pack_of(layout))]
    assert [text.split(",")[0] for text in words] == ["the smallest loose part", "the largest loose part"]
    assert "bar of 37.6 mm" in words[1]
    assert not any("rod-m6" in text or "cap-m5" in text for text in words)


def test_caps_and_covers_take_posts_out_of_reach(pack: Pack) -> None:
    standing = State(positions=frozenset(pack.positions))
    assert bare_names(pack, standing) == set()
    assert bare_names(pack, standing, caps=False) == {f"P{i:02d}.{post}" for i in range(1, 25) for post in "AB"}
    covered = State(positions=frozenset(pack.positions), covers=frozenset({"CA"}))
    assert bare_names(pack, covered, caps=False) == {f"P{i:02d}.B" for i in range(1, 25)}


def test_the_joint_in_hand_is_bare_and_a_fitted_bar_stays_so(pack: Pack) -> None:
    state = State(positions=frozenset(pack.positions), conductors=frozenset({"B02"}), in_hand=frozenset({"P12.B"}))
    assert bare_names(pack, state) == {"B02", "P12.B"}


def test_ends_of_leads_and_pins_are_bare_until_every_cover_is_on(pack: Pack) -> None:
    done = finished(pack)
    assert bare_names(pack, done) == set()
    one_off = State(done.positions, done.conductors, done.devices, done.closed, frozenset({"CA"}), True)
    names = bare_names(pack, one_off)
    assert {"end of W3 at F1.1", "pin X1.1 (T00)", "B02"} <= names
    assert "B01" not in names


def test_a_tray_cover_hides_its_tray_alone() -> None:
    layout = stick_layout(4)
    layout["positions"] = {
        f"T{t}-G1..T{t}-G4": {
            "module": "stick",
            "first at": ["0 mm", f"{400 * t} mm", "0 mm"],
            "step": ["20 mm", "0 mm", "0 mm"],
            "plus at": ["A", "B"],
        }
        for t in (1, 2)
    }
    layout |= {
        "series": {},
        "leads": {},
        "devices": {},
        "taps": {},
        "covers": {"C1..C2": {"over": ["T1", "T2"]}},
        "outside": {"main-": "T1-G1.B", "main+": "T2-G4.A"},
        "states": {"rest": {"closed": []}},
    }
    pack = pack_of(layout)
    state = State(positions=frozenset(pack.positions), covers=frozenset({"C1"}))
    assert bare_names(pack, state, caps=False) == {f"T2-G{i}.{post}" for i in range(1, 5) for post in "AB"}
