"""What a shop profile changes in the facts: torque bands for joints without one, the largest surge."""

from __future__ import annotations

from fractions import Fraction

from packcheck.document import Document
from packcheck.errors import InputProblems, nearest_name
from packcheck.facts.evidence import Adopted
from packcheck.pack.model import Bounds
from packcheck.rules.profile import Profile

SURGE = "surge limit"
VALUES = {SURGE: "A"}
"""The names a profile may adopt a value for, and the unit of each."""


def adopted_by(profile: Profile | None) -> Adopted:
    """Return the numbers of a profile that facts depend on."""
    if profile is None:
        return Adopted()
    bands = {thread: _bounds(adopted.band.low, adopted.band.high) for thread, adopted in profile.torque_bands.items()}
    surge = profile.values.get(SURGE)
    return Adopted(bands, surge.number if surge else None)


def check_values(document: Document, profile: Profile) -> None:
    """Refuse a value that nothing uses, or in another unit than it has.

    Raises
    ------
    InputProblems : with every such value of the profile.
    """
    problems = []
    for name, adopted in profile.values.items():
        if name not in VALUES:
            near = nearest_name(name, VALUES)
            problems.append(document.problem(
                ("values", name), key=True, found=f"a value for '{name}', which nothing uses",
                needed=f"one of: {', '.join(VALUES)}", do=f"did you mean '{near}'?" if near else "take it out",
            ))  # fmt: skip
        elif adopted.unit != VALUES[name]:
            problems.append(document.problem(
                ("values", name, "value"), found=f"a value in {adopted.unit or 'no unit'}",
                needed=f"a value in {VALUES[name]}", do=f"write the value in {VALUES[name]}",
            ))  # fmt: skip
    if problems:
        raise InputProblems(problems)


def _bounds(low: Fraction | None, high: Fraction | None) -> Bounds:
    return Bounds(None if low is None else float(low), None if high is None else float(high))
