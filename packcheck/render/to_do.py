"""What is to be recorded, as text: by gate and by stage, in the order in which hands do it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from packcheck.judging.report import Report
from packcheck.judging.to_do import ToDo
from packcheck.render.page import Page, plural
from packcheck.render.words import places_in_words, spoken

MOST_SAID_AGAIN = 4
"""How many places are named once more when the line above names the same ones."""


class Trip(NamedTuple):
    """The errands of one gate and stage in words; ``gate`` and ``stage`` are headings, "" where nothing is new."""

    gate: str
    stage: str
    errands: tuple[str, ...]


def write_to_do(page: Page, errands: Sequence[ToDo], *, everything: bool = False) -> None:
    """Write errands under their gate and stage."""
    for trip in trips(errands, everything=everything):
        if trip.gate:
            page.say(trip.gate, 2)
        if trip.stage:
            page.say(trip.stage, 4)
        for words in trip.errands:
            page.item(words, "[ ]", 6)


def errands_of(report: Report) -> list[ToDo]:
    """Return what is to be recorded and weighs, in the order of the work."""
    return [errand for errand in report.to_do if not errand.advice]


def how_many(errands: Sequence[ToDo]) -> str:
    """Return how much is to be recorded, as the heading of the list goes on."""
    things = sum(errand.count for errand in errands)
    return f"in the order of the work: {plural(things, 'entry')} in {plural(len(errands), 'line')}"


def trips(errands: Sequence[ToDo], *, everything: bool = False) -> Iterator[Trip]:
    """Yield errands in words, those of one gate and stage together, in the order of the work."""
    gate = ""
    for (now, stage), members in groupby(errands, key=lambda errand: (errand.gate.value, errand.stage)):
        words: list[str] = []
        before: tuple[str, ...] = ()
        for errand in members:
            words.append(errand_words(errand, before, everything=everything))
            before = errand.places
        yield Trip(f"By gate '{now}'" if now != gate else "", _capital(spoken(stage)), tuple(words))
        gate = now


def errand_words(errand: ToDo, before: tuple[str, ...] = (), *, everything: bool = False) -> str:
    """Return one errand: what, how, where; with what it has to be where that is known.

    ``before`` are the places of the errand above it; where they are the same they are not said again.
    """
    again = "read again, with something better: " if errand.again else ""
    count = len(errand.places)
    on = f", {plural(count, errand.noun)}" if count > 1 else ""
    same = count > MOST_SAID_AGAIN and errand.places == before
    how = ", ".join(filter(None, [errand.instrument, f"face {errand.face}" if errand.face else ""]))
    target = f" {errand.target}" if errand.target else ""
    places = places_in_words(errand.places, len(errand.places)) if everything else places_in_words(errand.places)
    where = f", at the same {plural(count, errand.noun)}" if same else f"{on}: {places}"
    advice = "advice only: " if errand.advice else ""
    return f"{advice}{again}{'; '.join(errand.what)}{target}{f' ({how})' if how else ''}{where}"


def next_stage(errands: Iterable[ToDo]) -> tuple[ToDo, ...]:
    """Return the errands of the first stage at which something that weighs is still to be recorded."""
    known = tuple(errands)
    first = next((errand for errand in known if not errand.advice), None)
    if first is None:
        return ()
    return tuple(e for e in known if (e.gate, e.stage) == (first.gate, first.stage))


def first_errand(report: Report) -> str:
    """Return what to record first, or "" where nothing is to be recorded."""
    stage = next_stage(report.to_do)
    if not stage:
        return ""
    what = "; ".join(stage[0].what)
    if report.about.kind == "layout":
        return f"An engineer settles in the layout: {what}; which ones, and the rest, is in the list TO DO."
    when = spoken(stage[0].stage)
    at = f" at {when}" if when and not when.startswith("before ") else f" {when}" if when else ""
    return f"Record{at}: {what}; the rest is in the list TO DO, or in `packcheck next {report.about.file}`."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
