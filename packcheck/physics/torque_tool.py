"""Hand torque tools: the range in which a setting may be used (ISO 6789, type II class A)."""

from __future__ import annotations

LOWEST_SETTING = 0.20
"""Least setting as a fraction of the tool's maximum (ISO 6789:2003: tested at 20, 60 and 100 %)."""


def tool_range_n_m(maximum_n_m: float) -> tuple[float, float]:
    """Return the least and greatest usable setting [N·m] of a tool with the given maximum [N·m]."""
    return LOWEST_SETTING * maximum_n_m, maximum_n_m
