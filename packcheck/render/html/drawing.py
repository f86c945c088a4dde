"""The drawing inside the page: every mark leads to a card that tells what was found there, without a script."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from packcheck.model.record.work_done import stage_in_hand
from packcheck.render.drawing.document import CAUTION, MARGIN
from packcheck.render.drawing.look import Look, as_recorded
from packcheck.render.drawing.marks import KINDS, OPEN, Kind, Link, Note
from packcheck.render.drawing.notes import notes_of
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.sheet import Piece, draw_pieces
from packcheck.render.html.element import Markup, drawn, element, joined, said
from packcheck.render.html.subject import Section, Subject, tag
from packcheck.render.paragraph import title_of
from packcheck.rules.findings import Outcome

WIDE, NARROW = 980.0, 360.0
"""Widths [px] that the pack is drawn for: a desk or a sheet of paper, and a phone."""
MOST_MARKED = 40
"""What is not recorded at more places than this is not marked one by one."""
_MARK = re.compile(r'<a href="#([^"]*)"')


@dataclass
class Embedded:
    """The drawing of one file, the cards of its marks, and the findings that have a mark."""

    section: Section
    cards: Markup
    marked: tuple[int, ...]


@dataclass
class _Cards:
    """The cards that marks lead to: one for each set of findings that some part has."""

    subject: Subject
    found: dict[tuple[int, ...], list[str]] = field(default_factory=dict)

    def __call__(self, part: str, notes: Sequence[Note]) -> str:
        numbers = tuple(note.number for note in notes)
        parts = self.found.setdefault(numbers, [])
        if part not in parts:
            parts.append(part)
        return f"#{self.subject.at(_card(numbers))}"


def embedded(subject: Subject) -> Embedded:
    """Return the drawing of a layout, or of a build as judged, for wide and for narrow screens."""
    pack, record, report = subject.pack, subject.record, subject.report
    stage = stage_in_hand(pack, record) if record else None
    lit = frozenset(stage.items) if stage else frozenset()
    look = as_recorded(pack, record, lit) if record else Look(lit=lit)
    table_of = {rule.name: rule.each for rule in subject.dossier.judged.rules}
    notes = [_uncrowded(note) for note in notes_of(pack, report, table_of.__getitem__, look.strays)]
    cards, first = _Cards(subject), _First(subject)
    wide = joined(figures(Plan(pack, look, WIDE - 2 * MARGIN), notes, cards, first))
    narrow = joined(figures(Plan(pack, look, NARROW - 2 * MARGIN), notes, cards))
    words = "as recorded" if record else "as planned"
    body = joined([
        element("p", f"{words.capitalize()}, each face as one stands before it.",
                element("span", " Choose a mark to see what was found.", class_="screen") if cards.found else None),
        element("div", wide, class_="drawing wide"),
        element("div", narrow, class_="drawing narrow"),
        element("p", CAUTION, class_="quiet small"),
    ])  # fmt: skip
    marked = tuple(sorted(first.known))
    return Embedded(Section("drawing", "The pack", body), joined(_cards(subject, cards.found, first.known)), marked)


def _uncrowded(note: Note) -> Note:
    """Return a note without marks where it would crowd out the faults: what is not recorded is dashed anyway."""
    return replace(note, places=()) if note.kind is OPEN and len(note.places) > MOST_MARKED else note


@dataclass
class _First:
    """Gives the first mark of each finding an address, so that its words can lead back to it."""

    subject: Subject
    known: dict[int, str] = field(default_factory=dict)

    def __call__(self, svg: str) -> str:
        return _MARK.sub(self._named, svg)

    def _named(self, mark: re.Match[str]) -> str:
        numbers = [int(digits) for digits in re.findall(r"\d+", mark[1].removeprefix(self.subject.prefix))]
        fresh = [number for number in numbers if number not in self.known]
        if not fresh:
            return mark[0]
        name = self.subject.at(f"m{fresh[0]}")
        self.known.update(dict.fromkeys(fresh, name))
        return f'<a id="{name}" href="#{mark[1]}"'


def figures(
    plan: Plan, notes: Sequence[Note], link: Link, named: Callable[[str], str] = str, kinds: Sequence[Kind] = KINDS
) -> Iterator[Markup]:
    """Yield the pieces of a drawing with its marks, each as a figure; ``named`` gives the marks their addresses."""
    width = plan.widest + 2 * MARGIN
    for piece in draw_pieces(plan, notes, 12.0, set(), link, kinds):
        yield element("figure", drawn(_svg(piece, width, named)))


def _svg(piece: Piece, width: float, named: Callable[[str], str]) -> str:
    shapes = "".join(piece.shapes)
    box = f"0 {piece.top - 8:.0f} {width:.0f} {piece.bottom - piece.top + 12:.0f}"
    opened = element("svg", viewBox=box, role="group", aria_label=piece.title).removesuffix("</svg>")
    return f"{opened}{named(shapes)}</svg>"


def _card(numbers: Iterable[int]) -> str:
    return "c" + "-".join(map(str, numbers))


def _cards(subject: Subject, found: Mapping[tuple[int, ...], list[str]], first: Mapping[int, str]) -> Iterator[Markup]:
    for numbers, parts in found.items():
        told = [_told(subject, number) for number in numbers]
        close = element("a", "Close, back to the mark", href=f"#{first[numbers[0]]}")
        yield element("aside", element("p", element("b", ", ".join(parts[:6]) + (" …" if len(parts) > 6 else ""))),
                      told, element("p", close, class_="acts"), class_="card", id=subject.at(_card(numbers)),
                      aria_label=f"found at {', '.join(parts[:6])}")  # fmt: skip


def _told(subject: Subject, number: int) -> Markup:
    paragraph = subject.report.paragraphs[number - 1]
    do = f"Do: {paragraph.findings[0].do}" if paragraph.outcome is Outcome.BROKEN else None
    return element(
        "div", element("p", tag(subject, number), said(title_of(paragraph))), element("p", said(do)) if do else None
    )
