"""Fold consequences under their cause: one lost bar is one finding with what follows from it, not twenty-five."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from packcheck.rules.findings import Finding, Outcome, Severity
from packcheck.rules.rule import Rule, causes_by_rule


def fold_consequences(findings: Sequence[Finding], rules: Sequence[Rule]) -> tuple[Finding, ...]:
    """Return the root causes, each with the findings that follow from it, in the order of the worst of them.

    ``findings`` come worst first.

    A finding follows from a *broken* one whose rule it names under ``follows from`` (directly or through others) when
    the two touch a common part, or one of them is about the pack as a whole (touches nothing in particular).  Among
    several causes the one with most parts in common is taken, then the worst.  Where it was reckoned which parts'
    faults account for a finding's numbers, it follows only from those, or from another judgement of the same numbers;
    with none it is a second fault and stands by itself.  A finding that is open only because its instrument is not fit
    follows from a broken one about that instrument.  Of several that nobody can tell for want of one datum, the gravest
    stands for all, then one about the part itself, then the one that follows from the fewest, then the one that asks
    for the least.  No finding is lost.
    """
    causes = causes_by_rule(rules)
    about = {rule.name: rule.each for rule in rules}
    index = _CauseIndex(findings, [number for number, f in enumerate(findings) if about.get(f.rule) == INSTRUMENT])
    parents = [index.cause_of(number, causes.get(finding.rule, ())) for number, finding in enumerate(findings)]
    _fold_unproven(findings, parents, causes)
    members: dict[int, list[int]] = defaultdict(list)
    for number, parent in enumerate(parents):
        if parent is not None:
            members[_root(number, parents)].append(number)
    roots = [number for number, parent in enumerate(parents) if parent is None]
    worst = {number: min([number, *members.get(number, [])]) for number in roots}
    return tuple(
        replace(findings[root], consequences=tuple(findings[member] for member in members[root]))
        if root in members
        else findings[root]
        for root in sorted(roots, key=lambda root: worst[root])
    )


MOST_AT_A_PART = 100
"""How many findings of one rule at one part are looked through for a cause, so that the cost stays in proportion."""
INSTRUMENT = "instrument"
"""The fact table whose subjects are instruments."""


class _CauseIndex:
    """The broken findings, by rule and by the parts they touch."""

    def __init__(self, findings: Sequence[Finding], of_instruments: Iterable[int] = ()) -> None:
        self.findings = findings
        self.by_instrument = {
            findings[number].subject: number for number in of_instruments if findings[number].outcome is Outcome.BROKEN
        }
        self.by_rule: dict[str, list[int]] = defaultdict(list)
        self.everywhere: dict[str, list[int]] = defaultdict(list)
        self.by_part: dict[tuple[str, str], list[int]] = defaultdict(list)
        for number, finding in enumerate(findings):
            if finding.outcome is Outcome.BROKEN and not finding.waived:
                self._add(number, finding)

    def _add(self, number: int, finding: Finding) -> None:
        self.by_rule[finding.rule].append(number)
        if not finding.touches:
            self.everywhere[finding.rule].append(number)
        for part in finding.touches:
            self.by_part[finding.rule, part].append(number)

    def cause_of(self, number: int, rules: Iterable[str]) -> int | None:
        """Return which finding explains this one: of a rule it follows from, else about its unfit instrument."""
        cause = self.best_cause(number, rules)
        if cause is not None:
            return cause
        unfit = (self.by_instrument.get(name) for name in sorted(self.findings[number].unfit))
        return next((instrument for instrument in unfit if instrument is not None), None)

    def best_cause(self, number: int, rules: Iterable[str]) -> int | None:
        """Return which finding explains this one best, or None."""
        finding = self.findings[number]
        explained_by = finding.explained_by
        if explained_by is not None:
            same = self._of_the_same_numbers(finding, rules)
            if same is not None or not explained_by:
                return same
        touches = finding.touches if explained_by is None else explained_by
        common: Counter[int] = Counter()
        for rule in rules:
            if rule not in self.by_rule:
                continue
            for whole in self.everywhere[rule] if touches else self.by_rule[rule][:1]:
                if explained_by is None:
                    common[whole] += 0
            for cause in self._touching(rule, touches):
                common[cause] = len(touches & self.findings[cause].touches)
        common.pop(number, None)
        return min(common, key=lambda cause: (-common[cause], cause), default=None)

    def _touching(self, rule: str, parts: Iterable[str]) -> set[int]:
        """Return the broken findings of a rule at some parts; where thousands share one, those of the rarer parts."""
        lists = [found for part in parts if (found := self.by_part.get((rule, part)))]
        short = [found for found in lists if len(found) <= MOST_AT_A_PART]
        if lists and not short:
            short = [min(lists, key=len)[:MOST_AT_A_PART]]
        return {cause for found in short for cause in found}

    def _of_the_same_numbers(self, finding: Finding, rules: Iterable[str]) -> int | None:
        """Return the worst broken finding that judges the reckoned numbers of the same row."""
        here = (n for rule in rules for n in self.by_part.get((rule, finding.subject), ()))
        same = (n for n in here if self.findings[n].subject == finding.subject and self._reckons(n))
        return min((n for n in same if self.findings[n] is not finding), default=None)

    def _reckons(self, number: int) -> bool:
        return self.findings[number].explained_by is not None


def _fold_unproven(
    findings: Sequence[Finding], parents: list[int | None], causes: Mapping[str, frozenset[str]]
) -> None:
    """Give each unproven finding without a cause the one that stands for its missing datum as parent.

    Failing that, one that stands by itself, is about the same subject, and is of a rule that it follows from: what was
    never done was not done too early.
    """
    severities = list(Severity)
    open_ = [n for n, f in enumerate(findings) if parents[n] is None and f.outcome is Outcome.UNPROVEN and not f.waived]

    def order(number: int) -> tuple[int, bool, int, int, int]:
        finding = findings[number]
        severity, own = severities.index(finding.severity), _asks_for_itself(finding)
        return severity, not own, len(causes.get(finding.rule, ())), len(finding.data), number

    open_.sort(key=order)
    stands_for: dict[tuple[str, str], int] = {}
    for number in open_:
        keys = [(what, datum.place) for datum in findings[number].data for what in _single(datum.what)]
        root = next((stands_for[key] for key in keys if key in stands_for), None)
        if root is not None:
            parents[number] = root
        for key in keys:
            stands_for.setdefault(key, number if root is None else root)
    unproven = {(findings[n].rule, findings[n].subject): n for n in open_}
    for number in open_:
        if parents[number] is None:
            before = (
                unproven.get((rule, findings[number].subject)) for rule in sorted(causes.get(findings[number].rule, ()))
            )
            parents[number] = next((n for n in before if n is not None and parents[n] is None), None)


def _single(what: str) -> list[str]:
    """Return the data that the words of one stand for: ``numbers issued, fitted`` are two."""
    names = what.removeprefix("numbers ").split(", ")
    return [f"number {name}" for name in names] if what.startswith("numbers ") else [what]


def _asks_for_itself(finding: Finding) -> bool:
    """Return whether what is missing is missing at the finding's own subject."""
    return all(datum.place == finding.subject for datum in finding.data)


def _root(number: int, parents: Sequence[int | None]) -> int:
    while (parent := parents[number]) is not None:
        number = parent
    return number
