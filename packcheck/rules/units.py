"""The units of a rule's condition: which numbers may be added and compared, and what a product is measured in.

A unit is held as powers of independent symbols.  Only the ties that the program's units really have are known:
Ω is V/A, W is V·A, Ah is A·h, Wh is V·A·h, MPa is N/mm².  Metres and millimetres
stay apart: nothing is converted in silence.
"""

from __future__ import annotations

from collections import Counter

Unit = tuple[tuple[str, int], ...]
"""Symbols with their powers, sorted; empty for a plain number."""

PLAIN: Unit = ()
CELSIUS: Unit = (("°C", 1),)
KELVIN: Unit = (("K", 1),)

_MADE_OF: dict[str, Unit] = {
    "Ω": (("A", -1), ("V", 1)),
    "W": (("A", 1), ("V", 1)),
    "Ah": (("A", 1), ("h", 1)),
    "Wh": (("A", 1), ("V", 1), ("h", 1)),
    "MPa": (("N", 1), ("mm", -2)),
}
_POWERS = {"²": 2, "³": 3}


def read_unit(symbol: str) -> Unit:
    """Return the unit that a printed symbol stands for.

    Examples
    --------
    >>> read_unit("N·m")
    (('N', 1), ('m', 1))
    >>> read_unit("Ω/V")
    (('A', -1),)
    """
    powers: Counter[str] = Counter()
    for position, part in enumerate(symbol.split("/")):
        for factor in part.split("·"):
            _count(factor, -1 if position else 1, powers)
    return _sorted(powers)


def multiply_units(left: Unit, right: Unit) -> Unit:
    """Return the unit of a product."""
    powers = Counter(dict(left))
    for symbol, power in right:
        powers[symbol] += power
    return _sorted(powers)


def divide_units(left: Unit, right: Unit) -> Unit:
    """Return the unit of a quotient."""
    return multiply_units(left, tuple((symbol, -power) for symbol, power in right))


def unit_in_words(unit: Unit) -> str:
    """Return a unit as a person writes it, or "no unit"."""
    if not unit:
        return "no unit"
    for symbol, powers in _MADE_OF.items():
        if powers == unit:
            return symbol
    above = "·".join(_power(symbol, power) for symbol, power in unit if power > 0)
    below = "".join("/" + _power(symbol, -power) for symbol, power in unit if power < 0)
    return (above or "1") + below


def _count(factor: str, sign: int, powers: Counter[str]) -> None:
    power = _POWERS.get(factor[-1:], 1)
    name = factor[:-1] if power > 1 else factor
    for symbol, exponent in _MADE_OF.get(name, ((name, 1),)):
        if symbol not in ("", "1"):
            powers[symbol] += sign * power * exponent


def _sorted(powers: Counter[str]) -> Unit:
    return tuple(sorted((symbol, power) for symbol, power in powers.items() if power))


def _power(symbol: str, power: int) -> str:
    return symbol + {1: "", 2: "²", 3: "³"}.get(power, f"^{power}")
