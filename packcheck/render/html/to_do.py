"""What is to be recorded, with a box to tick, in the order in which hands do it."""

from __future__ import annotations

from packcheck.render.html.element import Markup, element, joined, said
from packcheck.render.html.subject import Section, Subject
from packcheck.render.page import plural
from packcheck.render.to_do import trips


def to_do(subject: Subject) -> Section | None:
    """Return the errands; None where nothing that weighs is to be recorded."""
    errands = [errand for errand in subject.report.to_do if not errand.advice]
    if not errands:
        return None
    body: list[Markup] = []
    for trip in trips(errands, everything=True):
        if trip.gate:
            body.append(element("h3", trip.gate))
        if trip.stage:
            body.append(element("p", element("b", trip.stage)))
        body.append(element("ul", [element("li", said(words)) for words in trip.errands], class_="todo"))
    things = sum(errand.count for errand in errands)
    title = f"To do, in the order of the work: {plural(things, 'entry')} in {plural(len(errands), 'line')}"
    return Section("to-do", title, joined(body))
