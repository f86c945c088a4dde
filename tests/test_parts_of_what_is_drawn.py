"""Small parts of geometry and of facts about the drawing, each at the case where a slip in it would show."""

from __future__ import annotations

import itertools

import pytest
from faulty_builds import Build
from workshop import grouped_layout, pack_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import Adopted, Evidence
from packcheck.facts.of_gaps import loose_parts
from packcheck.facts.of_joints import joint_type_rows
from packcheck.facts.of_places import _Box, _with_first_overlap
from packcheck.files.problems import InputProblems
from packcheck.geometry.bodies import PIN_PITCH_MM, bodies_of


def test_a_chassis_or_an_outlet_makes_a_pack_branch_and_mains_alone_do_not() -> None:
    layout = stick_layout(6)
    assert Drawn(pack_of(layout)).has_branches is False
    assert (
        Drawn(pack_of(layout | {"leads": layout["leads"] | {"WC": {"lands": ["P1.B", "chassis"]}}})).has_branches
        is True
    )


def test_the_largest_loose_part_of_a_face_is_found_among_small_ones_too() -> None:
    layout = stick_layout(6)
    kinds = {name: layout["joint types"]["post"] | {"stack": ["bar", "shim"]} for name in ("post", "lug")}
    small = {"shim": {"largest": "0.8 mm"}}
    pack = pack_of(layout | {"joint types": layout["joint types"] | kinds, "parts": layout["parts"] | small})
    found = loose_parts(pack)
    assert found == {"A": (0.8, "shim"), "B": (0.8, "shim")}


def test_pins_lie_a_pitch_apart_from_the_first_on() -> None:
    layout = stick_layout(4)
    layout["harness"] = {"X1": list(layout["taps"])}
    pins = [body for body in bodies_of(pack_of(layout)) if body.kind == "pin"]
    steps = {round(b.centre[0] - a.centre[0], 9) for a, b in itertools.pairwise(pins)}
    assert steps == {PIN_PITCH_MM}
    middle = sum(10.0 + 20.0 * (int(node[1]) - 1) for node in layout["taps"].values()) / len(layout["taps"])
    assert pins[0].centre[0] == pytest.approx(middle)


def test_a_lead_that_is_fixed_at_both_ends_swings_from_either_and_one_at_a_device_from_where_its_lead_starts() -> None:
    layout = stick_layout(4)
    leads = layout["leads"] | {"W9": {"lands": ["P1.A", "P4.B"], "length": "90 mm"}}
    names = {body.name for body in bodies_of(pack_of(layout | {"leads": leads})) if body.kind == "lead end"}
    assert {name for name in names if "W9" in name} == {
        "free end of W9, fixed at P1.A", "free end of W9, fixed at P4.B",
    }  # fmt: skip
    assert "end of W1 at SD.1" in names
    assert not any(name.startswith("free end of W1,") for name in names)


def test_a_bar_lies_across_where_the_posts_of_its_module_are_not_apart() -> None:
    """Posts at x = 30 and x = -30 of one face are 60 mm apart along x, though the sum of the two is nothing."""
    layout = stick_layout(4)
    kind = layout["module types"]["stick"]
    posts = {
        "A": {"at": ["-30 mm", "5 mm", "60 mm"], "face": "A", "joint": "post"},
        "B": {"at": ["30 mm", "5 mm", "60 mm"], "face": "A", "joint": "post"},
    }
    kinds = {"stick": kind | {"posts": posts}}
    places = {"P1..P4": layout["positions"]["P1..P4"] | {"step": ["0 mm", "40 mm", "0 mm"]}}
    pack = pack_of(layout | {"module types": kinds, "positions": places, "faces": {"A": "front"}, "covers": {}})
    bar = next(body for body in bodies_of(pack) if body.name == "B1")
    assert bar.half[0] == pytest.approx(8.0)  # 16 mm wide along x, as it runs along y
    assert bar.half[2] == pytest.approx(1.0)


def test_modules_that_share_a_place_are_found_where_they_stand_below_the_origin_too() -> None:
    low, high = _Box("low", (-100.0,) * 3, (10.0, 10.0, 10.0)), _Box("high", (-50.0,) * 3, (-20.0, -20.0, -20.0))
    assert [(box.name, other and other.name) for box, other in _with_first_overlap([low, high])] == [
        ("low", None), ("high", "low"),
    ]  # fmt: skip


def test_a_joint_type_with_a_torque_and_no_thread_is_looked_at_and_one_with_neither_is_not() -> None:
    layout = stick_layout(4)
    kinds = layout["joint types"] | {"clip": {"torque": "2.0 N·m to 3.0 N·m"}, "push": {"stack": ["bar"]}}
    pack = pack_of(layout | {"joint types": kinds})
    rows = {row.subject for row in joint_type_rows(Evidence(pack, None, Adopted()))}
    assert "clip" in rows
    assert "push" not in rows


def test_a_bar_that_ends_at_a_device_has_an_end_that_swings_there() -> None:
    names = {body.name for body in bodies_of(pack_of(grouped_layout(4, 2))) if body.kind == "lead end"}
    assert "end of M1 at SD.1" in names
    assert not any("end of B1" in name or "end of E" in name for name in names)


def test_two_bars_on_the_same_posts_are_confirmed_by_no_voltage() -> None:
    layout = stick_layout(6)
    bars = {"X1": {"lands": ["P1.A", "P2.A"], "size": ["34 mm", "16 mm", "2 mm"]}}
    build = Build(layout | {"bars": bars}, release=True)
    told = {row.subject: row.values["confirmable"] for row in build_facts(build.pack, build.record())["conductor"]}
    assert (told["X1"], told["B1"], told["B2"]) == (False, False, True)


@pytest.mark.parametrize(("section", "spec"), [("devices", {"kind": "fuse"}), ("covers", {"over": "face A"})])
def test_a_part_named_like_a_bar_is_refused_once(section: str, spec: dict[str, str]) -> None:
    layout = stick_layout(6)
    with pytest.raises(InputProblems) as told:
        pack_of(layout | {section: layout[section] | {"B1": spec}})
    assert ["'B1'" in one.found for one in told.value.problems] == [True]
