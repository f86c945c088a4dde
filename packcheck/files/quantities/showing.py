"""Exact or computed numbers -> what people read: units, prefixes, no more digits than are meant."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from functools import lru_cache
from math import isinf, isnan

Number = int | float | Fraction | Decimal

_NOISE = Context(prec=12)  # digits beyond these are the arithmetic's, not the reading's
_WIDE = Context(prec=60)
_SHOWN_EXACTLY = 6
_SHOWN_ROUNDED = 4

_STEPS: dict[str, tuple[tuple[Decimal, Decimal, str], ...]] = {
    "Ω": (
        (Decimal("1e10"), Decimal("1e9"), "GΩ"),
        (Decimal("1e6"), Decimal("1e6"), "MΩ"),
        (Decimal("1e3"), Decimal("1e3"), "kΩ"),
        (Decimal(1), Decimal(1), "Ω"),
        (Decimal("1e-3"), Decimal("1e-3"), "mΩ"),
        (Decimal(0), Decimal("1e-6"), "µΩ"),
    ),
    "V": ((Decimal("0.1"), Decimal(1), "V"), (Decimal(0), Decimal("1e-3"), "mV")),
    "A": (
        (Decimal("1e4"), Decimal("1e3"), "kA"),
        (Decimal("0.1"), Decimal(1), "A"),
        (Decimal(0), Decimal("1e-3"), "mA"),
    ),
    "W": ((Decimal("1e4"), Decimal("1e3"), "kW"), (Decimal(0), Decimal(1), "W")),
}
"""For units shown with prefixes: from which size on, how large the prefixed unit is, and its spelling."""


@lru_cache(maxsize=4096)
def format_quantity(value: Number | None, unit: str, digits: int | None = None) -> str:
    """Return a quantity for people: ``4.5 N·m``, ``82 µΩ``, ``−12 mV``; None gives ``unknown``.

    Parameters
    ----------
    value : in ``unit``, the program's unit of its dimension (or any other, which is then shown as it is).
    unit : resistances take the prefix that fits (µΩ to GΩ), volts and amperes below 0.1 become mV and mA.
    digits : significant digits to round to; by default up to 6 are shown when the number has no more, else 4.
        Digits before the decimal point are never rounded away.

    Examples
    --------
    >>> format_quantity(Fraction(9, 2), "N·m")
    '4.5 N·m'
    >>> format_quantity(8.2e-05, "Ω")
    '82 µΩ'
    """
    if value is None or (isinstance(value, float) and isnan(value)):
        return "unknown"
    if isinstance(value, float) and isinf(value):
        return "unlimited" if value > 0 else "unlimited below"
    number = _decimal(value)
    size, name = _prefix(number, unit)
    return _join(_rounded(number / size, digits), name)


@lru_cache(maxsize=4096)
def format_interval(low: Number | None, high: Number | None, unit: str) -> str:
    """Return an interval for people: ``6.2 ± 0.25 N·m``, ``at least 500 MΩ``, ``10 µΩ to 90 µΩ``, ``unknown``.

    Both ends are in ``unit``; an end that is None or infinite is not known.  The half-width is rounded up to two
    digits and the middle to the same place, so what is shown is never narrower than two digits can say.
    """
    low_known, high_known = _is_known(low), _is_known(high)
    if not low_known and not high_known:
        return "unknown"
    if not high_known:
        return f"at least {format_quantity(low, unit)}"
    if not low_known:
        return f"at most {format_quantity(high, unit)}"
    assert low is not None
    assert high is not None
    bottom, top = _decimal(low), _decimal(high)
    if bottom == top:
        return format_quantity(low, unit)
    middle, half = (bottom + top) / 2, _NOISE.plus((top - bottom) / 2)
    if middle != 0 and half > abs(middle) / 2:
        return _from_to(bottom, top, unit)
    return _plus_minus(middle, half, unit)


def _is_known(end: Number | None) -> bool:
    return end is not None and not (isinstance(end, float) and (isinf(end) or isnan(end)))


def _decimal(value: Number) -> Decimal:
    """Return the number with the digits beyond the twelfth, which are arithmetic noise, taken off."""
    if isinstance(value, Fraction):
        return _NOISE.divide(Decimal(value.numerator), Decimal(value.denominator))
    return _NOISE.create_decimal(repr(value) if isinstance(value, float) else value)


def _prefix(number: Decimal, unit: str) -> tuple[Decimal, str]:
    """Return the size and spelling of the unit that shows this number best."""
    if number:
        for start, size, name in _STEPS.get(unit, ()):
            if abs(number) >= start:
                return size, name
    return Decimal(1), unit


def _rounded(number: Decimal, digits: int | None) -> Decimal:
    """Return the number at so many significant digits, or at those it has when they are few."""
    shown = digits
    if shown is None:
        few = len(_NOISE.plus(number).normalize().as_tuple().digits) <= _SHOWN_EXACTLY
        shown = _SHOWN_EXACTLY if few else _SHOWN_ROUNDED
    place = min(0, number.adjusted() - shown + 1) if number else 0
    return number.quantize(Decimal(1).scaleb(place), rounding=ROUND_HALF_EVEN, context=_WIDE)


def _join(number: Decimal, unit: str) -> str:
    text = f"{number:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in ("-0", "0"):
        text = "0"
    text = text.replace("-", "−")
    return f"{text} {unit}" if unit else text


def _plus_minus(middle: Decimal, half: Decimal, unit: str) -> str:
    size, name = _prefix(max(abs(middle), half), unit)
    place = Decimal(1).scaleb((half / size).adjusted() - 1)
    width = (half / size).quantize(place, rounding=ROUND_CEILING, context=_WIDE)
    centre = (middle / size).quantize(place, rounding=ROUND_HALF_EVEN, context=_WIDE)
    return f"{_join(centre, '')} ± {_join(width, name)}"


def _from_to(bottom: Decimal, top: Decimal, unit: str) -> str:
    """Return a wide interval by its ends, each rounded outwards to two digits."""
    ends = []
    for end, rounding in ((bottom, ROUND_FLOOR), (top, ROUND_CEILING)):
        size, name = _prefix(end, unit)
        scaled = end / size
        place = Decimal(1).scaleb(scaled.adjusted() - 1) if scaled else Decimal(1)
        ends.append(_join(scaled.quantize(place, rounding=rounding, context=_WIDE), name))
    return f"{ends[0]} to {ends[1]}"
