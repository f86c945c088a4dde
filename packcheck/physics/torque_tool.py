"""Hand torque tools: permissible deviation and the range in which a setting may be used (ISO 6789, type II class A)."""

from __future__ import annotations

SMALL_TOOL_N_M = 10.0
"""Tools up to this maximum torque [N·m] may deviate more (ISO 6789:2003, as reprinted in a tool maker's manual)."""

LOWEST_SETTING = 0.20
"""Least setting as a fraction of the tool's maximum (ISO 6789:2003: tested at 20, 60 and 100 %)."""

CALIBRATION_MONTHS = 12
CALIBRATION_CYCLES = 5000
"""Recalibrate after 12 months or 5000 cycles, whichever comes first (ISO 6789:2003, 6.1, from memory)."""


def tool_deviation(maximum_n_m: float) -> float:
    """Return the permissible relative deviation of a tool by its maximum torque [N·m]: 6 % up to 10 N·m, else 4 %."""
    return 0.06 if maximum_n_m <= SMALL_TOOL_N_M else 0.04


def tool_range_n_m(maximum_n_m: float) -> tuple[float, float]:
    """Return the least and greatest usable setting [N·m] of a tool with the given maximum [N·m]."""
    return LOWEST_SETTING * maximum_n_m, maximum_n_m


def applied_torque_interval_n_m(setting_n_m: float, maximum_n_m: float) -> tuple[float, float] | None:
    """Return the least and greatest torque [N·m] a tool applies at a setting [N·m]; None outside its usable range.

    ISO 6789 states the deviation relative to the setting; it holds only inside the tested range.
    """
    least, greatest = tool_range_n_m(maximum_n_m)
    if not least <= setting_n_m <= greatest:
        return None
    deviation = tool_deviation(maximum_n_m) * setting_n_m
    return setting_n_m - deviation, setting_n_m + deviation
