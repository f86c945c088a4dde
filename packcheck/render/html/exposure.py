"""The exposure through the layout's own order of work: one row a step."""

from __future__ import annotations

from packcheck.exposure.exposed import Exposure
from packcheck.render.exposure_words import (
    INDICATIVE,
    NO_PERMISSION,
    asks_words,
    bare_words,
    bridge_words,
    first_passing_words,
    number,
    step_number,
    work_words,
)
from packcheck.render.html.element import Child, Markup, element, joined, said
from packcheck.render.html.measured import row_of
from packcheck.render.html.subject import Section, Subject, table
from packcheck.render.words import spoken

_HEADS = (
    "step", "work", "lies bare", "largest section, rest / most", "bridged end to end", "power at most", "class",
    "asks for", "worst bridge within reach", "finding",
)  # fmt: skip


def exposure(subject: Subject) -> Section:
    """Return the exposure at each step of the layout's own order, built up."""
    exposures = subject.dossier.exposures
    if not exposures:
        file = subject.pack.file
        words = f"The layout states no order of work. `packcheck exposure {file}` proposes one, with its exposure."
        return Section("exposure", "Exposure through the work", element("p", said(words)))
    body = [
        element("p", element("b", first_passing_words(subject.dossier.passing))),
        element("p", NO_PERMISSION),
        table("Step by step, in the layout's own order", _HEADS, (_step(subject, one) for one in exposures),
              (3, 4, 5)),
        element("ul", [element("li", words) for words in INDICATIVE], class_="quiet small"),
    ]  # fmt: skip
    return Section("exposure", "Exposure through the work", joined(body))


def _step(subject: Subject, one: Exposure) -> Markup:
    largest, across, worst = one.largest, one.across, one.worst_of_all
    bare = f"{len(one.bare)}: {bare_words(one)}" if one.bare else "0"
    cells: list[Child] = [step_number(one.stage), spoken(work_words(one.stage)), spoken(bare)]
    if largest and across:
        cells += [f"{largest.rest_v:.1f} / {number(largest.highest_v, 'V')}", number(across.current_a, "A"),
                  number(across.power_w, "W")]  # fmt: skip
    else:
        cells += ["", "", ""]
    cells += [
        one.asks.voltage_class,
        spoken("; ".join(asks_words(one))),
        spoken(bridge_words(worst)) if worst else "none",
    ]
    return row_of(subject, "step", cells, (3, 4, 5), one.stage.number)
