"""Instruments: from what was written down to the interval that the truth lies in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from typing import Any, NamedTuple

from packcheck.files.fields import Fields, as_float
from packcheck.files.origin import Origin
from packcheck.files.quantities import Dimension, QuantityProblem, parse_accuracy, parse_bounds, parse_number_with_unit
from packcheck.model.record.abilities import Ability, ability_of, plain_name
from packcheck.model.record.circumstances import Taken, read_time
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Instrument


def read_instruments(fields: Fields, table: Mapping[str, Any]) -> dict[str, Instrument]:
    """Return the instruments that a record describes, by name."""
    return {name: _instrument(fields, name, spec) for name, spec in table.items()}


def _instrument(fields: Fields, name: str, spec: Mapping[str, Any]) -> Instrument:
    path = ("instruments", name)
    low = high = None
    if "range" in spec and ("wrench" in spec.get("kind", "") or _is_band(spec["range"], Dimension.TORQUE)):
        band = fields.bounds((*path, "range"), spec["range"], Dimension.TORQUE)
        low, high = as_float(band.low), as_float(band.high)
    elif "range" in spec and not any(_is_band(spec["range"], dimension) for dimension in Dimension):
        fields.wrong((*path, "range"), found=f"'{spec['range']}'", needed="what it reads from and to, with units",
                     do="write it as 0 V to 600 V")  # fmt: skip
    input_ohm = fields.positive((*path, "input"), spec.get("input"), Dimension.RESISTANCE)
    due = read_time(fields, (*path, "due"), spec.get("due"), done=False)
    accuracy = spec.get("accuracy")
    if accuracy is not None and not _is_an_accuracy(str(accuracy)):
        needed = "an accuracy above zero: a percentage of the reading, an amount with its unit, or both"
        do = "write it as 0.5 % + 2 mV, or 6 %, or 2 mV"
        fields.wrong((*path, "accuracy"), found=f"'{accuracy}'", needed=needed, do=do)
    return Instrument(
        name=name,
        kind=spec.get("kind"),
        accuracy=None if accuracy is None else str(accuracy),
        low=low,
        high=high,
        due=due,
        due_text=spec.get("due"),
        cycles=spec.get("cycles"),
        range=str(spec.get("range", "")),
        input_ohm=input_ohm,
    )


class _Reads(NamedTuple):
    """How far an instrument's readings of one dimension may be off, and what it cannot have read.

    ``share`` is ``relative`` as a float; ``no_accuracy`` says that it states none for the dimension.
    """

    relative: Decimal
    absolute: Decimal
    share: float
    no_accuracy: str
    ability: Ability


class Measuring:
    """Turns what was written down into intervals, remembering which instrument was used when.

    An accuracy is taken as the half width of the interval: reading ± (share of reading + absolute).
    """

    def __init__(self, fields: Fields, instruments: Mapping[str, Instrument], people: Iterable[str] = ()) -> None:
        self.fields = fields
        self.instruments = instruments
        self.people = frozenset(plain_name(name) for name in people)
        self.uses: dict[str, set[datetime | None]] = {}
        self._reads: dict[tuple[str, Dimension], _Reads] = {}
        self._factor: dict[tuple[str, Dimension], Decimal | None] = {}
        self._fit: dict[tuple[str, datetime | None], str] = {}
        self._listed: dict[str, bool] = {}

    def entry(
        self, number: Decimal, instrument: str, taken: Taken, dimension: Dimension, origin: Origin, written: str = ""
    ) -> Entry:
        """Return the reading of a number that is already in the dimension's unit."""
        reads = self._reads.get((instrument, dimension)) or self._reads_of(instrument, dimension)
        half = abs(number) * reads.relative + reads.absolute
        because = (
            self._unfit(instrument, taken.at)
            or reads.ability.why_not(number)
            or self._unknown_person(taken.by)
            or reads.no_accuracy
        )
        return Entry(
            float(number - half), float(number + half), float(number), instrument, taken.at, taken.by, taken.state,
            not because, because, origin, reads.share, written,
        )  # fmt: skip

    def number(self, value: int | Decimal, unit: str, dimension: Dimension) -> Decimal:
        """Return a number written in some unit as one in the dimension's unit, exactly where that is a decimal."""
        key = (unit, dimension)
        if key not in self._factor:
            self._factor[key] = _as_decimal(parse_number_with_unit(1, unit, dimension))
        factor = self._factor[key]
        if factor is None:
            return _nearest(parse_number_with_unit(value, unit, dimension))
        return value * factor

    def _reads_of(self, instrument: str, dimension: Dimension) -> _Reads:
        """Return what an instrument makes of a dimension, and keep it."""
        known, accuracy = self.instruments.get(instrument), self._read_accuracy(instrument, dimension)
        lacking = f"instrument {instrument} states no accuracy for {dimension.words}"
        relative, absolute = accuracy or (Decimal(0), Decimal(0))
        ability = ability_of(known, dimension) if known else Ability("")
        reads = _Reads(relative, absolute, float(relative), "" if accuracy else lacking, ability)
        self._reads[instrument, dimension] = reads
        return reads

    def _read_accuracy(self, instrument: str, dimension: Dimension) -> tuple[Decimal, Decimal] | None:
        known = self.instruments.get(instrument)
        if known is None or known.accuracy is None:
            return None
        try:
            accuracy = parse_accuracy(known.accuracy, dimension)
        except QuantityProblem:
            return None  # it is the accuracy of something else, or has been refused
        return _nearest(accuracy.relative), _nearest(accuracy.absolute)

    def _unfit(self, instrument: str, at: datetime | None) -> str:
        key = (instrument, at)
        if key not in self._fit:
            if instrument:
                self.uses.setdefault(instrument, set()).add(at)
            self._fit[key] = self._why_unfit(instrument, at)
        return self._fit[key]

    def _unknown_person(self, by: str) -> str:
        """Return why a person vouches for nothing: nobody is named, or one who is not listed among the people."""
        if not by:
            return "nobody is named who took it"
        if by not in self._listed:
            self._listed[by] = plain_name(by) in self.people
        return "" if self._listed[by] else f"{by}, who took it, is not among the people listed"

    def _why_unfit(self, instrument: str, at: datetime | None) -> str:
        if not instrument:
            return "no instrument is named"
        known = self.instruments.get(instrument)
        if known is None:
            return f"instrument {instrument} is not described"
        if known.due is None:
            return f"instrument {instrument} has no calibration date"
        if at is None:
            return f"nobody recorded when {instrument} was used"
        if known.due.date() < at.date():
            return f"instrument {instrument} was out of calibration: due {known.due.date()}, used {at.date()}"
        return ""


FINEST_SHARE = Fraction(1, 1_000_000)
"""The best meters of calibration laboratories state some millionths of the reading; common practice."""


@lru_cache(maxsize=256)
def _is_an_accuracy(text: str) -> bool:
    """Return whether a text is the accuracy of some quantity, not always the one read, that a meter can have."""
    return any(_can_be_had(text, d) for d in Dimension if d not in (Dimension.COUNT, Dimension.RATIO))


def _can_be_had(text: str, dimension: Dimension) -> bool:
    try:
        accuracy = parse_accuracy(text, dimension)
    except QuantityProblem:
        return False
    return accuracy.absolute > 0 or accuracy.relative >= FINEST_SHARE


def _is_band(text: object, dimension: Dimension) -> bool:
    try:
        parse_bounds(text, dimension)
    except QuantityProblem:
        return False
    return True


def _as_decimal(value: Fraction) -> Decimal | None:
    """Return a fraction as an exact decimal of at most 40 digits, or None when it has none."""
    with localcontext() as context:
        context.prec = 40
        decimal = Decimal(value.numerator) / Decimal(value.denominator)
    return decimal if Fraction(decimal) == value else None


def _nearest(value: Fraction) -> Decimal:
    exact = _as_decimal(value)
    return exact if exact is not None else Decimal(value.numerator) / Decimal(value.denominator)
