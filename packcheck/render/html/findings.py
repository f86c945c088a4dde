"""The verdict, what to do now, every finding, worst first, each to be opened, and what is to be recorded, to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from packcheck.judging.report import Paragraph
from packcheck.render.diagnosis_text import EXPLAINED, best_explanations, how_to_go_on, left_to_diagnose
from packcheck.render.drawing.notes import kind_of
from packcheck.render.first_screen import Sorted, about_words, counts_words, do_now_words, heading_of, verdict_words
from packcheck.render.html.element import Markup, element, joined, said
from packcheck.render.html.subject import Section, Subject, tag
from packcheck.render.paragraph import Choice, fields_of, title_of
from packcheck.render.surroundings import to_the_engineer
from packcheck.render.to_do import errands_of, how_many, trips
from packcheck.rules.findings import Outcome, Verdict

WHOLE = Choice(everything=True)
MOST_HEADLINES = 8
"""How many headlines stand on top; below it every one stands whole."""
MOST_OPEN = 12
"""How many findings stand open from the start."""
_LOOK = {Verdict.DO_NOT_ENERGIZE: "stop", Verdict.HOLD: "hold", Verdict.NO_RULE_BROKEN: "fine"}


def verdict(subject: Subject) -> Markup:
    """Return the verdict, what was judged, what to do now, how much was found, and the headlines."""
    report, sorted_ = subject.report, Sorted.of(subject.report)
    headlines = [
        element("li", tag(subject, number), said(title_of(paragraph)))
        for number, paragraph in subject.numbered
        if paragraph in sorted_.weighty
    ]
    rest = len(headlines) - MOST_HEADLINES
    return element(
        "div",
        element("h1", verdict_words(report)),
        element("p", about_words(report)),
        element("div", element("b", "DO NOW"), said(do_now_words(report, sorted_)), class_="now"),
        element("p", element("b", "Found: "), counts_words(report, sorted_)),
        element("ul", headlines[:MOST_HEADLINES], class_="heads") if headlines else None,
        element("p", element("a", f"and {rest} more", href=f"#{subject.at('findings')}")) if rest > 0 else None,
        class_=f"verdict {_LOOK[report.judgement.verdict]}",
        id=subject.at("verdict"),
    )


def findings(subject: Subject, marked: Sequence[int]) -> Section:
    """Return every finding; ``marked`` are the numbers that have a mark on the drawing."""
    sorted_ = Sorted.of(subject.report)
    weighty = [(n, p) for n, p in subject.numbered if p in sorted_.weighty]
    body: list[Markup] = []
    for heading, group in groupby(weighty, key=lambda row: heading_of(row[1])):
        body.append(element("h3", heading))
        body += [_finding(subject, n, p, marked, n <= MOST_OPEN and _is_wrong(p)) for n, p in group]
    if not weighty:
        body.append(element("p", "Nothing that weighs in the verdict was found."))
    if diagnosis := subject.report.diagnosis:
        told = [element("li", said(words)) for words in best_explanations(diagnosis)]
        more = element("p", said(how_to_go_on(diagnosis, subject.report.about.file)))
        body += [element("h3", EXPLAINED), element("ol", told), more]
    if unsought := subject.report.unsought:
        body += [element("h3", EXPLAINED), element("p", said(left_to_diagnose(unsought, subject.report.about.file)))]
    body += _group(subject, marked, "ADVICE, without weight in the verdict", sorted_.advice)
    if sorted_.of_drawing:
        body += _group(subject, marked, "THE DRAWING", sorted_.of_drawing, to_the_engineer(subject.report))
    waived = [paragraph for paragraph in subject.report.paragraphs if paragraph.waived]
    body += _group(subject, marked, "WAIVED by this shop, and so without weight", waived)
    return Section("findings", "Findings, worst first", joined(body))


def _is_wrong(paragraph: Paragraph) -> bool:
    return paragraph.outcome in (Outcome.BROKEN, Outcome.UNDECIDED)


def _group(
    subject: Subject, marked: Sequence[int], heading: str, paragraphs: Sequence[Paragraph], words: str = ""
) -> Iterator[Markup]:
    chosen = [(n, p) for n, p in subject.numbered if p in paragraphs]
    if not chosen:
        return
    yield element("h3", heading)
    if words:
        yield element("p", said(words))
    yield from (_finding(subject, n, p, marked, False) for n, p in chosen)


def _finding(subject: Subject, number: int, paragraph: Paragraph, marked: Sequence[int], is_open: bool) -> Markup:
    """Return one finding as something that opens."""
    kind = kind_of(paragraph)
    summary = element("summary", element("span", f"{number}{kind.sign}", class_=f"tag {kind.name}"),
                      element("span", said(title_of(paragraph)), class_="tell"))  # fmt: skip
    rows = [
        element("div", element("dt", label), element("dd", [element("p", said(text)) for text in texts]),
                class_="do" if label == "Do" else None)
        for label, texts in fields_of(paragraph, WHOLE)
    ]  # fmt: skip
    back = None
    if number in marked:
        back = element(
            "p", element("a", "Show it on the drawing", href=f"#{subject.at(f'm{number}')}"), class_="acts screen"
        )
    if paragraph.waived:
        rows.append(element("div", element("dt", "Waived"), element("dd", paragraph.waived)))
    return element("details", summary, element("div", element("dl", rows), back, class_="in"),
                   id=subject.at(f"f{number}"), class_=f"finding {kind.name}", open=is_open)  # fmt: skip


def to_do(subject: Subject) -> Section | None:
    """Return the errands; None where nothing that weighs is to be recorded."""
    errands = errands_of(subject.report)
    if not errands:
        return None
    body: list[Markup] = []
    for trip in trips(errands, everything=True):
        if trip.gate:
            body.append(element("h3", trip.gate))
        if trip.stage:
            body.append(element("p", element("b", trip.stage)))
        body.append(element("ul", [element("li", said(words)) for words in trip.errands], class_="todo"))
    return Section("to-do", f"To do, {how_many(errands)}", joined(body))
