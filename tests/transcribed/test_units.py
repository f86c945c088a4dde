"""Unit conversions of NIST SP 811, Appendix B.8, from memory, and torques copied from a tractor's service manual."""

from __future__ import annotations

from fractions import Fraction

import pytest

from packcheck.files.quantities import Dimension, parse_quantity

D = Dimension


@pytest.mark.parametrize(
    ("text", "dimension", "printed"),
    [
        pytest.param("1 ozf·in", D.TORQUE, "0.007061552", id="ounce-force inch: 7.061 552 E-03, from memory"),
        pytest.param("1 psi", D.PRESSURE, "6.894757", id="pound-force per square inch: 6.894 757 E+03 Pa, from memory"),
        pytest.param("1 ksi", D.STRESS, "6.894757", id="kip per square inch: 6.894 757 E+06 Pa, from memory"),
    ],
)
def test_rounded_factors_to_their_last_digit(text: str, dimension: Dimension, printed: str) -> None:
    last_place = Fraction(1, 10 ** len(printed.partition(".")[2]))
    assert abs(parse_quantity(text, dimension) - Fraction(printed)) <= last_place / 2


@pytest.mark.parametrize(
    ("metric", "pounds"),
    [
        ("4.5 N·m", "40 lbf·in"),
        ("7.5 N·m", "66 lbf·in"),
        ("18 N·m", "163 lbf·in"),
        ("37 N·m", "27 lbf·ft"),
        ("64 N·m", "47 lbf·ft"),
    ],
)
def test_fastener_torques_printed_in_both_units(metric: str, pounds: str) -> None:
    """A tractor's service manual (as quoted on the web) prints both; its figures are rounded, so 3 % is allowed."""
    assert float(parse_quantity(metric, D.TORQUE)) == pytest.approx(float(parse_quantity(pounds, D.TORQUE)), rel=0.03)
