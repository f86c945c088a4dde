"""Judgements made by hand, for tests of the report and of its renderings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from packcheck.files.origin import in_text
from packcheck.judging.report import About, Limit, Report, Source, Stated, Waiver, build_report
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import Finding, Gate, Judgement, Outcome, Severity, Tally, Verdict

ABOUT = About("gannet-6-record.yaml", "record", "gannet-6", "Bench block, 6 sticks in one string", 2, "GN-0007")


def finding(rule: str, subject: str, outcome: Outcome = Outcome.BROKEN, **changes: object) -> Finding:
    values: dict[str, object] = {
        "rule": rule,
        "title": f"Title of {rule}",
        "family": "polarity",
        "severity": Severity.FIX_BEFORE_RELEASE,
        "gate": Gate.PLUG_IN,
        "outcome": outcome,
        "subject": subject,
        "place": subject,
        "found": f"{subject} was found wrong",
        "needed": f"{subject} right",
        "why": "It would go wrong.",
        "do": "Put it right.",
    }
    return Finding(**(values | changes))  # type: ignore[arg-type]


REVERSED = finding(
    "module-reversed",
    "P03",
    severity=Severity.NEVER_ENERGIZE,
    title="Every module sits the way the layout has it",
    place="P03 (post A planned +, post B planned −)",
    found="+ at post B, by the fitter's record and by −7.912 V read from A to B",
    needed="+ at post A",
    why="A reversed module takes two modules' worth out of the string and is driven backwards by the rest.",
    do="Leave the disconnect out. Take the bars off P03, turn the module end for end, fit new nuts, read it again.",
    origin=in_text("gannet-6-record.yaml", 14),
    consequences=(
        finding("bar-joins-like-posts", "B02", family="polarity"),
        finding("bar-joins-like-posts", "B03", family="polarity"),
        finding("total-away-from-sum", "total", found="total is 31.7 V, the layout gives 47.5 V"),
    ),
)
TIGHT = tuple(
    finding(
        "joint-torque-out-of-band",
        joint,
        family="torque",
        title="Every power joint is tightened inside its torque band",
        found=f"{joint}: {value} lies outside 4.0 N·m to 5.0 N·m",
        needed="4.0 N·m to 5.0 N·m",
        why="Too loose heats up; too tight strips the thread.",
        do="Back off, fit a new nut, tighten to 4.5 N·m.",
    )
    for joint, value in (("B04/P04", "6.2 ± 0.4 N·m"), ("B05/P06", "3.1 ± 0.2 N·m"))
)
COARSE = finding(
    "rest-voltage-out-of-window",
    "P05",
    Outcome.UNDECIDED,
    family="continuity",
    title="Every module rests inside its window",
    found="7.49 V to 7.53 V",
    needed="7.5 V to 8.4 V",
    data=(Datum("rest voltage", "P05", "multimeter", "A"),),
)


def untorqued(count: int = 20) -> tuple[Finding, ...]:
    joints = [(f"B{n:02d}/P{m:02d}", "A" if n % 2 else "B") for n in range(1, count + 1) for m in (n, n + 1)]
    return tuple(
        finding(
            "joint-torque-out-of-band",
            joint,
            Outcome.UNPROVEN,
            family="torque",
            title="Every power joint is tightened inside its torque band",
            found="no torque was recorded",
            needed="4.0 N·m to 5.0 N·m",
            why="Too loose heats up; too tight strips the thread.",
            do="Tighten it and write the torque down.",
            data=(Datum("torque", joint, "click wrench", face),),
        )
        for joint, face in joints
    )


def judgement(verdict: Verdict, *findings: Finding, gate: Gate = Gate.PLUG_IN) -> Judgement:
    return Judgement(
        gate, verdict, findings, tallies=tuple(tallies(findings)), later=((Gate.CLOSE_CONTACTORS, 4), (Gate.RELEASE, 7))
    )


def tallies(findings: Iterable[Finding]) -> Iterator[Tally]:
    """Count the findings, beside five subjects on which each of three rules is met."""
    every = [*findings, *(follower for one in findings for follower in one.consequences)]
    count = Counter((one.rule, one.outcome) for one in every)
    usual = ("joint-torque-out-of-band", "module-reversed", "rest-voltage-out-of-window")
    for rule in dict.fromkeys((*usual, *(one.rule for one in every))):
        wrong = (count[rule, outcome] for outcome in (Outcome.BROKEN, Outcome.UNDECIDED, Outcome.UNPROVEN))
        yield Tally(rule, 5 if rule in usual else 0, *wrong)
    yield Tally("fuse-breaks-too-little", not_applicable=1)


def report(verdict: Verdict, *findings: Finding, about: About = ABOUT) -> Report:
    return replace(
        build_report(judgement(verdict, *findings), about, noun_of=lambda name: "joint" if "/" in name else "module"),
        limits=(Limit("outlier_factor", "3", ("joint-resistance-outlier",), "common practice"),),
        waivers=(Waiver("joint-resistance-unread", "E. Hale", "2026-09-01", "No micro-ohmmeter in this shop."),),
        stated=(Stated("conductors as drawn", tuple(f"B{n:02d}" for n in range(1, 6))),) * (about.kind == "record"),
        sources=(Source("layout", "gannet-6.yaml", "ab" * 32), Source("record", "gannet-6-record.yaml", "cd" * 32)),
        version="0.1.0",
    )
