"""The findings of one rule as text: the headline, then Place, Needed, Why, Do, and what follows from them."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.files.frozen import dataclass
from packcheck.judging.report import Paragraph
from packcheck.render.page import Page, plural
from packcheck.render.words import fault_words, found_words, headline, headline_under, places_in_words, spoken
from packcheck.rules.findings import Finding, Outcome, Severity

MOST_FOUND = 6
"""How many differing findings of one rule are written out before the rest is counted."""

SEVERITY = {
    Severity.NEVER_ENERGIZE: "forbids energizing",
    Severity.FIX_BEFORE_RELEASE: "to be put right before release",
    Severity.ADVISE: "advice",
}


@dataclass(frozen=True)
class Choice:
    """How much to print: ``brief`` one line per finding, ``everything`` no list cut short and every rule counted."""

    brief: bool = False
    everything: bool = False


def write_paragraph(page: Page, paragraph: Paragraph, mark: str, choice: Choice) -> None:
    """Write the findings of one rule."""
    page.gap()
    title = title_of(paragraph)
    page.item(title, mark, 0)
    for label, texts in fields_of(paragraph, choice):
        page.field(label, texts)


def title_of(paragraph: Paragraph) -> str:
    """Return what stands over the findings of one rule: under its heading, or by itself where it is advice."""
    return headline_under(paragraph) if paragraph.weighs else headline(paragraph)


def fields_of(paragraph: Paragraph, choice: Choice) -> Iterator[tuple[str, list[str]]]:
    """Yield what is to be said of the findings of one rule, each with its label; what is empty is left out."""
    title, findings = title_of(paragraph), paragraph.findings
    fields = (
        ("Place", [_place(paragraph, title)]),
        ("Found", _found(paragraph, choice, title)),
        ("Needed", [spoken(needed) for needed in _differing([f.needed for f in findings], choice)]),
        ("Why", _differing([finding.why for finding in findings], choice)),
        ("Do", _do(paragraph, choice)),
        ("Follows", list(_consequences(paragraph))),
        ("Rule", [f"{paragraph.rule}: {SEVERITY[paragraph.severity]}, by gate '{paragraph.gate.value}'"]),
        ("Written", [_written(paragraph)]),
    )
    for label, texts in fields:
        if told := [text for text in texts if text]:
            yield label, told


def _place(paragraph: Paragraph, title: str) -> str:
    if len(paragraph.findings) > 1:
        places = f"{plural(len(paragraph.findings), paragraph.noun)}: {places_in_words(paragraph.places)}"
        return "" if places in title else places
    return spoken(paragraph.findings[0].place or paragraph.findings[0].subject)


def _found(paragraph: Paragraph, choice: Choice, title: str) -> list[str]:
    """Return what was found at each place, where the headline has not said all of it."""
    findings = paragraph.findings
    each = list(dict.fromkeys(found_words(finding) for finding in findings))
    if paragraph.outcome is Outcome.UNPROVEN or all(words in title for words in each):
        return []
    most = len(each) if choice.everything else MOST_FOUND
    rest = len(each) - most
    return [*each[:most], f"and {rest} more (--all lists them)"] if rest > 0 else each


def _differing(texts: list[str], choice: Choice) -> list[str]:
    unique = list(dict.fromkeys(texts))
    most = len(unique) if choice.everything else MOST_FOUND
    rest = len(unique) - most
    return [*unique[:most], f"and {rest} more (--all lists them)"] if rest > 0 else unique


def _do(paragraph: Paragraph, choice: Choice) -> list[str]:
    if paragraph.outcome is Outcome.BROKEN:
        return _differing([finding.do for finding in paragraph.findings], choice)
    if not paragraph.weighs:
        return ["Record it."]
    again = "Read it again, with something better," if paragraph.outcome is Outcome.UNDECIDED else "Record it"
    return [f"{again} where the to-do list says."]


def _consequences(paragraph: Paragraph) -> Iterator[str]:
    """Yield what is wrong in consequence, then in one line what cannot be told while the cause stands."""
    grouped: dict[tuple[str, bool], list[Finding]] = {}
    for finding in paragraph.consequences:
        grouped.setdefault((finding.rule, finding.outcome is Outcome.BROKEN), []).append(finding)
    untold = []
    for (rule, broken), findings in grouped.items():
        if not broken:
            untold.append(f"{fault_words(rule)} ({len(findings)})")
        elif len(findings) == 1:
            yield f"{found_words(findings[0])} ({rule})"
        else:
            places = places_in_words(finding.subject for finding in findings)
            yield f"{fault_words(rule)}, at {len(findings)} places: {places}"
    if untold:
        yield f"cannot be told until then, with the number of places: {', '.join(untold)}"


def _written(paragraph: Paragraph) -> str:
    origin = paragraph.findings[0].origin
    return origin.words() if origin and len(paragraph.findings) == 1 else ""
