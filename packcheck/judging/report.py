"""Everything a renderer may see: the judgement, sorted into paragraphs and a to-do list, with what surrounds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Literal

from packcheck.files.frozen import dataclass
from packcheck.judging.cautions import CAUTIONS
from packcheck.judging.fewest_readings import Sparing, as_asked
from packcheck.judging.staging import Stages
from packcheck.judging.to_do import ToDo, to_do_list, walk
from packcheck.rules.findings import Finding, Gate, Judgement, Outcome, Severity, Verdict

if TYPE_CHECKING:
    from packcheck.diagnosis.answer import Diagnosis

Kind = Literal["layout", "record"]


@dataclass(frozen=True)
class Paragraph:
    """The findings of one rule with one outcome: what a person reads at one go.

    ``noun`` is the trade's word for the subjects ("joint"); ``waived`` says why nobody is held to these, or "".
    ``drawn``: they are about the layout alone, and for an engineer to act on.
    """

    rule: str
    title: str
    family: str
    severity: Severity
    gate: Gate
    outcome: Outcome
    findings: tuple[Finding, ...]
    noun: str = "place"
    waived: str = ""
    drawn: bool = False

    @property
    def gravest(self) -> Severity:
        """Return how much the findings weigh, with what is broken in consequence."""
        broken = [f.severity for f in walk(self.findings) if f.outcome is Outcome.BROKEN and not f.waived]
        return min([self.severity, *broken], key=list(Severity).index)

    @property
    def weighs(self) -> bool:
        """Return whether anything here counts in the verdict: the findings, or what follows from them."""
        return any(f.severity is not Severity.ADVISE and not f.waived for f in walk(self.findings))

    @property
    def places(self) -> tuple[str, ...]:
        """Return the subjects of all findings."""
        return tuple(finding.subject for finding in self.findings)

    @property
    def consequences(self) -> tuple[Finding, ...]:
        """Return every finding that these explain away, each once, the deeper ones behind their cause."""
        seen: dict[tuple[str, str, Outcome], Finding] = {}
        for finding in self.findings:
            for follower in walk(finding.consequences):
                seen.setdefault((follower.rule, follower.subject, follower.outcome), follower)
        return tuple(seen.values())


@dataclass(frozen=True)
class Limit:
    """A number in force that nobody has published and no shop has adopted."""

    name: str
    value: str
    rules: tuple[str, ...]
    basis: str


@dataclass(frozen=True)
class AdoptedNumber:
    """A number that a shop has put in the place of a default, with the default, who did so, when and why."""

    name: str
    default: str
    value: str
    by: str
    on: str
    why: str


@dataclass(frozen=True)
class Waiver:
    """A rule that a shop has chosen not to be held to, and who chose so."""

    rule: str
    by: str
    on: str
    why: str


@dataclass(frozen=True)
class Stated:
    """Names that a person stated in one word (``as drawn``) and nobody recorded one by one."""

    what: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class ReadAgain:
    """A second reading that was judged in the place of a first; both are kept, with the reason."""

    what: str
    first: str
    later: str
    at: str
    by: str
    why: str


@dataclass(frozen=True)
class Source:
    """A file that went into the answer, with its SHA-256, so that the answer can be traced years later."""

    role: str
    file: str
    sha256: str


@dataclass(frozen=True)
class About:
    """What was judged: which file, of which kind, of which layout and pack."""

    file: str
    kind: Kind
    layout: str
    title: str
    revision: int
    pack_id: str = ""


@dataclass(frozen=True)
class Report:
    """The whole answer; renderers turn it into text and compute nothing.

    ``diagnosis`` is what could explain readings that a rule found not to fit; ``unsought`` is what there is too much
    of to seek that along with a check.
    """

    about: About
    judgement: Judgement
    paragraphs: tuple[Paragraph, ...]
    to_do: tuple[ToDo, ...]
    limits: tuple[Limit, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    adopted: tuple[AdoptedNumber, ...] = ()
    stated: tuple[Stated, ...] = ()
    again: tuple[ReadAgain, ...] = ()
    unjudged: tuple[Stated, ...] = ()
    untold: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()
    version: str = ""
    cautions: tuple[str, ...] = CAUTIONS
    diagnosis: Diagnosis | None = None
    unsought: str = ""

    @property
    def rules_judged(self) -> int:
        """Return how many rules applied to at least one subject."""
        return sum(1 for tally in self.judgement.tallies if tally.judged)

    def count(self, outcome: Outcome) -> int:
        """Return how many times a rule came out so, over all rules and subjects, consequences included."""
        field = outcome.name.lower()
        return sum(int(getattr(tally, field)) for tally in self.judgement.tallies)


def build_report(
    judgement: Judgement,
    about: About,
    *,
    noun_of: Callable[[str], str] = lambda _: "place",
    work: Stages | None = None,
    sparing: Sparing = as_asked,
) -> Report:
    """Return the report of one judgement, without what surrounds it.

    Parameters
    ----------
    judgement : findings worst first, as judged.
    about : what was judged.
    noun_of : the trade's word for what a name stands for ("joint"), used in the to-do list.
    work : the stages of the pack's work, by which the to-do list is sorted.
    sparing : what to record in place of a datum, where one reading serves for several.

    Returns
    -------
    The report.  Its paragraphs stand worst first: what is broken, what is undecided, what is unproven, each the
    heavier before the lighter; advice comes last.
    """
    return Report(
        about=about,
        judgement=judgement,
        paragraphs=tuple(_paragraphs(judgement.findings, noun_of)),
        to_do=to_do_list(judgement.findings, noun_of, work, sparing),
    )


def exit_code(judgement: Judgement) -> int:
    """Return 0 for no rule broken, 1 when something is broken, 3 when things are only undecided or unproven.

    Advice and waived findings weigh nothing here, as in the verdict.
    """
    if judgement.verdict is Verdict.NO_RULE_BROKEN:
        return 0
    weighty = (f for f in walk(judgement.findings) if not f.waived and f.severity is not Severity.ADVISE)
    if judgement.verdict is Verdict.DO_NOT_ENERGIZE or any(f.outcome is Outcome.BROKEN for f in weighty):
        return 1
    return 3


def _paragraphs(findings: Sequence[Finding], noun_of: Callable[[str], str]) -> list[Paragraph]:
    """Return the findings by rule and outcome, worst first; what weighs nothing comes last."""
    return sorted(_grouped(findings, noun_of), key=_rank)


def _grouped(findings: Sequence[Finding], noun_of: Callable[[str], str]) -> Iterator[Paragraph]:
    grouped: dict[tuple[str, Outcome, str], list[Finding]] = {}
    for finding in findings:
        grouped.setdefault((finding.rule, finding.outcome, finding.waived), []).append(finding)
    for members in grouped.values():
        first = members[0]
        nouns = {noun_of(member.subject) for member in members}
        yield Paragraph(
            rule=first.rule,
            title=first.title,
            family=first.family,
            severity=first.severity,
            gate=first.gate,
            outcome=first.outcome,
            findings=tuple(members),
            noun=nouns.pop() if len(nouns) == 1 else "place",
            waived=first.waived,
            drawn=first.drawn,
        )


def _rank(paragraph: Paragraph) -> tuple[bool, int, int]:
    return not paragraph.weighs, list(Outcome).index(paragraph.outcome), list(Severity).index(paragraph.gravest)
