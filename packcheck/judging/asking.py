"""From errands to questions that one person can answer at one place: which cell of the record each of them fills.

And the question by which one cell of a record is told a second time.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from packcheck.facts.tables.places import FELT, RUNS
from packcheck.facts.tables.tests import FOUND
from packcheck.files.names import conductor_of
from packcheck.judging.asked import UNITS, Answer, Ask, Asked, Asking
from packcheck.judging.asked_of_parts import (
    asked_arrow,
    asked_cap,
    asked_clamp,
    asked_condition,
    asked_counts,
    asked_extra,
    asked_fitted,
    asked_instrument,
    asked_joint,
    asked_mark,
    asked_module,
    asked_part,
    asked_printed,
    asked_recheck,
    asked_rest,
    asked_screws,
    asked_tap,
    asked_tools,
)
from packcheck.judging.asked_of_readings import asked_across, asked_mains, asked_reading, asked_unread, asked_voltage
from packcheck.judging.asked_of_tests import ISOLATION_TEST, asked_isolation_test, asked_test, asked_vent
from packcheck.judging.to_do import ToDo
from packcheck.model.opening import Opened
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.model.record.sheets import IS, SHEETS

EYES = "eyes"


@dataclass(frozen=True)
class Card:
    """What is asked of one subject at one go.

    ``section`` and ``subject`` are the row of the record; ``section`` is empty where the answer cannot be told cell by
    cell.  ``fixed`` are cells that stand already, such as the ends of a reading; ``parts`` are what is looked at, by
    the names of a drawing; ``alike``: the same answer may hold for others of the errand.
    """

    section: str
    subject: str
    title: str
    fields: tuple[Ask, ...]
    instrument: str = ""
    state: str = ""
    fixed: tuple[tuple[str, str], ...] = ()
    parts: tuple[str, ...] = ()
    stage: str = ""
    gate: str = ""
    again: bool = False
    advice: bool = False

    @property
    def alike(self) -> bool:
        """Return whether one answer can be given for several subjects at once: a look that is not at a place."""
        return bool(self.fields) and all(one.shared for one in self.fields)


@dataclass
class _Pile:
    """The cards of one stage; what the eyes see at one place is one card."""

    cards: list[Card] = field(default_factory=list)
    at: dict[tuple[str, str, str], int] = field(default_factory=dict)

    def add(self, card: Card) -> None:
        key = (card.section, card.subject, card.instrument)
        place = self.at.get(key) if card.instrument == EYES or not card.section else None
        if place is None:
            self.at[key] = len(self.cards)
            self.cards.append(card)
            return
        old = self.cards[place]
        known = {one.column for one in old.fields}
        new = (one for one in card.fields if one.column not in known)
        self.cards[place] = replace(old, fields=(*old.fields, *new), advice=old.advice and card.advice)


def cards_of(opened: Opened, errands: Iterable[ToDo]) -> list[Card]:
    """Return the questions of some errands of one stage, in their order; a question is asked once."""
    assert opened.record is not None
    pile, told = _Pile(), _Questions(opened.pack, opened.record)
    for errand in errands:
        for place in errand.places:
            for card in told.about(errand, place):
                pile.add(card)
    return [_not_there_last(_without_doubles(card)) for card in pile.cards]


class _Questions:
    def __init__(self, pack: Pack, record: Record) -> None:
        self.pack, self.record = pack, record

    def about(self, errand: ToDo, place: str) -> Iterator[Card]:
        """Yield the cards of one errand at one place: one for each row of the record that it is told in."""
        asked: dict[tuple[str, str], list[Asked]] = {}
        for what in errand.what:
            words = re.sub(r", with a fit instrument \(.*\)$", "", what)
            for one in ask(self.pack, self.record, words, place, errand):
                asked.setdefault((one.section, one.subject), []).append(one)
        for (section, subject), found in asked.items():
            first = found[0]
            yield Card(
                section, subject, first.title or place, _each_once(one for each in found for one in each.fields),
                errand.instrument, first.state, first.fixed, first.parts or (place,), errand.stage, errand.gate.value,
                errand.again, errand.advice,
            )  # fmt: skip


def _each_once(fields: Iterable[Ask]) -> tuple[Ask, ...]:
    return tuple({one.column: one for one in reversed(list(fields))}.values())[::-1]


def _not_there_last(card: Card) -> Card:
    """Return a card that asks last whether the thing is there at all, where everything else says that it is."""
    last = [one for one in card.fields if one.column == IS and one.optional]
    return replace(card, fields=(*(one for one in card.fields if one not in last), *last)) if last else card


def _without_doubles(card: Card) -> Card:
    """Return a card whose row says of a device that it is there by what is read on it, where something is."""
    read = [one for one in card.fields if one.column != IS and not one.optional]
    if card.section != "devices" or not read:
        return card
    fields = tuple(
        replace(one, choices=tuple(c for c in one.choices if c[0] != "as drawn"), optional=True)
        if one.column == IS else one for one in card.fields
    )  # fmt: skip
    return replace(card, fields=fields)


def ask(pack: Pack, record: Record, what: str, place: str, errand: ToDo) -> Iterator[Asked]:
    """Yield the rows that answer one datum at one place; one without a section where that cannot be told in cells."""
    if what in _ANSWERED_ELSEWHERE:
        return
    for pattern, answer in _WORDS:
        match = re.fullmatch(pattern, what)
        found = match and answer(Asking(pack, record, place, errand, match))
        if found:
            yield from [found] if found.fields else []
            return
    yield Asked("", place, (Ask("", "by hand", what),))


_ANSWERED_ELSEWHERE = frozenset({
    "cells in series that the reading between the mains lies over", "when the joint was torqued and when re-checked",
})  # fmt: skip
"""What is known once something else has been told that is asked for as well."""


_ENDS = r"(?P<plus>\S+) to (?P<minus>[^\s,]+)"
_WORDS: tuple[tuple[str, Answer], ...] = (
    ("whether a module is fitted", asked_module(IS, "fitted")),
    (r"post at which \+ is", asked_module("plus at", "where + is")),
    ("module type", asked_module("type", "type on its label")),
    ("serial number", asked_module("serial", "serial number")),
    ("rest voltage", asked_rest),
    ("internal resistance", lambda a: a.number("modules", "resistance", "internal resistance", ("mΩ", "µΩ"))),
    ("capacity", lambda a: a.number("modules", "capacity", "capacity")),
    ("whether it is fitted|where it lands", asked_fitted),
    ("condition", asked_condition),
    ("part number", asked_part),
    ("torque", asked_joint("torque", "torque")),
    ("joint resistance|resistance", asked_joint("resistance", "resistance of the joint", ("µΩ", "mΩ"))),
    ("re-check", asked_recheck),
    ("paint mark", asked_mark),
    ("direction of its arrow", asked_arrow),
    ("DC voltage printed on it", asked_printed("volts", "DC voltage printed on it")),
    ("rated current printed on it", asked_printed("rating", "rated current printed on it")),
    ("breaking capacity printed on it", asked_printed("breaks", "breaking capacity printed on it")),
    ("where the tap sits", asked_tap),
    ("whether its cap is on", asked_cap),
    (f"{RUNS}|{FELT}", asked_vent),
    ("screws fitted", asked_screws),
    ("numbers? (?P<names>[a-z, ]+)", asked_counts),
    ("tools out and in", asked_tools),
    ("the statement `extra: none`", asked_extra),
    ("length of the clamped stack", asked_clamp("length", "length over the end plates")),
    ("torque of the clamp rods", asked_clamp("torque", "torque of the rods")),
    (r"voltage with its sign, red lead on the first(?:, (?P<state>.+))?", asked_reading),
    (r"voltage from main \+ to main −", asked_mains),
    (rf"voltage from {_ENDS}(?: with (?:the (?P<state>plug \w+)|every disconnect open))?", asked_reading),
    (rf"voltage from {_ENDS}, (?P<state>disconnects in and \S+ open)", asked_reading),
    ("voltage across it.*", asked_across),
    ("the value of the reading", asked_unread),
    ("voltage", asked_voltage),
    (ISOLATION_TEST, asked_isolation_test),
    (f"{FOUND}|condition in which the test was taken|time at which the test was taken", asked_test),
    ("kind of (?:the instrument|tool)", asked_instrument("kind", "what kind of instrument it is")),
    ("date its calibration is due", asked_instrument("due", "when its calibration is due")),
    ("range of the tool", asked_instrument("range", "its range, from and to, with units")),
    ("tightenings since its calibration", asked_instrument("cycles", "tightenings since its calibration")),
)


_RESISTANCE = {"joints": ("µΩ", "mΩ"), "modules": ("mΩ", "µΩ")}
_INSTRUMENTS = {"torque": "click wrench", "rest": "multimeter", "value": "multimeter", "length": "rule",
                "resistance": "micro-ohmmeter", "capacity": "cycler", "mass": "scale"}  # fmt: skip


def card_again(opened: Opened, section: str, subject: str, column: str) -> Card | None:
    """Return the question for a cell, None where there is no such column."""
    sheet = SHEETS.get(section)
    if sheet is None or (column != IS and column not in sheet.columns):
        return None
    field = _field(opened.pack, section, column)
    instrument = _INSTRUMENTS.get(column, "") if field.kind == "number" else EYES
    parts = tuple(dict.fromkeys((subject, conductor_of(subject))))
    return Card(section, subject, subject, (field,), instrument, parts=parts, again=True)


def _field(pack: Pack, section: str, column: str) -> Ask:
    sheet = SHEETS[section]
    if column == IS:
        return Ask(IS, "choice", "what it is", choices=tuple((word, word) for word in sheet.words))
    cell = sheet.columns[column]
    if cell.dimension is not None:
        units = UNITS.get(column) or _RESISTANCE.get(section) or (cell.dimension.unit,)
        return Ask(column, "number", column, units)
    if cell.count:
        return Ask(column, "count", column)
    if cell.words:
        return Ask(column, "choice", column, choices=tuple((word, word) for word in cell.words))
    if cell.nodes:
        return Ask(column, "places", column)
    if column == "plus at":
        posts = {post: None for kind in pack.module_types.values() for post in kind.posts}
        return Ask(column, "choice", "where + is", choices=tuple((post, f"+ at {post}") for post in posts))
    return Ask(column, "text", column)
