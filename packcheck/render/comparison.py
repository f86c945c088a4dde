"""Two records compared, as text and as JSON: what became worse than it may, and what was read both times."""

from __future__ import annotations

from typing import Any

from packcheck.facts.of_since import ISOLATION, KINDS
from packcheck.files.name_lists import list_places
from packcheck.judging.comparing import Comparison
from packcheck.render.json import dumped
from packcheck.render.page import USUAL_WIDTH, Page, plural, printable
from packcheck.render.words import number_of
from packcheck.rules.catalogue import Measured, Row
from packcheck.rules.findings import Finding, Outcome

SHAPE = 1
"""The version of the shape of the JSON; it grows when a key changes its meaning or goes away."""
MOST_ROWS = 12
"""Rows of one kind that are written out before the rest is counted."""
_HEADINGS = {
    Outcome.BROKEN: "WORSE THAN IT MAY BE", Outcome.UNDECIDED: "READING TOO COARSE TO DECIDE",
    Outcome.UNPROVEN: "NOT RECORDED",
}  # fmt: skip


def render_comparison(
    comparison: Comparison, *, width: int = USUAL_WIDTH, colour: bool = False, everything: bool = False
) -> str:
    """Return the comparison as text for people; ``everything``: no list cut short."""
    page = Page(width, colour=colour)
    page.banner(headline(comparison), "strong" if not comparison.judgement.findings else "hold")
    later, earlier = comparison.later, comparison.earlier
    page.say(f"Pack {number_of(later.serial)}: {later.file} after {earlier.file}")
    for outcome, heading in _HEADINGS.items():
        found = [finding for finding in comparison.judgement.findings if finding.outcome is outcome]
        if found:
            page.heading(heading)
        for finding in found:
            _finding(page, finding)
    _rows(page, comparison, everything)
    if comparison.exchanged:
        page.heading("EXCHANGED")
        page.say(f"another module than before, and not compared: {list_places(comparison.exchanged)}", 2)
    if comparison.unread:
        page.heading("NOT READ AGAIN")
        shown = comparison.unread if everything else comparison.unread[:MOST_ROWS]
        more = len(comparison.unread) - len(shown)
        page.say(", ".join(shown) + (f", and {more} more" if more else ""), 2)
    page.gap()
    page.say("Whether what is recorded may be energized is judged by `packcheck check`.")
    return page.text()


def headline(comparison: Comparison) -> str:
    """Return the comparison in one line."""
    if not comparison.rows:
        return "NOTHING TO COMPARE: nothing was read in both records"
    broken = comparison.count(Outcome.BROKEN)
    numbers = plural(len(comparison.rows), "reading")
    if broken:
        return f"{plural(broken, 'thing').upper()} WORSE THAN IT MAY BE, of {numbers} taken both times"
    left = len(comparison.judgement.findings)
    if left:
        return f"{plural(left, 'thing').upper()} LEFT OPEN, of {numbers} taken both times"
    if not any(tally.judged for tally in comparison.judgement.tallies):
        return f"NO LIMIT APPLIES to the {numbers} taken both times"
    return f"NOTHING BECAME WORSE THAN IT MAY, of {numbers} taken both times"


def render_comparison_json(comparison: Comparison, *, version: str, code: int) -> str:
    """Return the comparison as JSON, its shape in ``schemas/comparison.json``."""
    return dumped({
        "packcheck comparison": SHAPE, "packcheck": version, "exit code": code, "in words": headline(comparison),
        "pack": comparison.later.serial, "later": comparison.later.file, "earlier": comparison.earlier.file,
        "findings": [_as_data(finding) for finding in comparison.judgement.findings],
        "read both times": [
            {"about": row.subject, "kind": row.values["what"], "earlier": row.values["first"],
             "later": row.values["later"], "hours": row.values["gap_h"], "same module": row.values["same"]}
            for row in comparison.rows
        ],
        "exchanged": list(comparison.exchanged), "not read again": list(comparison.unread),
    })  # fmt: skip


def _as_data(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule, "outcome": finding.outcome.value, "about": finding.subject, "found": finding.found,
        "needed": finding.needed, "why": finding.why, "do": finding.do, "waived": finding.waived,
    }  # fmt: skip


def _finding(page: Page, finding: Finding) -> None:
    page.item(f"{finding.found} [{finding.rule}]")
    page.field("Needed", [finding.needed])
    page.field("Do", [finding.do])


def _change(row: Row) -> float:
    """Return what puts the row that became worst first."""
    lost, first, later = (row.values.get(name) for name in ("lost_v", "first_ohm", "later_ohm"))
    if isinstance(lost, Measured):
        return -(lost.low + lost.high)
    if isinstance(first, Measured) and isinstance(later, Measured) and first.low > 0:
        ratio = (later.low + later.high) / (first.low + first.high)
        return ratio if row.values["what"] == ISOLATION else -ratio
    return 0.0


def _rows(page: Page, comparison: Comparison, everything: bool) -> None:
    """Write what was read both times, each kind in a paragraph, the worst change first."""
    for kind in KINDS:
        rows = sorted((row for row in comparison.rows if row.values["what"] == kind), key=_change)
        if not rows:
            continue
        page.heading(f"{kind.upper()}, {plural(len(rows), 'reading')} taken both times, the worst change first")
        for row in rows if everything else rows[:MOST_ROWS]:
            gap = row.values.get("gap_h")
            after = f" after {gap:.4g} h" if isinstance(gap, float) else ", times not recorded"
            subject = printable(row.subject.removeprefix(f"{kind} of "))
            page.say(f"{subject}: {row.values['first']}, then {row.values['later']}{after}", 2)
        if not everything and len(rows) > MOST_ROWS:
            page.say(f"and {len(rows) - MOST_ROWS} more; --all writes them out", 2)
