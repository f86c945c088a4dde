"""What an instrument can prove: only quantities that its kind reads, inside its range."""

from __future__ import annotations

from functools import lru_cache

from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds
from packcheck.files.quantities.showing import format_quantity
from packcheck.model.record.model import Instrument

_ELECTRIC = frozenset({Dimension.VOLTAGE, Dimension.CURRENT, Dimension.RESISTANCE})
_KINDS: tuple[tuple[tuple[str, ...], frozenset[Dimension]], ...] = (
    (("battery", "cycler", "charger"), _ELECTRIC | {Dimension.CAPACITY}),
    (("multimeter", "clamp meter"), _ELECTRIC),
    (("insulation",), frozenset({Dimension.VOLTAGE, Dimension.RESISTANCE})),
    (("ohmmeter", "ohm meter"), frozenset({Dimension.RESISTANCE})),
    (("voltmeter", "volt meter"), frozenset({Dimension.VOLTAGE})),
    (("wrench", "torque", "screwdriver", "nut runner"), frozenset({Dimension.TORQUE})),
    (("tape", "caliper", "calliper", "ruler", "steel rule", "length"), frozenset({Dimension.LENGTH})),
    (("scales", "balance"), frozenset({Dimension.MASS})),
    (("thermometer", "thermocouple"), frozenset({Dimension.TEMPERATURE})),
)
"""Words in an instrument's kind, and what an instrument so called reads; common practice.  Other kinds may read all."""


def why_it_cannot(instrument: Instrument, dimension: Dimension, number: float) -> str:
    """Return why an instrument cannot have read a number [the dimension's unit]; "" where nothing speaks against it.

    The range of a torque tool is judged by rules of its own: it is fit for a part of it only.
    """
    reads = _reads(instrument.kind or "")
    if reads is not None and dimension not in reads:
        return f"instrument {instrument.name}, a {instrument.kind}, does not read {dimension.words}"
    if dimension is Dimension.TORQUE or not instrument.range:
        return ""
    return _outside(instrument, dimension, number)


@lru_cache(maxsize=256)
def _reads(kind: str) -> frozenset[Dimension] | None:
    """Return what an instrument of some kind reads; None where nothing is known of it."""
    plain = kind.casefold()
    return next((known for words, known in _KINDS if any(word in plain for word in words)), None)


def _outside(instrument: Instrument, dimension: Dimension, number: float) -> str:
    try:
        span = parse_bounds(instrument.range, dimension)
    except QuantityProblem:
        return ""  # the range of something else that it reads
    high = span.high if span.high is not None else span.aim
    if high is None or abs(number) <= high:
        return ""
    shown = format_quantity(float(high), dimension.unit)
    return f"the range of instrument {instrument.name} ends at {shown}"


def plain_name(name: str) -> str:
    """Return a person's name or initials without case and blanks, in which two spellings of it are one."""
    return "".join(name.split()).casefold()
