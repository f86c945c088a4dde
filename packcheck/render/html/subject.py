"""One judged file in the making of its page: names of places in the page, and which findings a part has."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from packcheck.judging.dossier import Dossier
from packcheck.judging.report import Paragraph, Report
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.render.drawing.notes import kind_of
from packcheck.render.html.element import Markup, element
from packcheck.rules.catalogue import Row

FEW = 4
"""What follows from a finding is marked at its parts where it holds for so many or fewer."""


APART = frozenset({"instrument", "tool", "part", "step", "worked", "told"})
"""Fact tables whose subjects are no parts of the pack: a wrench may bear the name of a lead."""


MOST_ROWS = 60
"""A table of more rows is opened by whoever wants it."""


class Section(NamedTuple):
    """A part of the page: its name in addresses, its title, and what it holds."""

    name: str
    title: str
    body: Markup


@dataclass(frozen=True)
class Subject:
    """One judged file; ``prefix`` begins each of its addresses, so that several files fit on one page."""

    dossier: Dossier
    prefix: str = ""

    @property
    def report(self) -> Report:
        """Return the answer."""
        return self.dossier.judged.report

    @property
    def pack(self) -> Pack:
        """Return the layout."""
        return self.dossier.judged.opened.pack

    @property
    def record(self) -> Record | None:
        """Return the record, if one was judged."""
        return self.dossier.judged.opened.record

    def rows(self, table: str) -> tuple[Row, ...]:
        """Return the facts of a table."""
        return self.dossier.judged.facts.get(table, ())

    def at(self, name: str) -> str:
        """Return an address in the page."""
        return f"{self.prefix}{name}"

    @cached_property
    def numbered(self) -> tuple[tuple[int, Paragraph], ...]:
        """Return every paragraph of findings with its number, which is that of its mark on the drawing."""
        return tuple(enumerate(self.report.paragraphs, 1))

    @cached_property
    def _by_subject(self) -> Mapping[tuple[str, str], tuple[int, ...]]:
        """Return the findings of each part, by the fact table they are about ("" for those about the pack's parts)."""
        table_of = {rule.name: rule.each for rule in self.dossier.judged.rules}
        found: dict[tuple[str, str], dict[int, None]] = {}
        for number, paragraph in self.numbered:
            follow = Counter(finding.rule for finding in paragraph.consequences)
            few = [finding for finding in paragraph.consequences if follow[finding.rule] <= FEW]
            for finding in (*paragraph.findings, *few):
                table = table_of[finding.rule]
                for about in {table, "" if table not in APART else table}:
                    found.setdefault((about, finding.subject), {})[number] = None
        return {key: tuple(numbers) for key, numbers in found.items()}

    def finding_tags(self, table: str, *names: str) -> list[Markup]:
        """Return the findings that tell of a part, each as a mark that leads to it."""
        numbers = dict.fromkeys(n for name in names for n in self._by_subject.get((table, name), ()))
        return [tag(self, number) for number in sorted(numbers)]


def tag(subject: Subject, number: int) -> Markup:
    """Return the mark of a finding as it stands on the drawing, leading to its words."""
    kind = kind_of(subject.report.paragraphs[number - 1])
    label = f"{number}{kind.sign}"
    return element("a", element("span", label, class_=f"tag {kind.name}"), href=f"#{subject.at(f'f{number}')}",
                   aria_label=f"finding {number}, {kind.words}")  # fmt: skip


def table(
    caption: str, heads: Iterable[str], rows: Iterable[Markup], numbers: Iterable[int] = (), *, folds: bool = True
) -> Markup:
    """Return a table in a box of its own, which alone scrolls sideways; a long one opens, unless told otherwise.

    ``numbers`` are the columns of numbers.
    """
    right, body = set(numbers), list(rows)
    head = [element("th", text, scope="col", class_="n" if i in right else None) for i, text in enumerate(heads)]
    inside = element("table", element("caption", caption), element("thead", element("tr", head)),
                     element("tbody", body))  # fmt: skip
    box = element("div", inside, class_="box", tabindex=0, role="group", aria_label=caption)
    if not folds or len(body) <= MOST_ROWS:
        return box
    return element("details", element("summary", f"{caption}: {len(body)} rows"), element("div", box, class_="in"))
