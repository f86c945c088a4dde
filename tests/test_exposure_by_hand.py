"""Derived checks: the work on 24 modules of 6 NiMH cells, step by step, against sums anyone can do by hand.

Each module has 7.92 V at rest, 8.7 V at most (1.45 V a cell), 10 mΩ; a bridge adds 1 mΩ.  Of n modules in series:
current n v / (n r + 1 mΩ), power at half the voltage (n v)² / (4 n r).
"""

from __future__ import annotations

from typing import Any

import pytest
from exposure_packs import example_24
from printed import assert_printed
from workshop import pack_of, stick_layout

from packcheck.exposure.bridges import Source
from packcheck.exposure.exposed import Asked, Exposure, Model
from packcheck.exposure.steps import State
from packcheck.model.pack.order import read_order
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.physics.arc import arc_operating_point, maximum_power_w


def story(**asked: Any) -> dict[str, Exposure]:
    pack = pack_of(example_24())
    return {e.stage.number: e for e in Model(pack, Asked(**asked)).story(read_order(pack).stages)}


@pytest.fixture(scope="module")
def steps() -> dict[str, Exposure]:
    return story()


TABLE = [
    ("1.2", 1, "7.9", "8.7", "720", "1.6", "A"),
    ("2", 2, "15.8", "17.4", "754", "3.1", "A"),
    ("3", 2, "15.8", "17.4", "754", "3.1", "A"),
    ("4", 6, "47.5", "52.2", "779", "9.4", "A"),
    ("5", 12, "95.0", "104.4", "785", "18.8", "B"),
    ("6", 12, "95.0", "104.4", "785", "18.8", "B"),
    ("9", 12, "95.0", "104.4", "785", "18.8", "B"),
    ("11", 24, "190.1", "208.8", "789", "37.6", "B"),
]


@pytest.mark.parametrize(("number", "modules", "rest", "highest", "ampere", "kilowatt", "shock"), TABLE)
def test_step(
    steps: dict[str, Exposure],
    number: str,
    modules: int,
    rest: str,
    highest: str,
    ampere: str,
    kilowatt: str,
    shock: str,
) -> None:
    exposure = steps[number]
    assert exposure.largest is not None
    assert exposure.across is not None
    assert len(exposure.largest.modules) == modules
    assert_printed(exposure.rest_v, rest)
    assert_printed(exposure.highest_v, highest)
    assert_printed(exposure.across.current_rest_a, ampere)
    assert_printed(exposure.across.power_rest_w / 1000, kilowatt)
    assert exposure.asks.voltage_class == shock


def test_worst_bridge_inside_a_section_lies_five_pitches_along_the_face() -> None:
    bridge = story(caps=False)["4"].worst_of_all
    assert bridge is not None
    assert {bridge.a, bridge.b} & {"P01.B", "P06.B", "P07.B", "P12.B", "P13.B", "P18.B", "P19.B", "P24.B"}
    assert bridge.way == "along face B"
    assert bridge.gap_mm == pytest.approx(100 - 10)  # five pitches, less half a washer at each end
    assert_printed(bridge.source.rest_v, "47.5")
    assert_printed(bridge.source.current_rest_a, "779")
    assert bridge.source.arc_rest is not None


@pytest.mark.parametrize(("tool_mm", "volts"), [(100.0, "47.5"), (150.0, "63.4")])
def test_bars_that_a_tool_reaches_in_a_section_of_twelve(tool_mm: float, volts: str) -> None:
    """Derived: 3 bars further along for 100 mm, 4 for 150 mm, two modules each; the second is class B when charged."""
    bridge = story(tools_mm=(tool_mm,))["6"].worst[0]
    assert bridge is not None
    assert_printed(bridge.source.rest_v, volts)


def test_a_tool_as_long_as_the_gap_bridges_it() -> None:
    """Five pitches of 20 mm less half a washer of 10 mm at each end: 90 mm, which 89.9 mm do not reach."""
    reached = [story(caps=False, tools_mm=(tool_mm,))["4"].worst[0] for tool_mm in (90.0, 89.9)]
    assert [bridge is not None and bridge.gap_mm == 90.0 for bridge in reached] == [True, False]


def test_bars_of_one_face_never_make_more_than_two_modules() -> None:
    pack = pack_of(example_24())
    model = Model(pack, Asked())
    bars = [name for name in pack.conductors if name.startswith("B") and int(name[1:]) % 2]
    state = State(positions=frozenset(pack.positions), conductors=frozenset(bars))
    assert max(len(section.modules) for _, section in model.sections.of(state).values()) == 2


def test_a_disconnect_in_the_middle_does_not_bring_the_pack_below_60_v(steps: dict[str, Exposure]) -> None:
    assert_printed(steps["9"].rest_v, "95.0")
    assert steps["9"].asks.voltage_class == "B"


def test_prospective_current_hardly_depends_on_the_number_of_modules() -> None:
    """Derived: n v / (n r + R) tends to v / r = 792 A: 720 A for one module, 782 A and more from 8 on."""
    current = {n: Source(7.92 * n, 8.7 * n, 0.010 * n, 1e-3).current_rest_a for n in (1, 2, 6, 12, 24, 48, 200)}
    assert_printed(current[1], "720")
    assert all(782 < current[n] < 792 for n in (12, 24, 48, 200))
    for modules in (8, 24, 60):
        pack = pack_of(stick_layout(modules))
        state = State(frozenset(pack.positions), frozenset(pack.conductors), frozenset(pack.devices), frozenset({"SD"}))
        model = Model(pack, Asked())
        (section,) = (s for _, s in model.sections.of(state).values())
        assert len(section.modules) == modules
        assert model.bridges.across(section).current_rest_a == pytest.approx(775, rel=0.02)


@pytest.mark.parametrize(("modules", "holds"), [(1, False), (2, False), (3, False), (4, True), (6, True), (24, True)])
def test_arc_at_one_millimetre(modules: int, holds: bool) -> None:
    """Derived from the fit of Stokes and Oppenlander, below its measured range: indicative."""
    source = Source(7.92 * modules, 7.92 * modules, 0.010 * modules, 1e-3)
    assert (source.arc is not None) is holds
    if source.arc is not None:
        assert source.arc.is_extrapolated
        assert source.arc.power_w <= source.power_w


def test_power_bound_is_what_a_resistance_as_large_as_the_source_takes() -> None:
    """Maximum power transfer (Kuphaldt, Lessons in Electric Circuits, vol. I, ch. 10): half the voltage, E²/(4R)."""
    source = Source(47.52, 52.2, 0.060, 1e-3)
    found = []
    for load in (0.03, 0.059, 0.060, 0.061, 0.12):
        solved = solve_circuit([Branch("-", "+", source.resistance_ohm, source.rest_v), Branch("+", "-", load)])
        found.append(float(solved.current[1]) ** 2 * load)
    assert max(found) == found[2] == pytest.approx(source.power_rest_w)
    assert source.power_rest_w == maximum_power_w(47.52, 0.060)


def test_operating_point_of_250_v_and_25_milliohm_through_a_whole_pack() -> None:
    """The worked point of a public validation note (250 V, 10 kA, 25 mm), with 25 modules of 10 V, 1 mΩ as source."""
    layout = stick_layout(25)
    stick = layout["module types"]["stick"]
    stick.update(rest="9 V to 11 V", highest="11.5 V", nominal="10 V", resistance="1 mΩ", chemistry="NMC")
    for kind in ("post", "lug"):
        layout["joint types"][kind]["resistance"] = "0.001 µΩ"
    layout["bar types"]["bar"]["resistance"] = "0.001 µΩ"
    layout["series"]["main"].pop("drop")
    for name in ("W1", "W2"):
        del layout["leads"][name]
    del layout["devices"]["SD"]
    layout["states"] = {"open": {"closed": []}, "live": {"closed": ["K1", "K2"]}}
    pack = pack_of(layout)
    model = Model(pack, Asked(external_ohm=1e-9))
    state = State(frozenset(pack.positions), frozenset(pack.conductors))
    source = max((model.bridges.across(s) for _, s in model.sections.of(state).values()), key=lambda s: s.rest_v)
    assert source.rest_v == pytest.approx(250)
    assert source.current_rest_a == pytest.approx(10_000, rel=1e-5)
    point = arc_operating_point(source.rest_v, source.resistance_ohm, 25)
    assert point is not None
    assert point.current_a == pytest.approx(6196.255, rel=1e-5)
    assert point.voltage_v == pytest.approx(95.0936, rel=1e-5)
