"""What stands around the findings: what was only stated, how much was checked, the cautions, the files."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.render.html.element import Child, Markup, element, joined, said
from packcheck.render.html.subject import Section, Subject, table
from packcheck.render.surroundings import Block, checked_words, files_of, told_of


def told(subject: Subject) -> Section | None:
    """Return what was stated in a word, read twice, judged by no rule, or not told; None where there is none of it."""
    blocks = list(told_of(subject.report))
    if not blocks:
        return None
    return Section("told", "Stated, read again, judged by no rule", joined(map(_headed, blocks)))


def checked(subject: Subject) -> Section:
    """Return how much was checked, and how every rule came out."""
    heads = ("rule", "met", "broken", "too coarse", "not recorded", "does not apply")
    rows = [
        element("tr", element("th", tally.rule, scope="row"), [
            element("td", f"{count:,}", class_="n")
            for count in (tally.met, tally.broken, tally.undecided, tally.unproven, tally.not_applicable)
        ])
        for tally in subject.report.judgement.tallies
    ]  # fmt: skip
    inside = table("How often each rule came out how", heads, rows, range(1, 6), folds=False)
    body: list[Child] = [
        [element("p", words) for words in checked_words(subject.report)],
        element("details", element("summary", "Rule by rule"), element("div", inside, class_="in"), class_="screen"),
    ]
    return Section("checked", "Checked", joined(body))


def cautions(subject: Subject) -> Section:
    """Return what is said with every answer."""
    return Section("cautions", "Cautions", _list(subject.report.cautions))


def files(subject: Subject) -> Section:
    """Return the files that went into the answer, with their hashes."""
    words = [item for item, _ in files_of(subject.report).items]
    return Section("files", "Files", element("ul", [element("li", element("code", one)) for one in words]))


def _headed(block: Block) -> Markup:
    return joined([element("h3", block.heading), _list(item for item, _ in block.items)])


def _list(sentences: Iterable[str]) -> Markup:
    return element("ul", [element("li", said(sentence)) for sentence in sentences])
