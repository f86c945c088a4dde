"""R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., pages 437-440 (bolt torque)."""

from __future__ import annotations

from statistics import mean, stdev

import pytest
from printed import assert_printed

from packcheck.facts.of_joints import NUT_FACTOR
from packcheck.physics.bolted_joints import clamp_load_n, proof_fraction, thread_torque_n_m

TABLE_8_13_KN = (
    23.6, 27.6, 28.0, 29.4, 30.3, 30.7, 32.9, 33.8, 33.8, 33.8,
    34.7, 35.6, 35.6, 37.4, 37.8, 37.8, 39.2, 40.0, 40.5, 42.7,
)  # fmt: skip
TABLE_8_14_KN = (30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5)


def whole_torque_n_m(load_n: float, diameter: float, pitch_diameter: float, pitch: float) -> float:
    """Equation (8-26) at f = fc = 0.15: what turns the thread, and the collar at 0.625 d."""
    return thread_torque_n_m(load_n, pitch, pitch_diameter, 0.15) + 0.15 * load_n * 0.625 * diameter / 1000


@pytest.mark.parametrize(
    ("diameter", "pitch"), [(4.0, 0.7), (5.0, 0.8), (6.0, 1.0), (8.0, 1.25), (10.0, 1.5), (12.0, 1.25)]
)
def test_equation_8_26_gives_a_fifth_for_any_size(diameter: float, pitch: float) -> None:
    """Printed: K is about 0.20 at f = fc = 0.15 whatever the size and the pitch."""
    torque = whole_torque_n_m(10_000, diameter, diameter - 0.6495 * pitch, pitch)
    assert 1000 * torque / (10_000 * diameter) == pytest.approx(0.20, abs=0.0105)


def test_table_8_15_torque_factor_of_zinc_plated_bolts() -> None:
    assert NUT_FACTOR == 0.20


def test_example_8_3_margin_against_proof() -> None:
    """Printed: 67.02 and 72.17 kpsi are 21 % and 15 % below the proof strength of 85 kpsi."""
    assert_printed(25 / 0.373, "67.02")
    assert_printed(100 * (1 - proof_fraction(25, 0.373 * 85)), "21")
    assert_printed(100 * (1 - proof_fraction(72.17, 85)), "15")


def test_table_8_13_unlubricated_bolts() -> None:
    """Twenty bolts at 90 N·m: mean 34.3 kN, standard deviation 4.91 kN."""
    assert_printed(mean(TABLE_8_13_KN), "34.3")
    assert_printed(stdev(TABLE_8_13_KN), "4.91")
    assert clamp_load_n(90, 0.2189, 12) / 1000 == pytest.approx(mean(TABLE_8_13_KN), abs=0.01)


def test_table_8_14_lubricated_bolts() -> None:
    """Ten bolts at 90 N·m: mean 34.18 kN, standard deviation 2.88 kN."""
    assert_printed(mean(TABLE_8_14_KN), "34.18")
    assert_printed(stdev(TABLE_8_14_KN), "2.88")
    assert clamp_load_n(90, 0.2194, 12) / 1000 == pytest.approx(mean(TABLE_8_14_KN), abs=0.01)


@pytest.mark.parametrize(
    ("diameter", "proof_n", "torque"),
    [(5, 8230, 6.1725), (6, 11600, 10.44), (8, 21200, 25.44), (10, 33700, 50.55)],
)
def test_torque_at_three_quarters_of_proof(diameter: float, proof_n: float, torque: float) -> None:
    """K = 0.2 and 75 % of the printed proof load of class 8.8 (derived from eq. 8-27 and ISO 898-1)."""
    assert proof_fraction(clamp_load_n(torque, 0.2, diameter), proof_n) == pytest.approx(0.75)
