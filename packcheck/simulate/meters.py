"""Instruments: what one shows of a true value, with its scale error, its noise and its last digit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from random import Random


class Figure(str):
    """A number or a quantity as it is to stand in a record, digits and all."""

    __slots__ = ()


@dataclass(frozen=True)
class Meter:
    """An instrument as its papers have it: ``share`` of the reading and ``floor`` make its accuracy.

    ``scale`` is the share by which this one is really off; ``digits`` are those behind the point that it shows, one
    less above ``fine_to`` and two less above ten times that.  ``floor`` and ``fine_to`` are in the unit it reads.
    """

    share: float
    floor: float
    scale: float
    digits: int
    fine_to: float = float("inf")

    def half_width(self, value: float) -> float:
        """Return the accuracy stated for a value, in its unit."""
        return self.share * abs(value) + self.floor

    def shows(self, true: float, random: Random) -> Figure:
        """Return what the instrument shows of a true value in its unit."""
        noise = max(-0.7, min(0.7, random.gauss(0.0, 0.3))) * self.floor
        seen = true * (1 + self.scale) + noise
        fewer = 0 if abs(seen) <= self.fine_to else 1 if abs(seen) <= 10 * self.fine_to else 2
        return shown(seen, max(0, self.digits - fewer))


def shown(value: float, digits: int) -> Figure:
    """Return a number with so many digits behind the point; zero has no sign."""
    text = f"{value:.{digits}f}"
    return Figure(text.lstrip("-") if not Decimal(text) else text)


def meter(random: Random, share: float, floor: float, digits: int, fine_to: float = float("inf")) -> Meter:
    """Return one instrument of a kind: it is off by up to six tenths of what its share allows."""
    return Meter(share, floor, random.uniform(-0.6, 0.6) * share, digits, fine_to)
