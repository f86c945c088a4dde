"""What a fault is: where it can be, what it does to a build, what people see, which rules ought to find it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from packcheck.simulate.build import Build

Data = dict[str, Any]
Places = Callable[[Build], Sequence[str]]
Put = Callable[[Build, str, Random], Build]
Slip = Callable[[Data, str, Random], Data]

NEVER, FIX, ADVISE = "never energize", "fix before release", "advise"
"""How much a fault weighs."""
WHOLE = "whole pack"
"""The place of a fault that is everywhere."""
WRITTEN, BELIEVED, MEASURED = "written truly", "believed as drawn", "measured"
"""How a fault comes into a record: somebody saw and wrote it; nobody looked; it only shows in numbers."""
FAMILIES = ("polarity", "joints", "sense leads", "modules", "mechanics", "switches and fuses", "counts", "record")


@dataclass(frozen=True)
class Fault:
    """One fault of the trade.

    ``put`` changes the build, ``slip`` what was written of it; one that neither can express has ``unseen``: why no
    record can show it, and what would.  ``looked`` tells that a person could have seen it, so that it can also be
    believed as drawn.  ``rules`` ought to find it where it was written, ``believed`` where it was not, each of them
    alone; ``takes`` is the optional reading without which none does, ``blind`` why in one of its ways no rule can.
    """

    name: str
    family: str
    title: str
    looks: str
    weight: str
    difficulty: int
    places: Places = lambda _: ()
    put: Put | None = None
    slip: Slip | None = None
    looked: bool = True
    rules: tuple[str, ...] = ()
    believed: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    settles: str = ""
    takes: str = ""
    blind: str = ""
    unseen: str = ""

    @property
    def is_expressible(self) -> bool:
        """Return whether a record can be made of a build with it."""
        return self.put is not None or self.slip is not None

    @property
    def variants(self) -> tuple[str, ...]:
        """Return the ways in which it comes into a record."""
        if not self.is_expressible:
            return ()
        return (WRITTEN, BELIEVED) if self.put and self.looked else (MEASURED,)

    def expected(self, variant: str) -> tuple[str, ...]:
        """Return the rules each of which ought to find it in one of its variants."""
        return self.believed if variant == BELIEVED else self.rules


def parts_of(place: str) -> tuple[str, ...]:
    """Return the names that a place is made of: ``T03, T04`` are two."""
    return tuple(place.split(", "))
