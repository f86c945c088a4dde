"""ISO 6789:2003, hand torque tools of type II class A, as reprinted in a tool maker's manual."""

from __future__ import annotations

from packcheck.physics.bolted_joints import tool_range_n_m


def test_range_from_20_to_100_percent() -> None:
    assert tool_range_n_m(25) == (5, 25)
    assert tool_range_n_m(10) == (2, 10)
