"""Bolts, torque tools, arcs and classes: behaviour beyond the published rows."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packcheck.physics.arc import (
    arc_operating_point,
    arc_voltage_v,
    least_arc_current_a,
    maximum_power_w,
    short_circuit_current_a,
)
from packcheck.physics.bolted_joints import (
    clamp_load_n,
    coarse_stress_area_mm2,
    pitch_diameter_mm,
    proof_fraction,
    proof_load_n,
    thread_diameter_mm,
    thread_torque_n_m,
    tightening_stress_mpa,
)
from packcheck.physics.hardware import SCREWS, SIZES, standard_part


def test_unknown_thread_or_class_has_no_load() -> None:
    assert thread_diameter_mm("M7") is None
    assert coarse_stress_area_mm2("1/4-20") is None
    assert proof_load_n("M6", "7.7") is None
    assert proof_load_n("M7", "8.8") is None


@pytest.mark.parametrize(
    ("torque", "size", "property_class", "percent"),
    [
        (4, "M4", "8.8", 98),
        (4, "M4", "A2-70", 127),
        (6, "M5", "A2-70", 94),
        (8, "M5", "8.8", 97),
        (10, "M6", "A2-70", 92),
    ],
)
def test_torques_that_use_up_the_bolt(torque: float, size: str, property_class: str, percent: float) -> None:
    """Derived with K = 0.20: usual post torques against the proof load of common bolts."""
    proof, diameter = proof_load_n(size, property_class), thread_diameter_mm(size)
    assert proof is not None
    assert diameter is not None
    assert 100 * proof_fraction(clamp_load_n(torque, 0.20, diameter), proof) == pytest.approx(percent, abs=0.7)


def test_thread_torque_near_its_small_angle_form() -> None:
    """F (0.159 P + 0.577 μ d2), VDI 2230-1, from memory."""
    pitch_diameter = pitch_diameter_mm(8, 1.25)
    simple = 17000 * (0.159 * 1.25 + 0.577 * 0.12 * pitch_diameter) / 1000
    assert thread_torque_n_m(17000, 1.25, pitch_diameter, 0.12) == pytest.approx(simple, rel=0.01)


def test_tightening_stress_without_torque_is_plain_tension() -> None:
    assert tightening_stress_mpa(10000, 0.0, 20.1) == pytest.approx(10000 / 20.1)


def test_tightening_stress_of_a_round_bar_in_pure_torsion() -> None:
    """A bar of 5 mm under 2 N·m: τ = 16 T/(π d³) = 81.49 MPa, by √3 141.1 MPa."""
    area = pi / 4 * 25
    assert tightening_stress_mpa(0.0, 2.0, area) == pytest.approx(sqrt(3) * 16 * 2000 / (pi * 125))
    assert tightening_stress_mpa(0.0, 2.0, area) == pytest.approx(141.1, abs=0.1)


@given(st.floats(1, 1000), st.floats(1e-4, 1), st.floats(0, 100))
def test_arc_lies_on_the_source_line_and_takes_no_more_than_the_greatest_power(
    emf: float, ohm: float, gap: float
) -> None:
    point = arc_operating_point(emf, ohm, gap)
    if point is None:
        current = least_arc_current_a(gap)
        assert emf - current * ohm < (20 + 0.534 * gap) * current**0.12 * (1 + 1e-9)
        return
    assert point.current_a >= least_arc_current_a(gap)
    assert point.voltage_v == pytest.approx(emf - ohm * point.current_a, rel=1e-6, abs=1e-6 * emf)
    assert point.power_w <= maximum_power_w(emf, ohm) * (1 + 1e-9)
    assert point.current_a <= short_circuit_current_a(emf, ohm)


def test_arc_does_not_depend_on_polarity() -> None:
    assert arc_operating_point(-250, 0.025, 25) == arc_operating_point(250, 0.025, 25)


def test_short_circuit_current_through_a_tool() -> None:
    """Modules of 7.92 V and 10 mΩ bridged by 1 mΩ: 720 A for one, 789 A for 24 (derived)."""
    assert short_circuit_current_a(7.92, 0.010, 0.001) == pytest.approx(720)
    assert short_circuit_current_a(24 * 7.92, 0.240, 0.001) == pytest.approx(789, abs=0.5)


@pytest.mark.parametrize("standard", ["ISO 4032", "ISO 4035", "ISO 7089", "ISO 7093", "ISO 4762", "ISO 4017"])
def test_hardware_grows_with_its_thread(standard: str) -> None:
    parts = [standard_part(standard, size, 20 if standard in SCREWS else None) for size in SIZES]
    lengths = [part.largest_mm for part in parts if part is not None]
    assert len(lengths) == len(SIZES)
    assert lengths == sorted(lengths)
    assert all(length > float(size[1:]) for length, size in zip(lengths, SIZES, strict=True))


@pytest.mark.parametrize(
    ("modules", "gap_mm", "holds"), [(1, 1.0, False), (3, 1.0, False), (4, 1.0, True), (6, 1.0, True), (24, 10.0, True)]
)
def test_short_strings_of_modules(modules: int, gap_mm: float, holds: bool) -> None:
    """Modules of 7.92 V and 10 mΩ: derived from the fit far below its measured range, so marked as extrapolated."""
    point = arc_operating_point(7.92 * modules, 0.010 * modules, gap_mm)
    assert (point is not None) is holds
    if point is not None:
        assert point.is_extrapolated == (gap_mm < 5)
        assert point.power_w <= maximum_power_w(7.92 * modules, 0.010 * modules)


def test_six_modules_at_one_millimetre() -> None:
    """Derived: 47.5 V and 60 mΩ hold about 160 A and 6 kW."""
    point = arc_operating_point(47.52, 0.060, 1.0)
    assert point is not None
    assert point.current_a == pytest.approx(162, abs=2)
    assert point.power_w == pytest.approx(6.1e3, abs=100)
    assert arc_voltage_v(point.current_a, 1.0) == point.voltage_v
