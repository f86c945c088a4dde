"""Hand torque tools: permissible deviation and the range in which a setting may be used (ISO 6789, type II class A)."""

from __future__ import annotations

SMALL_TOOL_NM = 10.0
"""Tools up to this maximum torque [N·m] may deviate more (ISO 6789:2003, as reprinted in a tool maker's manual)."""

LOWEST_SETTING = 0.20
"""Least setting as a fraction of the tool's maximum (ISO 6789:2003: tested at 20, 60 and 100 %)."""

CALIBRATION_MONTHS = 12
CALIBRATION_CYCLES = 5000
"""Recalibrate after 12 months or 5000 cycles, whichever comes first (ISO 6789:2003, 6.1, from memory)."""


def tool_deviation(maximum_nm: float) -> float:
    """Return the permissible relative deviation of a tool by its maximum torque [N·m]: 6 % up to 10 N·m, else 4 %."""
    return 0.06 if maximum_nm <= SMALL_TOOL_NM else 0.04


def tool_range_nm(maximum_nm: float) -> tuple[float, float]:
    """Return the least and greatest usable setting [N·m] of a tool with the given maximum [N·m]."""
    return LOWEST_SETTING * maximum_nm, maximum_nm


def applied_torque_interval_nm(setting_nm: float, maximum_nm: float) -> tuple[float, float] | None:
    """Return the least and greatest torque [N·m] a tool applies at a setting [N·m]; None outside its usable range.

    ISO 6789 states the deviation relative to the setting; it holds only inside the tested range.
    """
    least, greatest = tool_range_nm(maximum_nm)
    if not least <= setting_nm <= greatest:
        return None
    deviation = tool_deviation(maximum_nm) * setting_nm
    return setting_nm - deviation, setting_nm + deviation
