"""What a rule says about a subject, and what all of them say together: data only."""

from __future__ import annotations

from enum import Enum

from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.rules.catalogue import Datum


class Outcome(Enum):
    """The four outcomes of a rule on a subject, and *not applicable*, which is shown on request."""

    BROKEN = "broken"
    UNDECIDED = "undecided"
    UNPROVEN = "unproven"
    MET = "met"
    NOT_APPLICABLE = "not applicable"


class Severity(Enum):
    """How much a broken rule weighs."""

    NEVER_ENERGIZE = "never-energize"
    FIX_BEFORE_RELEASE = "fix-before-release"
    ADVISE = "advise"


class Gate(Enum):
    """By when a rule must be met, in the order of the work."""

    FIT_BARS = "fit bars"
    PLUG_IN = "plug in"
    CLOSE_CONTACTORS = "close contactors"
    RELEASE = "release"


GATES: tuple[Gate, ...] = tuple(Gate)


class Verdict(Enum):
    """The answer at a gate."""

    DO_NOT_ENERGIZE = "do not energize"
    HOLD = "hold"
    NO_RULE_BROKEN = "no rule broken"


@dataclass(frozen=True)
class Finding:
    """One rule that was not met on one subject, with all that a person needs to act on it.

    ``found`` and ``needed`` are sentences with numbers and units.  ``data`` are what was not recorded (unproven) or
    what was read too coarsely (undecided); ``unfit`` are the instruments that could prove nothing.
    ``explained_by`` are the parts whose faults account for its numbers, none of them where nothing does; it is None
    where nobody can reckon that.  ``drawn`` tells that the rule judges the layout alone: an engineer has to act on it.
    ``consequences`` are findings that this one explains away.
    """

    rule: str
    title: str
    family: str
    severity: Severity
    gate: Gate
    outcome: Outcome
    subject: str
    place: str
    found: str
    needed: str
    why: str
    do: str
    data: tuple[Datum, ...] = ()
    touches: frozenset[str] = frozenset()
    origin: Origin | None = None
    waived: str = ""
    unfit: frozenset[str] = frozenset()
    explained_by: frozenset[str] | None = None
    drawn: bool = False
    consequences: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Tally:
    """How one rule came out over all its subjects."""

    rule: str
    met: int = 0
    broken: int = 0
    undecided: int = 0
    unproven: int = 0
    not_applicable: int = 0

    @property
    def judged(self) -> int:
        """Return how many subjects the rule applied to."""
        return self.met + self.broken + self.undecided + self.unproven


@dataclass(frozen=True)
class Judgement:
    """All findings at one gate, worst first with consequences folded, and the count of what was checked."""

    gate: Gate
    verdict: Verdict
    findings: tuple[Finding, ...]
    tallies: tuple[Tally, ...]
    later: tuple[tuple[Gate, int], ...] = ()
