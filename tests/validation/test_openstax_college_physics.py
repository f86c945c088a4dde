"""P. P. Urone, R. Hinrichs et al., College Physics 2e, OpenStax, chapter 21 (circuits).

Read in the published source of the book (modules m42357, m42359); openstax.org/books/college-physics-2e.
"""

from __future__ import annotations

import pytest
from printed import assert_all_printed, assert_printed, powers_w, solved

from packcheck.files.problems import OwnFault
from packcheck.network.circuit import Branch, resistances_between, solve_circuit


def test_section_21_3_example_two_sources() -> None:
    parts = [
        Branch("e", "a", 6.0),
        Branch("a", "b", 2.5, 18), Branch("b", "e", 0.5),
        Branch("a", "c", 1.5, 45), Branch("c", "e", 0.5),
    ]  # fmt: skip
    found = solved(parts)
    assert_all_printed([found.current[0], found.current[1], found.current[3]], "4.75 -3.50 8.25")


@pytest.mark.parametrize(
    ("corroded_ohm", "current_a", "motor_v", "motor_kw"),
    [(0.0, "200", "10.0", "2.00"), (0.0900, "80.0", "4.0", "0.320")],
    ids=["good joints", "corroded joints"],
)
def test_section_21_2_problem_starter_motor(corroded_ohm: float, current_a: str, motor_v: str, motor_kw: str) -> None:
    joint = [Branch("plus", "motor", corroded_ohm)] if corroded_ohm else []
    motor = Branch("motor" if joint else "plus", "minus", 0.0500)
    parts = [motor, Branch("minus", "plus", 0.0100, 12.0), *joint]
    found = solved(parts)
    assert_printed(found.current[0], current_a)
    assert_printed(found.voltage(motor.start, "minus"), motor_v)
    assert_printed(powers_w(parts, found)[0] / 1000, motor_kw)


def test_section_21_2_problem_battery_being_charged() -> None:
    """Printed: 15.0 V at 8.00 A into 12.0 V needs 0.375 Ω."""
    found = solved([Branch("-", "+", 0.375, 12.0)], {"+": 8.00, "-": -8.00})
    assert_printed(found.voltage("+", "-"), "15.0")


def test_section_21_2_problem_voltage_change_with_current() -> None:
    """Printed: 2.00 V for 5.00 A is 0.400 Ω."""
    battery = [Branch("-", "+", 0.400, 12.0)]
    change = solved(battery).voltage("+", "-") - solved(battery, {"+": -5.00, "-": 5.00}).voltage("+", "-")
    assert_printed(change, "2.00")


@pytest.mark.parametrize("second_v", [12.0, -12.0], ids=["aiding", "opposed"])
def test_section_21_2_problem_two_batteries_in_series(second_v: float) -> None:
    """Printed: 0.25 Ω each, 0.50 Ω together, unchanged when opposed."""
    parts = [Branch(0, 1, 0.25, 12.0), Branch(1, 2, 0.25, second_v)]
    assert_printed(resistances_between(parts, [(0, 2)])[0], "0.50")
    change = solved(parts).voltage(2, 0) - solved(parts, {2: -4.0, 0: 4.0}).voltage(2, 0)
    assert_printed(change / 4.0, "0.50")


def test_section_21_2_problem_terminal_voltage_at_a_small_current() -> None:
    found = solved([Branch("-", "+", 2.00, 3.0000)], {"+": -0.300e-3, "-": 0.300e-3})
    assert_printed(found.voltage("+", "-"), "2.9994")


def test_section_21_2_problem_dry_cell_with_load() -> None:
    parts = [Branch("-", "+", 0.100, 1.58), Branch("+", "-", 2.30)]
    found = solved(parts)
    assert_printed(found.current[0], "0.658")
    assert_printed(powers_w(parts, found)[1], "0.997")


def test_section_21_2_unreasonable_results_cell_forced_below_zero_volts() -> None:
    """Printed: -0.120 V, -1.41e-2 Ω: a cell of 1.58 V and 0.200 Ω cannot give 8.50 A."""
    voltage = solved([Branch("-", "+", 0.200, 1.58)], {"+": -8.50, "-": 8.50}).voltage("+", "-")
    assert_printed(voltage, "-0.120")
    assert_printed(voltage / 8.50, "-0.0141")


def test_section_21_3_unreasonable_results_currents_that_do_not_balance() -> None:
    """Printed: I1 = 5.00 A, I2 = 3.0 A and I3 = -2.00 A cannot meet at one junction."""
    star = [Branch("one", "star", 1.0), Branch("star", "two", 1.0), Branch("star", "three", 1.0)]
    with pytest.raises(OwnFault, match="4"):
        solve_circuit(star, {"one": 5.00, "two": -3.0, "three": 2.00})
