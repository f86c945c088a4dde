"""From the paragraphs of a report to notes on a drawing: what was found, and at which parts it is marked."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator

from packcheck.files.name_lists import list_places
from packcheck.judging.report import Paragraph, Report
from packcheck.model.pack.model import Pack
from packcheck.render.drawing.marks import ADVICE, COARSE, FIX, OPEN, STOP, Kind, Note
from packcheck.rules.findings import Finding, Outcome, Severity

_MOST_ADVISED = 6
"""Advice at more places than this is not marked: it would hide what must be done."""
TOLD = 2
"""How many findings of a paragraph are told in words beneath a drawing."""
MOST_LISTED = 10_000
_PLACELESS = ("instrument", "part", "tool", "quantity", "module_type", "joint_type", "stack", "order", "pack", "again")
_MOST_TOUCHED = 8
"""A finding about more parts than this, but for a stack of modules, has no place of its own."""


def notes_of(pack: Pack, report: Report, table_of: Callable[[str], str], strays: Collection[str] = ()) -> list[Note]:
    """Return the notes of a report, worst first.

    ``table_of`` tells by which facts a rule judges; ``strays`` are conductors that a record has and the layout lacks.
    """
    notes = []
    for number, paragraph in enumerate(report.paragraphs, 1):
        places = dict.fromkeys(
            place for finding in paragraph.findings for place in _places(pack, finding, table_of(finding.rule), strays)
        )
        kind = kind_of(paragraph)
        if kind is ADVICE and (paragraph.outcome is Outcome.UNPROVEN or len(places) > _MOST_ADVISED):
            places = {}
        notes.append(
            Note(number, kind, tuple(places), _title(paragraph), tuple(_words(paragraph)),
                 max(0, len(paragraph.findings) - TOLD))
        )  # fmt: skip
    return notes


def kind_of(paragraph: Paragraph) -> Kind:
    """Return by which kind of mark the findings of one rule are told."""
    if paragraph.severity is Severity.ADVISE or paragraph.waived:
        return ADVICE
    if paragraph.outcome is Outcome.BROKEN:
        return STOP if paragraph.severity is Severity.NEVER_ENERGIZE else FIX
    return COARSE if paragraph.outcome is Outcome.UNDECIDED else OPEN


def _title(paragraph: Paragraph) -> str:
    """Return where and by which rule, in a line."""
    places = f"{list_places(paragraph.places, MOST_LISTED)} ({paragraph.rule})"
    if paragraph.outcome is Outcome.UNPROVEN:
        return f"{paragraph.findings[0].found.removeprefix('not recorded: ')}: {places}"
    return places


def _words(paragraph: Paragraph) -> Iterator[str]:
    """Yield what was found, for the first few; what is not recorded stands in the title."""
    if paragraph.outcome is Outcome.UNPROVEN:
        return
    for finding in paragraph.findings[:TOLD]:
        follow = len(finding.consequences)
        yield finding.found + (f" ({follow} more follow from it)" if follow else "")


def _places(pack: Pack, finding: Finding, table: str, strays: Collection[str]) -> Iterator[str]:
    """Yield the parts at which a finding is marked: its subject where that is drawn, else the few parts it touches."""
    if table.replace(" ", "_") in _PLACELESS:
        return
    own = [finding.subject] if finding.subject in strays else list(_parts(pack, finding.subject))
    if own:
        yield from own
        return
    touched = [part for name in sorted(finding.touches) for part in _parts(pack, name)]
    if len(touched) <= _MOST_TOUCHED or table == "section":
        yield from touched


def _parts(pack: Pack, name: str) -> Iterator[str]:
    """Yield the drawn parts that a name stands for: a joint is marked at its place, a group at its members."""
    if name in pack.joints:
        yield pack.joints[name][1].node
    elif name in pack.nodes or name in pack.positions or name in pack.devices or name in pack.covers:
        yield name if name in pack.places else pack.part_at(name)
    elif name in pack.taps or name in pack.probes:
        yield name
    elif name in pack.groups:
        yield from pack.groups[name]
