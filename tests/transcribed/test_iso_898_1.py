"""ISO 898-1 (1999 layout): stress areas and proof loads of coarse threads; ISO 261 pitches.

Areas and proof loads as reprinted in a fastener maker's tables (two makers agree).  The printed loads are rounded
irregularly: they agree with nominal area times stress within 1 %.
"""

from __future__ import annotations

import pytest
from printed import assert_printed

from packcheck.physics.bolted_joints import (
    COARSE_PITCH_MM,
    PROOF_STRESS_MPA,
    coarse_stress_area_mm2,
    pitch_diameter_mm,
    proof_load_n,
    stress_area_mm2,
)

SIZES = ("M3", "M4", "M5", "M6", "M8", "M10", "M12")
PITCH = dict(zip(SIZES, (0.5, 0.7, 0.8, 1.0, 1.25, 1.5, 1.75), strict=True))
AREA = dict(zip(SIZES, ("5.03", "8.78", "14.2", "20.1", "36.6", "58.0", "84.3"), strict=True))
EXACT_AREA = dict(zip(SIZES, ("5.031", "8.779", "14.183", "20.123", "36.608", "57.989", "84.266"), strict=True))
PITCH_DIAMETER = {"M4": "3.545", "M5": "4.480", "M6": "5.350", "M8": "7.188", "M10": "9.026"}
PROOF = {
    "4.8": (1560, 2720, 4400, 6230, 11400, 18000, 26100),
    "5.8": (1910, 3340, 5400, 7640, 13900, 22000, 32000),
    "8.8": (2920, 5100, 8230, 11600, 21200, 33700, 48900),
    "10.9": (4180, 7290, 11800, 16700, 30400, 48100, 70000),
    "12.9": (4880, 8520, 13800, 19500, 35500, 56300, 81800),
}
STRESS = {"4.6": 225, "4.8": 310, "5.6": 280, "5.8": 380, "6.8": 440, "8.8": 580, "9.8": 650, "10.9": 830, "12.9": 970}


@pytest.mark.parametrize("size", SIZES)
def test_pitch_and_stress_area(size: str) -> None:
    assert COARSE_PITCH_MM[size] == PITCH[size]
    assert_printed(coarse_stress_area_mm2(size), AREA[size])
    assert_printed(stress_area_mm2(float(size[1:]), PITCH[size]), EXACT_AREA[size])


@pytest.mark.parametrize(("size", "diameter"), PITCH_DIAMETER.items())
def test_pitch_diameter(size: str, diameter: str) -> None:
    assert_printed(pitch_diameter_mm(float(size[1:]), PITCH[size]), diameter)


@pytest.mark.parametrize("property_class", PROOF)
@pytest.mark.parametrize("size", SIZES)
def test_proof_load_table(size: str, property_class: str) -> None:
    printed = PROOF[property_class][SIZES.index(size)]
    assert proof_load_n(size, property_class) == pytest.approx(printed, rel=0.01)


@pytest.mark.parametrize("property_class", STRESS)
def test_stress_under_proof_load(property_class: str) -> None:
    assert PROOF_STRESS_MPA[property_class] == STRESS[property_class]


@pytest.mark.parametrize(("name", "proof"), [("A2-70", 450), ("A4-70", 450), ("A4-80", 600)])
def test_iso_3506_1_stainless(name: str, proof: float) -> None:
    """ISO 3506-1 table 2, from memory."""
    assert PROOF_STRESS_MPA[name] == proof
