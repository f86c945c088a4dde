"""What a layout draws to guard itself: precharge past a contactor, the fuse all strings share, fuses of sense wires."""

from __future__ import annotations

from math import exp
from typing import Any

import pytest
from branches import with_branches
from test_branches import changed, findings_in
from workshop import Data, pack_of, rack_layout, stick_layout, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.facts.of_probes import ROOM_C
from packcheck.model.pack.test_limits import probes_named
from packcheck.physics.probes import probe_band_ohm


def facts_of(layout: Data, table: str = "pack") -> dict[str, Any]:
    return dict(build_facts(pack_of(layout))[table][0].values)


def rules_of(layout: Data) -> set[str]:
    return {rule for rule, _ in findings_in(layout)}


def harnessed(**words: str) -> Data:
    """Return a layout of 104.4 V whose taps lie in one connector."""
    layout = stick_layout(12)
    return {**layout, "harness": {**words, "X1": list(layout["taps"])}}


# precharge


@pytest.mark.parametrize("draw", [lambda: stick_layout(12), lambda: trayed_layout(4), lambda: rack_layout([8, 8])])
def test_contactors_without_a_precharge_are_told(draw: Any) -> None:
    layout = draw()
    assert facts_of(layout)["contactors"] == "K1, K2"
    assert "layout-without-precharge" in rules_of(layout)
    assert "layout-without-precharge" not in rules_of(with_branches(layout, ["precharge in series"]))


def test_a_resistor_across_either_contactor_will_do() -> None:
    for across in ("K1", "K2"):
        resistor = {"kind": "precharge resistor", "across": across, "resistance": "47 Ω"}
        layout = stick_layout(12)
        assert "layout-without-precharge" not in rules_of({**layout, "devices": {**layout["devices"], "R1": resistor}})


def test_a_heater_past_nothing_is_no_precharge() -> None:
    assert "layout-without-precharge" in rules_of(with_branches(stick_layout(12), ["heater", "charge inlet"]))


def test_no_precharge_is_asked_for_up_to_60_v() -> None:
    """Six sticks of 8.7 V at the most are 52.2 V; seven are 60.9 V, and class B."""
    assert "layout-without-precharge" not in rules_of(stick_layout(6))
    assert "layout-without-precharge" in rules_of(stick_layout(8))


# the fuse that all strings share


@pytest.mark.parametrize(("rating", "told"), [("79 A", False), ("80 A", False), ("81 A", True), ("400 A", True)])
def test_a_string_fuse_above_the_main_fuse_is_told(rating: str, told: bool) -> None:
    layout = rack_layout([6, 6])
    strings = [name for name, one in layout["devices"].items() if one["kind"] == "fuse" and name != "F1"]
    assert len(strings) == 2
    assert layout["devices"]["F1"]["rating"] == "80 A"
    for name in strings:
        layout = changed(layout, "devices", name, rating=rating)
    assert ("string-fuse-above-main" in rules_of(layout)) is told


def test_without_a_rating_of_the_main_fuse_nothing_is_said() -> None:
    layout = changed(rack_layout([6, 6]), "devices", "F1", rating=None)
    assert facts_of(layout, "string")["main_fuse_stated"] is False
    assert "string-fuse-above-main" not in rules_of(layout)


# sense wires


@pytest.mark.parametrize(
    ("wire", "fuse", "told"),
    [
        ("0.5 mm²", "30 A", True),  # 0.798 mm: 10 244 (0.798 / 25.4)^1.5 = 57.0 A, half of it 28.5 A
        ("0.5 mm²", "28 A", False),
        ("22 AWG", "20 A", False),  # 0.644 mm: 41.3 A, half of it 20.7 A
        ("22 AWG", "21 A", True),
        ("40 AWG", "500 mA", False),  # 0.0799 mm: 1.81 A
        ("40 AWG", "1 A", True),
    ],
)
def test_a_fuse_above_half_of_what_melts_its_wire_is_told(wire: str, fuse: str, told: bool) -> None:
    assert ("harness-fuse-above-wire" in rules_of(harnessed(wire=wire, fuse=fuse))) is told


def test_a_harness_without_its_fuse_is_told() -> None:
    assert "harness-without-fuse" not in rules_of(harnessed(fuse="2 A"))
    assert "harness-without-fuse" in rules_of(harnessed(wire="22 AWG"))
    assert "harness-without-fuse" in rules_of(harnessed())
    assert "harness-without-fuse" not in rules_of(stick_layout(12))


# probes in any room


def test_a_thermistor_in_a_room_by_hand() -> None:
    """R = 10 kΩ exp(B (1/T - 1/298.15 K)): at 273.15 K with B 4500 K, and at 318.15 K with either end of B."""
    bands = [probe_band_ohm(probe, *ROOM_C) for probe in probes_named("NTC 10 kΩ")]
    assert max(high for _, high in bands) == pytest.approx(10_000 * exp(4500 * (1 / 273.15 - 1 / 298.15)))
    assert min(low for low, _ in bands) == pytest.approx(10_000 * exp(4500 * (1 / 318.15 - 1 / 298.15)))
    assert max(high for _, high in bands) == pytest.approx(39_820, rel=1e-3)
    assert min(low for low, _ in bands) == pytest.approx(3_871, rel=1e-3)


def test_a_kind_in_other_words_tells_nothing() -> None:
    assert probes_named("digital") == probes_named("") == probes_named("NTC") == ()


def test_a_clamp_from_nothing_upwards_is_held_against_no_stack() -> None:
    layout = stick_layout(12)
    wide = {**layout, "clamp": {**layout.get("clamp", {}), "length": "240 mm ± 240 mm", "torque": "5 N·m to 7 N·m"}}
    assert facts_of(wide)["stack_known"] is False
