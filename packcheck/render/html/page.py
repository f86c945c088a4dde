"""The page of a run: the answer of each file, whole, or what kept it from being judged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from packcheck.files.problems import Problem
from packcheck.judging.dossier import Dossier
from packcheck.render.first_screen import verdict_words
from packcheck.render.html.closed_page import closed_page
from packcheck.render.html.drawing import embedded
from packcheck.render.html.element import Child, Markup, element, joined
from packcheck.render.html.exposure import exposure
from packcheck.render.html.findings import findings, to_do, verdict
from packcheck.render.html.hardware import joint_card, ledger
from packcheck.render.html.limits import instruments, limits
from packcheck.render.html.measured import measured
from packcheck.render.html.subject import Section, Subject
from packcheck.render.html.surroundings import cautions, checked, files, told
from packcheck.render.html.working import working


class Part(NamedTuple):
    """What the page tells of one file: in a line, and whole."""

    file: str
    words: str
    body: Markup


def judged_part(dossier: Dossier, prefix: str = "") -> Part:
    """Return a file that was judged; ``prefix`` begins its addresses where the page tells of several files."""
    subject = Subject(dossier, prefix)
    drawing = embedded(subject)
    builds: Sequence[Callable[[Subject], Section | None]] = (
        to_do, measured, joint_card, ledger, exposure, instruments, limits, working, told, checked, cautions, files,
    )  # fmt: skip
    built = [found for build in builds if (found := build(subject))]
    sections = [drawing.section, findings(subject, drawing.marked), *built]
    body = joined([
        element("div" if prefix else "header", verdict(subject), _contents(subject, sections), class_="head"),
        element("main" if not prefix else "div", [_section(subject, one) for one in sections],
                class_="body", id=subject.at("main"), tabindex=-1),
        drawing.cards,
    ])  # fmt: skip
    return Part(subject.report.about.file, verdict_words(subject.report), body)


def unread_part(file: str, problems: Sequence[Problem], prefix: str = "") -> Part:
    """Return a file that could not be read, with what is wrong in it."""
    words = "NOT JUDGED: it cannot be read"
    return _without_answer(file, words, [_problem(problem) for problem in problems], prefix)


def failed_part(file: str, defect: str, prefix: str = "") -> Part:
    """Return a file at which packcheck itself failed."""
    words = "NOT JUDGED: a fault of packcheck itself"
    return _without_answer(file, words, [element("section", element("p", defect))], prefix)


def _without_answer(file: str, words: str, told: Sequence[Markup], prefix: str) -> Part:
    head = element("div", element("h1", words), element("p", file), class_="verdict hold", id=f"{prefix}verdict")
    inside = element("main" if not prefix else "div", told, id=f"{prefix}main", tabindex=-1, class_="body")
    return Part(file, words, joined([element("div" if prefix else "header", head, class_="head"), inside]))


def render_html(parts: Sequence[Part], *, version: str) -> str:
    """Return the page of a whole run.

    Parameters
    ----------
    parts : one per file, from :func:`judged_part`, :func:`unread_part` or :func:`failed_part`; of several, each with a
        prefix of its own.
    version : the version of packcheck.
    """
    title = parts[0].words if len(parts) == 1 else f"{len(parts)} files"
    several = _several(parts) if len(parts) > 1 else None
    bodies = [part.body for part in parts]
    skip = element("a", "To the findings", href=f"#{'findings' if not several else 'a1-verdict'}", class_="skip")
    return closed_page(title, skip, several, element("main", bodies) if several else bodies, version=version)


def _problem(problem: Problem) -> Markup:
    fields = (("Found", problem.found), ("Needed", problem.needed), ("Why", problem.why), ("Do", problem.do))
    rows = [element("div", element("dt", label), element("dd", text)) for label, text in fields if text]
    excerpt = element("pre", [element("span", line, "\n") for line in problem.excerpt.splitlines()], class_="sum")
    return element("section", element("h2", problem.place()), excerpt, element("dl", rows))


def _several(parts: Sequence[Part]) -> Markup:
    rows = [
        element("li", element("a", part.file, href=f"#a{i}-verdict"), f": {part.words}")
        for i, part in enumerate(parts, 1)
    ]
    return element("header", element("div", element("h1", f"{len(parts)} files"), element("ol", rows)), class_="head")


def _contents(subject: Subject, sections: Sequence[Section]) -> Markup:
    links = [
        element("li", element("a", one.title.partition(":")[0].partition(",")[0], href=f"#{subject.at(one.name)}"))
        for one in sections
    ]
    label = f"Parts of the report on {subject.report.about.file}" if subject.prefix else "Parts of the report"
    return element("nav", element("ul", links), aria_label=label)


def _section(subject: Subject, one: Section) -> Markup:
    name = subject.at(one.name)
    fold: Child = None
    if one.name == "findings":
        fold = element("button", "Open or close all", class_="fold", type="button", hidden=True, aria_pressed="false")
    label = f"{one.title}: {subject.report.about.file}" if subject.prefix else None
    return element("section", element("h2", one.title, id=f"{name}-title"), fold, one.body, id=name, aria_label=label,
                   aria_labelledby=None if label else f"{name}-title")  # fmt: skip
