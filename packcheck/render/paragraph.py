"""The findings of one rule as text: Place, Found, Needed, Why, Do, and what follows from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from packcheck.files.name_lists import list_places
from packcheck.judging.report import Paragraph
from packcheck.render.page import Page, plural
from packcheck.rules.findings import Finding, Outcome, Severity

MOST_FOUND = 6
"""How many differing findings of one rule are written out before the rest is counted."""

MOST_PLACES = 12
"""How many names or ranges a list of places shows before the rest is counted."""

_SEVERITY = {
    Severity.NEVER_ENERGIZE: "forbids energizing",
    Severity.FIX_BEFORE_RELEASE: "to be put right before release",
    Severity.ADVISE: "advice",
}


@dataclass(frozen=True)
class Choice:
    """How much to print: ``brief`` one line per finding, ``everything`` no list cut short and every rule counted."""

    brief: bool = False
    everything: bool = False

    @property
    def most_places(self) -> int | None:
        """Return how many entries a list of places may have."""
        return None if self.everything else MOST_PLACES


def write_paragraph(page: Page, paragraph: Paragraph, number: int, choice: Choice) -> None:
    """Write the findings of one rule."""
    page.gap()
    page.item(f"{paragraph.outcome.value.upper()}  {paragraph.title}", f"{number}.", 0)
    page.field("Place", _place(paragraph, choice))
    page.field("Found", _found(paragraph, choice))
    page.field("Needed", _differing([finding.needed for finding in paragraph.findings], choice))
    page.field("Why", _differing([finding.why for finding in paragraph.findings], choice))
    page.field("Do", _do(paragraph, choice))
    page.field("Follows", list(_consequences(paragraph, choice)))
    page.field("Rule", f"{paragraph.rule}: {_SEVERITY[paragraph.severity]}, by gate '{paragraph.gate.value}'")
    page.field("Written", _written(paragraph))


def _place(paragraph: Paragraph, choice: Choice) -> str:
    if len(paragraph.findings) == 1:
        return paragraph.findings[0].place or paragraph.findings[0].subject
    places = list_places(paragraph.places, choice.most_places)
    return f"{plural(len(paragraph.findings), paragraph.noun)}: {places}"


def _found(paragraph: Paragraph, choice: Choice) -> list[str]:
    findings = paragraph.findings
    if len(findings) == 1:
        return [findings[0].found]
    if paragraph.outcome is Outcome.UNPROVEN and all(finding.data for finding in findings):
        asked = dict.fromkeys(datum.what for finding in findings for datum in finding.data)
        return [f"not recorded: {'; '.join(asked)}"]
    if len({finding.found for finding in findings}) == 1:
        return [findings[0].found]
    most = len(findings) if choice.everything else MOST_FOUND
    lines = [_named(finding) for finding in findings[:most]]
    rest = len(findings) - most
    return [*lines, f"and {rest} more (--all lists them)"] if rest > 0 else lines


def _named(finding: Finding) -> str:
    return finding.found if finding.subject in finding.found else f"{finding.subject}: {finding.found}"


def _differing(texts: list[str], choice: Choice) -> list[str]:
    unique = list(dict.fromkeys(texts))
    most = len(unique) if choice.everything else MOST_FOUND
    rest = len(unique) - most
    return [*unique[:most], f"and {rest} more (--all lists them)"] if rest > 0 else unique


def _do(paragraph: Paragraph, choice: Choice) -> list[str]:
    if len(paragraph.findings) > 1 and paragraph.outcome is not Outcome.BROKEN:
        again = "Read it again, with something better," if paragraph.outcome is Outcome.UNDECIDED else "Record it"
        return [f"{again} where the to-do list says."]
    return _differing([finding.do for finding in paragraph.findings], choice)


def _consequences(paragraph: Paragraph, choice: Choice) -> Iterator[str]:
    """Yield what is broken in consequence, then in one line what cannot be told while the cause stands."""
    grouped: dict[tuple[str, bool], list[Finding]] = {}
    for finding in paragraph.consequences:
        grouped.setdefault((finding.rule, finding.outcome is Outcome.BROKEN), []).append(finding)
    untold = []
    for (rule, broken), findings in grouped.items():
        if not broken:
            untold.append(f"{rule} ({len(findings)})")
        elif len(findings) == 1:
            yield f"{_named(findings[0])} ({rule})"
        else:
            places = list_places((finding.subject for finding in findings), choice.most_places)
            yield f"broken at {len(findings)} places: {places} ({rule})"
    if untold:
        yield f"cannot be told yet, with the number of places: {', '.join(untold)}"


def _written(paragraph: Paragraph) -> str:
    source = paragraph.findings[0].source
    return f"{source[0]} line {source[1]}" if source and len(paragraph.findings) == 1 else ""
