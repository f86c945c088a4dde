"""What a shop profile changes in the facts, and how far it may go: bands for joints without one, limits, the surge."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from packcheck.facts.evidence import Adopted
from packcheck.files.document import Document
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.files.quantities import format_quantity
from packcheck.files.quantities.bands import band_of, unusual
from packcheck.model.pack.types import Bounds
from packcheck.rules.catalogue import Table
from packcheck.rules.findings import Severity
from packcheck.rules.profile import Profile, only_tightens, range_allowed
from packcheck.rules.rule import Rule

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


def check_limits(document: Document, profile: Profile, rules: Iterable[Rule], tables: Mapping[str, Table]) -> None:
    """Refuse a limit, a torque band or a surge limit further from the default than a shop may go.

    What forbids energizing, and what was published, is only ever tightened.

    Raises
    ------
    InputProblems : with every such number of the profile.
    """
    by_name = {rule.name: rule for rule in rules}
    problems = [
        problem
        for name, adopted in profile.limits.items()
        for limit, value in adopted.items()
        if (problem := _limit_problem(document, by_name[name], limit, value.value, tables))
    ]
    problems += [problem for end in _ends(profile) if (problem := _band_problem(document, *end))]
    if problems:
        raise InputProblems(problems)


_End = tuple[tuple[str, ...], Fraction, tuple[str, str], str]


def _ends(profile: Profile) -> Iterator[_End]:
    """Yield each number that has a band of what is usual: where it stands, itself, what it is, and its unit."""
    for thread, adopted in profile.torque_bands.items():
        for end in (adopted.band.low, adopted.band.high):
            if end is not None:
                yield ("torque bands", thread, "band"), end, ("joint types", "torque"), "N·m"
    if SURGE in profile.values:
        yield ("values", SURGE, "value"), profile.values[SURGE].value, ("surge", "at most"), "A"


def _band_problem(
    document: Document, path: tuple[str, ...], end: Fraction, of: tuple[str, str], unit: str
) -> Problem | None:
    band = band_of(*of)
    if band is None or not unusual(end, band):
        return None
    needed = f"from {format_quantity(band.usual_least, unit)} to {format_quantity(band.usual_most, unit)}"
    return document.problem(path, found=format_quantity(float(end), unit), needed=needed, do="correct the value")


def _limit_problem(
    document: Document, rule: Rule, name: str, value: Fraction, tables: Mapping[str, Table]
) -> Problem | None:
    limit = rule.limits[name]
    least, most = range_allowed(rule, limit, tables[rule.each])
    if (least is None or value >= least) and (most is None or value <= most):
        return None
    ends = [
        f"{word} {format_quantity(float(end), limit.unit)}"
        for word, end in (("at least", least), ("at most", most))
        if end is not None
    ]
    return document.problem(
        ("limits", rule.name, name, "value"),
        found=format_quantity(float(value), limit.unit),
        needed=" and ".join(ends),
        why=f"{rule.name} forbids energizing, and a shop only tightens it" if rule.severity is Severity.NEVER_ENERGIZE
        else "the number is published, and a shop only tightens it" if only_tightens(rule, limit)
        else "further off, the rule no longer says anything",
        do="take the limit out, or write a stricter one" if only_tightens(rule, limit) else "correct the value",
    )  # fmt: skip


def _bounds(low: Fraction | None, high: Fraction | None) -> Bounds:
    return Bounds(None if low is None else float(low), None if high is None else float(high))
