"""What an instrument can prove: only quantities that its kind reads, inside its range."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds
from packcheck.files.quantities.showing import format_quantity
from packcheck.model.record.model import Instrument

_ELECTRIC = frozenset({Dimension.VOLTAGE, Dimension.CURRENT, Dimension.RESISTANCE})
_KINDS: tuple[tuple[tuple[str, ...], frozenset[Dimension]], ...] = (
    (("battery", "cycler", "charger"), _ELECTRIC | {Dimension.CAPACITY}),
    (("multimeter", "clamp meter"), _ELECTRIC),
    (("insulation",), frozenset({Dimension.VOLTAGE, Dimension.RESISTANCE})),
    (("ohmmeter", "ohm meter", "decade"), frozenset({Dimension.RESISTANCE})),
    (("voltmeter", "volt meter"), frozenset({Dimension.VOLTAGE})),
    (("wrench", "torque", "screwdriver", "nut runner"), frozenset({Dimension.TORQUE})),
    (("tape", "caliper", "calliper", "ruler", "steel rule", "length"), frozenset({Dimension.LENGTH})),
    (("scales", "balance"), frozenset({Dimension.MASS})),
    (("thermometer", "thermocouple"), frozenset({Dimension.TEMPERATURE, Dimension.TEMPERATURE_DIFFERENCE})),
    (("hydrometer", "refractometer"), frozenset({Dimension.DENSITY})),
    (("hygrometer",), frozenset({Dimension.RATIO})),
)
"""Words in an instrument's kind, and what an instrument so called reads; common practice.  Other kinds may read all."""
_OTHERS = ("meter", "tester", "gauge", "probe", "sensor", "logger", "camera", "scope", "clock", "timer", "watch",
           "monitor", "bridge", "analyser", "analyzer", "indicator", "tool")  # fmt: skip
"""Words that an instrument is known by although nothing here says what it reads; common practice."""


_PART_OF = {"ohmmeter": ("multimeter", "clampmeter"), "voltmeter": ("multimeter", "clampmeter"),
            "ammeter": ("multimeter", "clampmeter"), "caliper": ("calliper",)}  # fmt: skip
"""Instruments that others have in them, or that are spelled otherwise, without case, blanks and hyphens."""


class Ability(NamedTuple):
    """Why an instrument reads nothing of a dimension ("" where it does), and the end of its range [its unit]."""

    none_because: str
    highest: Decimal | None = None
    past_because: str = ""

    def why_not(self, number: Decimal) -> str:
        """Return why the instrument cannot have read a number; "" where nothing speaks against it."""
        if self.highest is None or abs(number) <= self.highest:
            return self.none_because
        return self.past_because


def ability_of(instrument: Instrument, dimension: Dimension) -> Ability:
    """Return what an instrument can have read of a dimension.

    The range of a torque tool is judged by rules of its own: it is fit for a part of it only.
    """
    reads = _reads(instrument.kind or "")
    if reads is not None and dimension not in reads:
        return Ability(f"instrument {instrument.name}, a {instrument.kind}, does not read {dimension.words}")
    if dimension is Dimension.TORQUE or not instrument.range:
        return Ability("")
    return _up_to_range(instrument, dimension)


@lru_cache(maxsize=256)
def is_of_kind(used: str, asked: str) -> bool:
    """Return whether an instrument of one kind is one of another: a micro-ohmmeter is an ohmmeter, not vice versa.

    >>> is_of_kind("Micro ohmmeter, four leads", "micro-ohmmeter"), is_of_kind("multimeter", "micro-ohmmeter")
    (True, False)
    """
    plain, wanted = _letters(used), _letters(asked)
    return any(word in plain for word in (wanted, *_PART_OF.get(wanted, ())))


def _letters(kind: str) -> str:
    return "".join(letter for letter in kind.casefold() if letter.isalnum())


def is_known_kind(kind: str) -> bool:
    """Return whether some word in a kind tells that it is one of an instrument.

    >>> is_known_kind("load tester"), is_known_kind("resistor decade"), is_known_kind("micro-omh")
    (True, True, False)
    """
    return _reads(kind) is not None or any(word in kind.casefold() for word in _OTHERS)


@lru_cache(maxsize=256)
def _reads(kind: str) -> frozenset[Dimension] | None:
    """Return what an instrument of some kind reads; None where nothing is known of it."""
    plain = kind.casefold()
    return next((known for words, known in _KINDS if any(word in plain for word in words)), None)


def _up_to_range(instrument: Instrument, dimension: Dimension) -> Ability:
    try:
        span = parse_bounds(instrument.range, dimension)
    except QuantityProblem:
        return Ability("")  # the range of something else that it reads
    high = span.high if span.high is not None else span.aim
    if high is None:
        return Ability("")
    highest = Decimal(high.numerator) / Decimal(high.denominator)
    shown = format_quantity(float(high), dimension.unit)
    return Ability("", highest, f"the range of instrument {instrument.name} ends at {shown}")


def plain_name(name: str) -> str:
    """Return a person's name or initials without case, blanks and points, in which two spellings of it are one.

    >>> plain_name("M. K."), plain_name("mk")
    ('mk', 'mk')
    """
    return "".join(letter for letter in name if letter.isalnum()).casefold() or "".join(name.split())
