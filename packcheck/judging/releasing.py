"""What a release sheet holds: the answer at gate release, and in plain words all that stands open beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from packcheck.files.problems import WrongUsage
from packcheck.files.quantities import format_quantity
from packcheck.judging.check import check_opened
from packcheck.judging.report import Report, Stated
from packcheck.judging.unrecorded import unrecorded
from packcheck.model.opening import Opened
from packcheck.model.pack.unstated import unstated
from packcheck.model.record.model import Record
from packcheck.rules.findings import Gate, Verdict
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

SIGNATORIES = 2
"""How many people sign a release."""


@dataclass(frozen=True)
class PlainLimit:
    """A default limit: its value with its unit, what it is for in a sentence, its name, and the rules that use it."""

    value: str
    why: str
    name: str
    rules: tuple[str, ...]


@dataclass(frozen=True)
class Release:
    """What goes onto a release sheet; ``unrecorded``, ``unstated`` and ``idle`` are what the verdict does not cover.

    ``idle`` are the rules that had nothing to apply to, with what each asks for; ``people`` those of the record.
    """

    report: Report
    unrecorded: tuple[Stated, ...]
    unstated: tuple[str, ...]
    limits: tuple[PlainLimit, ...]
    idle: tuple[tuple[str, str], ...]
    people: tuple[tuple[str, str], ...]

    @property
    def may_be_made(self) -> bool:
        """Return whether a sheet may be made: no rule is broken, undecided or unproven at gate release."""
        return self.report.judgement.verdict is Verdict.NO_RULE_BROKEN


def release_of(opened: Opened, rules: Sequence[Rule], profile: Profile | None) -> Release:
    """Return what a release sheet of a record holds.

    Raises
    ------
    WrongUsage : the file is a layout.
    """
    if opened.record is None:
        raise WrongUsage(f"{opened.file} is a layout; name the record of a build of it")
    report = check_opened(opened, rules, Gate.RELEASE, profile)
    titles = {rule.name: rule.title for rule in rules}
    return Release(
        report=report,
        unrecorded=unrecorded(opened.pack, opened.record),
        unstated=unstated(opened.pack),
        limits=tuple(_plain_limits(report, rules)),
        idle=tuple((t.rule, titles[t.rule]) for t in report.judgement.tallies if not t.judged),
        people=tuple(opened.record.people.items()),
    )


def signatories_of(record: Record, names: Sequence[str]) -> tuple[str, ...]:
    """Return who is to sign, as the record names them: at most two, each of its people, no one twice.

    Raises
    ------
    WrongUsage : a name that is not among the people of the record, one name twice, or a third.
    """
    by_fold = {name.casefold().strip(): name for name in record.people}
    chosen = []
    for name in names:
        known = by_fold.get(name.casefold().strip())
        if known is None:
            listed = ", ".join(record.people) or "nobody"
            raise WrongUsage(f"--signatory: '{name}' is not among the people of the record, who are: {listed}")
        chosen.append(known)
    if len(set(chosen)) < len(chosen) or len(chosen) > SIGNATORIES:
        raise WrongUsage(f"--signatory: found {', '.join(chosen)}; needed at most {SIGNATORIES}, no one twice")
    return tuple(chosen)


def _plain_limits(report: Report, rules: Iterable[Rule]) -> Iterable[PlainLimit]:
    """Yield the limits in force that are common practice alone, each with what its rule says it is for."""
    by_name = {rule.name: rule for rule in rules}
    for limit in report.limits:
        users: dict[str, list[str]] = {}
        for name in limit.rules:
            users.setdefault(by_name[name].limits[limit.name].why, []).append(name)
        for why, names in users.items():
            value = by_name[names[0]].limits[limit.name]
            yield PlainLimit(format_quantity(value.value, value.unit), why, limit.name, tuple(names))
