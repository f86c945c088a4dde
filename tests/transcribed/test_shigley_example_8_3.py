"""Shigley's Mechanical Engineering Design, 9th ed., example 8-3 (torque of a 3/4-16 bolt), from memory."""

from __future__ import annotations

import pytest
from printed import assert_printed

from packcheck.physics.bolted_joints import clamp_load_n, thread_torque_n_m

INCH_MM = 25.4
LBF_N = 4.4482216152605


def lbf_in(torque_n_m: float) -> float:
    return torque_n_m * 1000 / (LBF_N * INCH_MM)


def whole_torque_n_m(load_n: float, diameter: float, pitch_diameter: float, pitch: float) -> float:
    """Equation (8-26) at f = fc = 0.15: what turns the thread, and the collar at 0.625 d."""
    return thread_torque_n_m(load_n, pitch, pitch_diameter, 0.15) + 0.15 * load_n * 0.625 * diameter / 1000


def test_example_8_3_load_by_the_short_form() -> None:
    """Printed (b), from memory: 0.2 x 25 000 lbf x 0.75 in = 3750 lbf·in."""
    assert_printed(clamp_load_n(3750 * LBF_N * INCH_MM / 1000, 0.2, 0.75 * INCH_MM) / LBF_N, "25000")


@pytest.mark.parametrize("mean_diameter_in", [0.7093, 0.7094, 0.75 - 0.6495 / 16])
def test_example_8_3_torque_by_the_long_form(mean_diameter_in: float) -> None:
    """Printed (c), from memory: 3551 lbf·in; either rounding of the mean diameter gives it."""
    load, diameter = 25_000 * LBF_N, 0.75 * INCH_MM
    torque = whole_torque_n_m(load, diameter, mean_diameter_in * INCH_MM, INCH_MM / 16)
    assert_printed(1000 * torque / (load * diameter), "0.18939", units=1.5)
    assert_printed(lbf_in(torque), "3551")
