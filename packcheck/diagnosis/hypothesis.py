"""One thing that may be otherwise than recorded: in the network, in a module, in the sense wires, or on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from packcheck.network.graph import BODY_OHM, JOINT_OHM
from packcheck.network.updates import Put

BRIDGE_OHM = 2 * JOINT_OHM + BODY_OHM
"""Resistance of a bar from post to post [ohm]."""
Test = tuple[str, str]
"""Something to find out other than a voltage: what is done, and to which part."""


class Slip(NamedTuple):
    """A number written down otherwise than read: ``factor`` times the voltage of the reading ``of``, and more [V]."""

    factor: float
    of: str = ""
    more_v: float = 0.0


class Free(NamedTuple):
    """A size that no rule of thumb gives, found from the readings: of what, at which part, and its bounds.

    ``what`` is "emf" [V more], "ohm" [ohm more], "tap" [V against its place] or "scale" [1].
    """

    what: str
    part: str
    low: float
    high: float


@dataclass(frozen=True)
class Hypothesis:
    """Something that may be otherwise than recorded; ``says`` in a sentence without blame.

    ``cost`` is how far-fetched it is beside others that fit as well (a natural logarithm of odds, common practice, no
    source).  ``emf_by`` is what each module drives more along its recorded direction [V]; ``out`` names edges that are
    not there, ``put`` branches that are, ``welded`` devices that conduct in every state.  ``taps`` gives the node that
    a tap really sits on, "" for one that is open; ``slips`` are by reading, ``meters`` the factor of each instrument.
    ``traits`` is what other tests would find; tests not among them would find what is usual.
    """

    kind: str
    parts: tuple[str, ...]
    says: str
    cost: float
    emf_by: Mapping[str, float] = field(default_factory=dict)
    out: tuple[str, ...] = ()
    put: tuple[Put, ...] = ()
    welded: tuple[str, ...] = ()
    taps: Mapping[str, str] = field(default_factory=dict)
    slips: Mapping[str, Slip] = field(default_factory=dict)
    meters: Mapping[str, float] = field(default_factory=dict)
    free: Free | None = None
    traits: Mapping[Test, str] = field(default_factory=dict)

    @property
    def is_structural(self) -> bool:
        """Return whether it joins or parts anything, so that the network has to be updated."""
        return bool(self.out or self.put or self.welded)

    @property
    def on_paper(self) -> bool:
        """Return whether the pack is as recorded, and only what was written or how it was read is otherwise."""
        return not (self.emf_by or self.is_structural or (self.free and self.free.what in ("emf", "ohm")))

    @property
    def count(self) -> int:
        """Return how many things are otherwise: 0 for none, 2 for a pair."""
        return 0 if self.kind == NONE else 2 if self.kind == PAIR else 1


NONE = "nothing otherwise than recorded"
PAIR = "two things at once"
NOTHING = Hypothesis(NONE, (), "nothing is otherwise than recorded", 0.0)
PAIR_COST = 3.0
"""How far-fetched it is that two things are otherwise at once, beyond each by itself; common practice, no source."""


def pair_of(one: Hypothesis, other: Hypothesis) -> Hypothesis | None:
    """Return both at once; None where they are about the same part or leave two sizes free."""
    same = set(one.parts) & set(other.parts) or set(one.slips) & set(other.slips) or set(one.taps) & set(other.taps)
    if same or (one.free and other.free) or (one.meters and other.meters):
        return None
    return Hypothesis(
        PAIR, (*one.parts, *other.parts), f"{one.says}, and {other.says}", one.cost + other.cost + PAIR_COST,
        {**one.emf_by, **other.emf_by}, one.out + other.out, one.put + other.put, one.welded + other.welded,
        {**one.taps, **other.taps}, {**one.slips, **other.slips}, {**one.meters, **other.meters},
        one.free or other.free, {**one.traits, **other.traits},
    )  # fmt: skip
