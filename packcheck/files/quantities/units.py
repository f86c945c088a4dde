"""Every unit that people may write, in every spelling that is accepted: one closed table.

Factors are exact.  Sources: The International System of Units (BIPM, 9th edition, 2019) for SI units and prefixes;
NIST Special Publication 811 (2008), Appendix B, for the others (inch 25.4 mm, pound 0.453 592 37 kg, standard
gravity 9.806 65 m/s²; all exact by definition).
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from enum import Enum
from fractions import Fraction
from types import MappingProxyType


class Dimension(Enum):
    """What a quantity is a quantity of; ``unit`` is the one unit the program works in, ``words`` names it."""

    VOLTAGE = ("V", "a voltage")
    RESISTANCE = ("Ω", "a resistance")
    TORQUE = ("N·m", "a torque")
    LENGTH = ("mm", "a length")
    CURRENT = ("A", "a current")
    CAPACITY = ("Ah", "a capacity")
    MASS = ("g", "a mass")
    TIME = ("h", "a time")
    TEMPERATURE = ("°C", "a temperature")
    TEMPERATURE_DIFFERENCE = ("K", "a temperature difference")
    FORCE = ("N", "a force")
    STRESS = ("MPa", "a stress")
    PRESSURE = ("kPa", "a pressure")
    POWER = ("W", "a power")
    ENERGY = ("Wh", "an energy")
    CAPACITANCE = ("µF", "a capacitance")
    AREA = ("mm²", "an area")
    ANGLE = ("°", "an angle")
    RATIO = ("%", "a percentage")
    RESISTANCE_PER_VOLT = ("Ω/V", "a resistance per volt")
    DENSITY = ("g/cm³", "a density")
    CONDUCTANCE = ("S", "a conductance")
    COUNT = ("", "a number without a unit")

    def __init__(self, unit: str, words: str) -> None:
        self.unit = unit
        self.words = words

    __hash__ = object.__hash__
    """Members are single: their identity is quicker than the hash of a name, and they are keys of every reading."""


_INCH_MM = Fraction("25.4")
_POUND_G = Fraction("453.59237")
_GRAVITY = Fraction("9.80665")  # standard gravity [m/s²]; also newtons in a kilogram-force
_POUND_FORCE_N = _POUND_G / 1000 * _GRAVITY
_LBF_IN_N_M = _POUND_FORCE_N * _INCH_MM / 1000
_PSI_MPA = _POUND_FORCE_N / _INCH_MM**2


def _orders(force: str, arm: str) -> tuple[str, ...]:
    """Return the spellings of a pound or ounce torque: ``lbf·in``, ``in-lb``, ...; the first is the one we print."""
    names = [force, force.removesuffix("f")]
    pairs = [(first, last) for name in names for first, last in ((name, arm), (arm, name))]
    return tuple(first + sign + last for first, last in pairs for sign in "·.*-")


def _products(force: str, arm: str) -> tuple[str, ...]:
    """Return the spellings of a metric torque: ``N·m``, ``N.m``, ``N*m``, ``N m``, ``N-m``, ``Nm``."""
    return tuple(force + sign + arm for sign in ("·", ".", "*", " ", "-", ""))


def _ohms(prefixes: str, per: str = "") -> tuple[str, ...]:
    """Return the spellings of an ohm with a prefix that has one or two spellings."""
    return tuple(prefix + name + per for prefix in prefixes or ("",) for name in ("Ω", "ohm"))


_Rows = tuple[tuple[Fraction, tuple[str, ...]], ...]


def _rows(**factor_by_spelling: str) -> _Rows:
    """Return table rows for units of one spelling each, written ``V="1"``."""
    return tuple((Fraction(factor), (spelling,)) for spelling, factor in factor_by_spelling.items())


_TABLE: dict[Dimension, _Rows] = {
    Dimension.VOLTAGE: (*_rows(V="1", mV="1/1000", kV="1000"), (Fraction(1, 10**6), ("µV", "uV"))),
    Dimension.RESISTANCE: (
        (Fraction(1), _ohms("")),
        (Fraction(1, 1000), _ohms("m")),
        (Fraction(1, 10**6), _ohms("µu")),
        (Fraction(1000), _ohms("k")),
        (Fraction(10**6), _ohms("M")),
        (Fraction(10**9), _ohms("G")),
    ),
    Dimension.TORQUE: (
        (Fraction(1), _products("N", "m")),
        (Fraction(1, 100), _products("cN", "m")),
        (Fraction(1, 1000), _products("mN", "m")),
        (_GRAVITY, _products("kgf", "m")),
        (_GRAVITY / 100, _products("kgf", "cm")),
        (_LBF_IN_N_M, _orders("lbf", "in")),
        (_LBF_IN_N_M * 12, _orders("lbf", "ft")),
        (_LBF_IN_N_M / 16, _orders("ozf", "in")),
    ),
    Dimension.LENGTH: (*_rows(mm="1", cm="10", m="1000"), (_INCH_MM, ("in",)), (Fraction(1, 1000), ("µm", "um"))),
    Dimension.CURRENT: (*_rows(A="1", mA="1/1000", kA="1000"), (Fraction(1, 10**6), ("µA", "uA"))),
    Dimension.CAPACITY: _rows(Ah="1", mAh="1/1000"),
    Dimension.MASS: (*_rows(g="1", kg="1000", mg="1/1000"), (_POUND_G, ("lb",))),
    Dimension.TIME: _rows(h="1", min="1/60", s="1/3600", ms="1/3600000", d="24"),
    Dimension.TEMPERATURE: ((Fraction(1), ("°C", "degC")),),
    Dimension.TEMPERATURE_DIFFERENCE: ((Fraction(1), ("K", "°C", "degC")),),
    Dimension.FORCE: (*_rows(N="1", kN="1000"), (_POUND_FORCE_N, ("lbf",)), (_GRAVITY, ("kgf",))),
    Dimension.STRESS: (
        *_rows(MPa="1", kPa="1/1000", GPa="1000"),
        (Fraction(1), ("N/mm²", "N/mm2", "N/mm^2")),
        (_PSI_MPA, ("psi",)),
        (_PSI_MPA * 1000, ("ksi",)),
    ),
    Dimension.PRESSURE: (*_rows(kPa="1", Pa="1/1000", MPa="1000", bar="100", mbar="1/10"), (_PSI_MPA * 1000, ("psi",))),
    Dimension.POWER: _rows(W="1", mW="1/1000", kW="1000"),
    Dimension.ENERGY: _rows(Wh="1", kWh="1000", J="1/3600", kJ="5/18"),
    Dimension.CAPACITANCE: ((Fraction(1), ("µF", "uF")), *_rows(nF="1/1000", pF="1/1000000", mF="1000", F="1000000")),
    Dimension.AREA: ((Fraction(1), ("mm²", "mm2", "mm^2")), (Fraction(100), ("cm²", "cm2", "cm^2"))),
    Dimension.ANGLE: ((Fraction(1), ("°", "deg")),),
    Dimension.RATIO: ((Fraction(1), ("%",)),),
    Dimension.RESISTANCE_PER_VOLT: (
        (Fraction(1), _ohms("", "/V")),
        (Fraction(1000), _ohms("k", "/V")),
        (Fraction(10**6), _ohms("M", "/V")),
    ),
    Dimension.DENSITY: (
        (Fraction(1), ("g/cm³", "g/cm3", "g/cm^3", "kg/L", "kg/l", "g/mL", "g/ml")),
        (Fraction(1, 1000), ("kg/m³", "kg/m3", "kg/m^3")),
    ),
    Dimension.CONDUCTANCE: _rows(S="1", mS="1/1000", kS="1000"),
    Dimension.COUNT: ((Fraction(1), ("",)),),
}

FACTORS: MappingProxyType[Dimension, MappingProxyType[str, Fraction]] = MappingProxyType(
    {
        dimension: MappingProxyType({spelling: factor for factor, spellings in rows for spelling in spellings})
        for dimension, rows in _TABLE.items()
    }
)
"""How many of the dimension's own unit one of each spelling is."""

_WORDS = MappingProxyType(
    {
        "volt": "V", "volts": "V", "millivolt": "mV", "millivolts": "mV", "amp": "A", "amps": "A", "ampere": "A",
        "amperes": "A", "ohms": "ohm", "milliohm": "mohm", "milliohms": "mohm", "megohm": "Mohm", "megohms": "Mohm",
        "microohm": "uohm", "microohms": "uohm", "newtonmeter": "N·m", "newton-metres": "N·m", "inch": "in",
        "inches": "in", '"': "in", "hour": "h", "hours": "h", "hr": "h", "hrs": "h", "minute": "min", "minutes": "min",
        "sec": "s", "second": "s", "seconds": "s", "day": "d", "days": "d", "percent": "%", "c": "°C", "celsius": "°C",
        "gram": "g", "grams": "g", "in-lbs": "in-lb", "inlb": "in-lb", "inlbs": "in-lb",
        "in lb": "in-lb", "in lbs": "in-lb",
        "ft-lbs": "ft-lb", "ftlb": "ft-lb", "ft lb": "ft-lb", "ft lbs": "ft-lb", "vdc": "V", "mvdc": "mV",
        "degree": "°", "degrees": "°", "watt": "W", "watts": "W", "newton": "N", "newtons": "N",
    }
)  # fmt: skip
"""Common words that are not accepted, and what to write for them."""

_SAME_SIGN = str.maketrans(
    {
        "\u2126": "Ω", "\u03bc": "µ", "\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2007": " ",
        "\u22c5": "·", "\u2219": "·", "\u2103": "°C", "\u00ba": "°",
    }
)  # fmt: skip


_NUMBER_SIGNS = "+-.0123456789 "


def plain_signs(text: str) -> str:
    """Return the text with look-alike signs made one: both Ω, both µ, the minus sign, middle dots, no-break spaces."""
    return text if text.isascii() else text.translate(_SAME_SIGN)


def dimensions_of(spelling: str) -> Iterator[Dimension]:
    """Yield every dimension that has a unit of this spelling."""
    return (dimension for dimension, factors in FACTORS.items() if spelling and spelling in factors)


def is_in_another_unit(written: str, unit: str) -> bool:
    """Return whether a number was written in a unit that is no power of ten of the program's own.

    Examples
    --------
    >>> is_in_another_unit("40 lbf·in", "N·m"), is_in_another_unit("45 cN·m", "N·m"), is_in_another_unit("4.5", "N·m")
    (True, False, False)
    """
    spelling = plain_signs(written).lstrip(_NUMBER_SIGNS)
    factors = (FACTORS[dimension].get(spelling) for dimension in Dimension if dimension.unit == unit)
    return any(factor is not None and not _is_power_of_ten(factor) for factor in factors)


def _is_power_of_ten(factor: Fraction) -> bool:
    ten = str(max(factor.numerator, factor.denominator))
    return min(factor.numerator, factor.denominator) == 1 and ten.rstrip("0") == "1"


def near_spellings(spelling: str, dimension: Dimension) -> tuple[str, ...]:
    """Return the accepted spellings of the dimension that look like this one, nearest first.

    More than one is returned only where letter case alone cannot tell them apart (``mohm`` and ``Mohm``).
    """
    known = FACTORS[dimension]
    same_letters = tuple(name for name in known if name.casefold() == spelling.casefold())
    if same_letters:
        return same_letters
    word = _WORDS.get(spelling.casefold())
    if word is not None and word in known:
        return (word,)
    return tuple(get_close_matches(spelling, [name for name in known if name], n=1, cutoff=0.5))


def size_in_words(spelling: str, dimension: Dimension) -> str:
    """Return how much one of these is, as ``0.001 Ω`` or ``1000000 Ω``, for telling two spellings apart."""
    factor = FACTORS[dimension][spelling]
    number = str(factor.numerator) if factor.denominator == 1 else f"{float(factor):.12f}".rstrip("0")
    return f"{number} {dimension.unit}"
