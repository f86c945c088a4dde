"""The working: each formula once, with its source, and beneath it every number that it gave."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.files.quantities import format_quantity
from packcheck.judging.working import Number, Working
from packcheck.physics.formulas import FORMULAS, Formula
from packcheck.render.html.element import Markup, element, joined
from packcheck.render.html.subject import Section, Subject, table

PUT_IN, GIVEN = 9, 6
"""Digits of the numbers put in and of the result: enough to reckon it again, also where two nearly cancel out."""


def working(subject: Subject) -> Section | None:
    """Return the working of every computed number; None where there is none."""
    known = subject.dossier.workings
    if not known:
        return None
    body = [element("p", "Every number below can be reckoned again by hand from what stands beside it.")]
    for formula in FORMULAS:
        if chosen := [one for one in known if one.formula is formula]:
            body.append(_formula(formula, chosen))
    return Section("working", "The working", joined(body))


def _formula(formula: Formula, workings: Sequence[Working]) -> Markup:
    rows = (_row(working) for working in workings)
    inside = joined([
        element("p", formula.text, class_="sum"),
        element("p", f"Source: {formula.source}.", f" Holds for: {formula.holds}." if formula.holds else None,
                class_="small"),
        table(f"{formula.name}: numbers put in, and what they give", ("of", "numbers put in", "result"), rows,
              (2,), folds=False),
    ])  # fmt: skip
    name = f"{formula.name} ({len(workings)})"
    return element("details", element("summary", name), element("div", inside, class_="in"))


def _row(working: Working) -> Markup:
    numbers = ", ".join(number_words(number, PUT_IN) for number in working.given)
    return element("tr", element("th", working.about, scope="row"), element("td", numbers),
                   element("td", number_words(working.result, GIVEN), class_="n"))  # fmt: skip


def number_words(number: Number, digits: int) -> str:
    """Return a number as it is put into a formula: ``E = 208.8 V (every module at its highest)``."""
    meaning = f" ({number.meaning})" if number.meaning else ""
    return f"{number.symbol} = {format_quantity(number.value, number.unit, digits)}{meaning}"
