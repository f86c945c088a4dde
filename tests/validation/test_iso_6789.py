"""ISO 6789:2003, hand torque tools of type II class A, as reprinted in a tool maker's manual."""

from __future__ import annotations

import pytest

from packcheck.physics.torque_tool import applied_torque_interval_n_m, tool_deviation, tool_range_n_m


@pytest.mark.parametrize(("maximum_n_m", "deviation"), [(2, 0.06), (9.99, 0.06), (10, 0.06), (10.01, 0.04), (25, 0.04)])
def test_permissible_deviation(maximum_n_m: float, deviation: float) -> None:
    assert tool_deviation(maximum_n_m) == deviation


def test_range_from_20_to_100_percent() -> None:
    assert tool_range_n_m(25) == (5, 25)
    assert applied_torque_interval_n_m(4.99, 25) is None
    assert applied_torque_interval_n_m(25.01, 25) is None
    assert applied_torque_interval_n_m(5, 25) == pytest.approx((4.8, 5.2))
    assert applied_torque_interval_n_m(5, 10) == pytest.approx((4.7, 5.3))
