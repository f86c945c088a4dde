"""Unit conversions against two outside sources.

1. A. Thompson and B. N. Taylor, "Guide for the Use of the International System of Units (SI)", NIST Special Publication
   811, 2008 edition, Appendix B.8 (factors listed alphabetically), at nist.gov.  Factors that
   the Guide prints in bold are exact; the others are rounded to seven digits.
2. pint, an independent units library (pint.readthedocs.io), for every spelling in the table.
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from packcheck.files.quantities import FACTORS, Dimension, parse_quantity

D = Dimension

EXACT = [
    pytest.param("1 in", D.LENGTH, "25.4", id="inch to mm: 2.54 E-02 m, exact"),
    pytest.param("1 kgf", D.FORCE, "9.80665", id="kilogram-force to N: 9.806 65, exact"),
    pytest.param("1 kgf·m", D.TORQUE, "9.80665", id="kilogram-force meter to N·m: 9.806 65, exact"),
    pytest.param("1 kgf·cm", D.TORQUE, "0.0980665", id="a hundredth of kgf·m"),
    pytest.param("1 lb", D.MASS, "453.59237", id="pound (avoirdupois): 4.535 923 7 E-01 kg, exact"),
    pytest.param("1 lbf", D.FORCE, "4.4482216152605", id="pound-force: footnote 26, exact"),
    pytest.param("1 h", D.TIME, "1", id="hour: 3600 s, exact"),
    pytest.param("3600 s", D.TIME, "1", id="hour: 3600 s, exact, the other way"),
    pytest.param("1 d", D.TIME, "24", id="day: 86 400 s, exact"),
    pytest.param("60 min", D.TIME, "1", id="minute: 60 s, exact"),
    pytest.param("1 Wh", D.ENERGY, "1", id="watt hour: 3.6 E+03 J, exact"),
    pytest.param("3600 J", D.ENERGY, "1", id="watt hour: 3.6 E+03 J, exact, the other way"),
    pytest.param("1 bar", D.PRESSURE, "100", id="bar: 1.0 E+05 Pa, exact"),
    pytest.param("1 mbar", D.PRESSURE, "0.1", id="millibar: 1.0 E+02 Pa, exact"),
]

ROUNDED = [
    pytest.param("1 lbf·in", D.TORQUE, "0.1129848", id="pound-force inch: 1.129 848 E-01"),
    pytest.param("1 lbf·ft", D.TORQUE, "1.355818", id="pound-force foot: 1.355 818 E+00"),
    pytest.param("1 lbf", D.FORCE, "4.448222", id="pound-force: 4.448 222 E+00"),
]


@pytest.mark.parametrize(("text", "dimension", "printed"), EXACT)
def test_appendix_b_exact_factors(text: str, dimension: Dimension, printed: str) -> None:
    assert parse_quantity(text, dimension) == Fraction(printed)


@pytest.mark.parametrize(("text", "dimension", "printed"), ROUNDED)
def test_appendix_b_rounded_factors_to_their_last_digit(text: str, dimension: Dimension, printed: str) -> None:
    last_place = Fraction(1, 10 ** len(printed.partition(".")[2]))
    assert abs(parse_quantity(text, dimension) - Fraction(printed)) <= last_place / 2


def test_twelve_inches_make_a_foot() -> None:
    assert parse_quantity("12 in-lb", D.TORQUE) == parse_quantity("1 ft-lb", D.TORQUE)


# What each spelling is in pint.  Traps: pint reads ``Nm`` as a textile unit, ``mil`` as an angle, ``lb*in`` as mass
# times length and ``C`` as coulomb, so nothing is left to its own reading of our spelling.
_OHM = {"": "ohm", "m": "milliohm", "µ": "microohm", "u": "microohm", "k": "kiloohm", "M": "megaohm", "G": "gigaohm"}
_PINT: dict[Dimension, dict[str, str]] = {
    D.VOLTAGE: {"V": "volt", "mV": "millivolt", "kV": "kilovolt", "µV": "microvolt", "uV": "microvolt"},
    D.RESISTANCE: {p + name: unit for p, unit in _OHM.items() for name in ("Ω", "ohm")},
    D.LENGTH: {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "µm": "micron", "um": "micron"},
    D.CURRENT: {"A": "ampere", "mA": "milliampere", "kA": "kiloampere", "µA": "microampere", "uA": "microampere"},
    D.CAPACITY: {"Ah": "ampere*hour", "mAh": "milliampere*hour"},
    D.DENSITY: {
        **dict.fromkeys(("g/cm³", "g/cm3", "g/cm^3"), "gram/centimeter**3"),
        **dict.fromkeys(("kg/L", "kg/l"), "kilogram/liter"), **dict.fromkeys(("g/mL", "g/ml"), "gram/milliliter"),
        **dict.fromkeys(("kg/m³", "kg/m3", "kg/m^3"), "kilogram/meter**3"),
    },
    D.CONDUCTANCE: {"S": "siemens", "mS": "millisiemens", "kS": "kilosiemens"},
    D.MASS: {"g": "gram", "kg": "kilogram", "mg": "milligram", "lb": "pound"},
    D.TIME: {"h": "hour", "min": "minute", "s": "second", "ms": "millisecond", "d": "day"},
    D.TEMPERATURE: {"°C": "kelvin", "degC": "kelvin"},  # as steps: packcheck has one temperature scale
    D.TEMPERATURE_DIFFERENCE: {"K": "kelvin", "°C": "delta_degC", "degC": "delta_degC"},
    D.FORCE: {"N": "newton", "kN": "kilonewton", "lbf": "force_pound", "kgf": "force_kilogram"},
    D.STRESS: {
        "MPa": "megapascal", "kPa": "kilopascal", "GPa": "gigapascal", "psi": "psi", "ksi": "ksi",
        **dict.fromkeys(("N/mm²", "N/mm2", "N/mm^2"), "newton/millimeter**2"),
    },
    D.PRESSURE: {
        "kPa": "kilopascal", "Pa": "pascal", "MPa": "megapascal", "bar": "bar", "mbar": "millibar", "psi": "psi",
    },
    D.POWER: {"W": "watt", "mW": "milliwatt", "kW": "kilowatt"},
    D.ENERGY: {"Wh": "watt*hour", "kWh": "kilowatt*hour", "J": "joule", "kJ": "kilojoule"},
    D.CAPACITANCE: {
        "µF": "microfarad", "uF": "microfarad", "nF": "nanofarad", "pF": "picofarad", "mF": "millifarad", "F": "farad",
    },
    D.AREA: {
        **dict.fromkeys(("mm²", "mm2", "mm^2"), "millimeter**2"),
        **dict.fromkeys(("cm²", "cm2", "cm^2"), "centimeter**2"),
    },
    D.ANGLE: {"°": "degree", "deg": "degree"},
    D.RATIO: {"%": "percent"},
    D.RESISTANCE_PER_VOLT: {
        p + name + "/V": unit + "/volt" for p, unit in _OHM.items() if p in ("", "k", "M") for name in ("Ω", "ohm")
    },
    D.COUNT: {"": "dimensionless"},
}  # fmt: skip
_TORQUES = {
    ("N", "m"): "newton*meter", ("cN", "m"): "centinewton*meter", ("mN", "m"): "millinewton*meter",
    ("kgf", "m"): "force_kilogram*meter", ("kgf", "cm"): "force_kilogram*centimeter",
}  # fmt: skip
_PINT[D.TORQUE] = {a + sign + b: unit for (a, b), unit in _TORQUES.items() for sign in ("·", ".", "*", " ", "-", "")}
for _force, _pint_force in (("lb", "force_pound"), ("oz", "force_ounce")):
    for _arm, _pint_arm in (("in", "inch"), ("ft", "foot")):
        if (_force, _arm) != ("oz", "ft"):
            for _name in (_force, _force + "f"):
                for _sign in "·.*-":
                    _PINT[D.TORQUE][_name + _sign + _arm] = f"{_pint_force}*{_pint_arm}"
                    _PINT[D.TORQUE][_arm + _sign + _name] = f"{_pint_force}*{_pint_arm}"


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.parametrize("dimension", list(Dimension), ids=lambda d: d.name)
def test_every_spelling_agrees_with_pint(dimension: Dimension, registry: pint.UnitRegistry) -> None:
    assert set(_PINT[dimension]) == set(FACTORS[dimension]), "a spelling of one table lacks in the other"
    own = registry(_PINT[dimension][dimension.unit]).units
    for spelling, unit in _PINT[dimension].items():
        expected = registry.Quantity(1.0, unit).to(own).magnitude
        assert float(FACTORS[dimension][spelling]) == pytest.approx(expected, rel=1e-12), spelling
