"""What a rule is, once its file has been read: data only; and which rules it follows from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache

from packcheck.files.frozen import dataclass
from packcheck.rules.catalogue import Value
from packcheck.rules.findings import Gate, Outcome, Severity
from packcheck.rules.says import Template
from packcheck.rules.terms import TruthTerm


@dataclass(frozen=True)
class Basis:
    """Where a rule or a limit comes from.

    ``kind`` is "published" (then ``document`` and ``clause``), "derived" (then ``derived_from``) or "common practice".
    """

    kind: str
    document: str = ""
    clause: str = ""
    derived_from: str = ""


@dataclass(frozen=True)
class Limit:
    """A named number of a rule: exact, in the program's unit of its dimension ("" for a plain number)."""

    name: str
    value: Fraction
    unit: str
    why: str
    basis: tuple[Basis, ...]

    @property
    def number(self) -> float:
        """Return the value rounded to the nearest float, in ``unit``."""
        return float(self.value)


@dataclass(frozen=True)
class Says:
    """What a rule says: a whole sentence when met, what was found, and what was needed instead."""

    met: Template
    found: Template
    needed: Template


@dataclass(frozen=True)
class Example:
    """One row of facts and how the rule comes out on it; ``line`` is its place in the rule file."""

    outcome: Outcome
    because: str
    values: Mapping[str, Value]
    line: int


@dataclass(frozen=True, eq=False)
class Rule:
    """One rule file; a rule is only ever equal to itself.

    ``each`` names the fact table.  ``where`` tells to which rows the rule applies, ``require`` what must hold there;
    the two texts are as written.  ``judges_layout``: the rule needs no record.  ``follows_from`` names the rules whose
    break explains this one's.  ``stands_first``: its break is told before
    every other, because it hurts whoever stands at the pack.
    """

    name: str
    title: str
    family: str
    severity: Severity
    gate: Gate
    judges_layout: bool
    each: str
    where_text: str
    require_text: str
    where: TruthTerm
    require: TruthTerm
    limits: Mapping[str, Limit]
    says: Says
    follows_from: tuple[str, ...]
    why: str
    remedy: str
    teaching: str
    basis: tuple[Basis, ...]
    examples: tuple[Example, ...]
    stands_first: bool = False
    file: str = ""
    sha256: str = ""


def causes_of(rule: str, follows_from: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """Return every rule that a rule follows from, directly or through others; itself only in a circle."""
    found: set[str] = set()
    waiting = list(follows_from.get(rule, ()))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting.extend(follows_from.get(name, ()))
    return frozenset(found)


def causes_by_rule(rules: Iterable[Rule]) -> dict[str, frozenset[str]]:
    """Return the causes of each rule; rules that follow from each other in a circle explain nothing."""
    return _causes(tuple((rule.name, rule.follows_from) for rule in rules))


@lru_cache(maxsize=8)
def _causes(follows: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, frozenset[str]]:
    follows_from = dict(follows)
    every = {name: causes_of(name, follows_from) for name in follows_from}
    return {name: frozenset(c for c in causes if name not in every.get(c, ())) for name, causes in every.items()}
