"""Slips of the pen: a value that fits its band after a change of unit, decimal point or sign, and not before."""

from __future__ import annotations

from packcheck.files.quantities import format_quantity

_DECIMAL = ((10.0, "one decimal place"), (100.0, "two decimal places"), (1000.0, "three decimal places, or milli"))
_TORQUE_UNITS = (
    (0.1129848290276167, "lbf·in"),
    (1.3558179483314004, "lbf·ft"),
    (0.0980665, "kgf·cm"),
    (9.80665, "kgf·m"),
    (0.01, "cN·m"),
)
"""Newton-metres in one unit of torque: NIST SP 811 Appendix B; cN·m by its prefix."""


LEAST_MISS = 2.0
"""How many times a torque must miss its band before a slip is looked for; derived: above lbf·ft's 1.356, below 8.85."""


def torque_slip(value_n_m: float, low: float | None, high: float | None) -> str:
    """Return in words the unit or decimal slip that brings a torque [N·m] into its band; "" when there is none.

    Both directions are tried: a number read in lbf·in and written as N·m, and one in N·m written as lbf·in.  A value
    that misses its band by less than ``LEAST_MISS`` is a torque out of its band, not a slip: lbf·ft is so near N·m
    that a spun post could be explained away with it.
    """
    if low is None or high is None or low <= value_n_m <= high:
        return ""
    if low / LEAST_MISS < value_n_m < high * LEAST_MISS:
        return ""
    for factor, unit in _TORQUE_UNITS:
        if low <= value_n_m * factor <= high:
            right = format_quantity(value_n_m * factor, "N·m", digits=2)
            return f"the number fits as {unit}: {value_n_m:g} {unit} are {right}"
        if low <= value_n_m / factor <= high:
            right = format_quantity(value_n_m / factor, "N·m", digits=2)
            return f"it fits as {right} taken for {unit}"
    return _decimal(value_n_m, low, high, "N·m")


def voltage_slip(value_v: float, low: float | None, high: float | None) -> str:
    """Return in words the slip of point or sign that brings a voltage [V] into its window; "" when there is none."""
    if low is None or high is None or low <= value_v <= high:
        return ""
    if is_sign_turned(value_v, low, high):
        right = format_quantity(-value_v, "V", digits=3)
        return f"it fits as {right}: its sign is turned, by the leads of the meter or by a + at the other post"
    return _decimal(value_v, low, high, "V")


def is_sign_turned(value_v: float, low: float | None, high: float | None) -> bool:
    """Return whether a voltage [V] below nothing lies in its window with the other sign."""
    return low is not None and high is not None and value_v < 0 and low <= -value_v <= high


def shifted_into(value_v: float, low: float | None, high: float | None) -> float:
    """Return the factor by which a slip of point or sign brings a voltage [V] into its window; 1 for none."""
    if low is None or high is None or low <= value_v <= high:
        return 1.0
    if is_sign_turned(value_v, low, high):
        return -1.0
    factors = (factor for size, _ in _DECIMAL for factor in (size, 1 / size))
    return next((factor for factor in factors if low <= value_v * factor <= high), 1.0)


def _decimal(value: float, low: float, high: float, unit: str) -> str:
    for factor, words in _DECIMAL:
        for shifted in (value * factor, value / factor):
            if low <= shifted <= high:
                return f"it fits as {format_quantity(shifted, unit, digits=3)}: the decimal point is off by {words}"
    return ""


def reading_slip(value_v: float, expected_v: float, least_miss_v: float, half_v: float) -> str:
    """Return in words the decimal slip that would explain a reading [V]; "" when there is none.

    A reading is a slip only if it misses by more than ``least_miss_v``, shows three digits or more, and, the point
    moved, agrees as a meter would: within 0.3 % of the expectation and its half width ``half_v``.
    """
    tolerance = 0.003 * abs(expected_v) + half_v
    digits = len(repr(abs(value_v)).replace(".", "").strip("0"))
    if digits < 3 or abs(value_v - expected_v) <= least_miss_v or abs(expected_v) <= 2 * tolerance:
        return ""
    return _decimal(value_v, expected_v - tolerance, expected_v + tolerance, "V")
