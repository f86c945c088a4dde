"""A card for one step of the work, to hang at the bench: ISO A5, or A4 where it says more."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.exposure.answer import Answer
from packcheck.exposure.bridges import Bridge
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.protection import BY_CLASS
from packcheck.files.name_lists import list_places
from packcheck.model.pack.order import Covers
from packcheck.physics.classes import CLASS_A_LIMIT_V, GLOVE_TEST_MONTHS
from packcheck.render.drawing.document import Heading, document, draw_foot, draw_heading
from packcheck.render.drawing.exposed import figures
from packcheck.render.drawing.paper import Box, rect, text, wrapped
from packcheck.render.exposure_words import NO_PERMISSION, arc_words, number, step_number, work_words

A5, A4 = ("148 210", 559.0, 794.0), ("210 297", 794.0, 1123.0)
"""Sheets of ISO 216: width and height [mm] as text, and [px] at 96 to the inch."""
MARGIN = 34.0
_LABEL = 108.0
_TICKED = frozenset({"Do", "Cover first", "Wear", "There"})


def draw_card(answer: Answer, exposure: Exposure, subject: str, sheet: str) -> str:
    """Return the card of one step as an SVG document the size of A5, or of A4 where A5 is too small.

    ``sheet`` is the file name of the step's drawing, "" where nothing lies bare.
    """
    stage, shock = exposure.stage, exposure.asks.voltage_class
    line = f"{answer.pack.name} revision {answer.pack.revision}; {answer.shown_order}"
    heading = Heading(subject, f"Step {step_number(stage)}", (line,), badge=shock, heavy=shock != "A")
    fields = list(_fields(answer, exposure, sheet))
    for paper, width, height in (A5, A4):  # noqa: B007
        body, y = draw_heading(heading, width, MARGIN)
        for label, lines in fields:
            shapes, y = _field(label, lines, y, width)
            body += shapes
        foot, y = draw_foot(NO_PERMISSION, width, y + 4, MARGIN)
        if y <= height:
            break
    return document(heading, width, max(y, height), [*body, *foot], paper if y <= height else "")


def _field(label: str, lines: list[str], y: float, width: float) -> tuple[list[str], float]:
    """Return a label under a rule with what belongs to it, a box to tick before each thing to do, and where it ends."""
    shapes = [rect(Box(MARGIN, y - 14, width - 2 * MARGIN, 0.8), "dot"), text((MARGIN, y + 6), label, "m", bold=True)]
    left = MARGIN + _LABEL
    y += 6
    for line in lines:
        indent = 20 if label in _TICKED else 0
        for i, piece in enumerate(wrapped(line, width - MARGIN - left - indent)):
            if i == 0 and label in _TICKED:
                shapes.append(rect(Box(left, y - 10, 11, 11), "ring", 2))
            shapes.append(text((left + indent, y), piece, "m"))
            y += 17
        y += 3
    return shapes, y + 18


def _fields(answer: Answer, exposure: Exposure, sheet: str) -> Iterator[tuple[str, list[str]]]:
    stage, asks = exposure.stage, exposure.asks
    yield "Do", [work_words(stage, 60) + (" (the order does not say when)" if stage.unnamed else "")]
    first, waiting = list(asks.cover_first), _waiting(answer, exposure)
    covers = [f"put on {name}" for name in first]
    if waiting:
        covers.append(f"{list_places(waiting)} cannot go on yet: the joints in hand lie under it")
    yield "Cover first", covers or ["nothing that lies bare has a cover that could go on now"]
    bare = list_places(exposure.bare, 12) if exposure.bare else "none of the conductors that the layout places"
    yield "Lies bare", [bare, *([f"drawn in {sheet}"] if sheet else [])]
    yield "Wear", _wear(exposure)
    yield "There", _there(exposure)
    yield "Figures", list(_figures(exposure))


def _wear(exposure: Exposure) -> list[str]:
    own = ["insulated tools, face shield, no jewellery"]
    if not exposure.asks.gloves:
        return own
    return [f"rubber gloves {exposure.asks.gloves}, tested within {GLOVE_TEST_MONTHS} months, air-tested before use,"
            " leather over them", *own]  # fmt: skip


def _there(exposure: Exposure) -> list[str]:
    if exposure.asks.second_person:
        return ["a second person who does not touch the pack"]
    return ["the one who does the work, trained for it, under local rules"]


def _figures(exposure: Exposure) -> Iterator[str]:
    largest, across, bridge = exposure.largest, exposure.across, exposure.worst_of_all
    if largest and across:
        yield (
            f"largest section {number(largest.rest_v, 'V')} at rest, {number(largest.highest_v, 'V')} at most;"
            f" bridged end to end {number(across.current_a, 'A')}, up to {number(across.power_w, 'W')}"
        )
    yield from _bridge(bridge)
    if exposure.touch_v > CLASS_A_LIMIT_V:
        yield f"two hands reach {number(exposure.touch_v, 'V')} between bare conductors of one section"
    if exposure.floating:
        yield f"a bridge may join two floating sections: up to {number(exposure.then_v, 'V')} across the next"
    yield from exposure.asks.notes
    yield f"indicative figures; {BY_CLASS[0].split(':')[0]}"


def _bridge(bridge: Bridge | None) -> Iterator[str]:
    if bridge is None:
        yield "no bridge within reach of what was asked about"
    else:
        yield f"worst bridge {bridge.a} to {bridge.b}, by {bridge.by}: {figures(bridge)}; {arc_words(bridge.source)}"


def _waiting(answer: Answer, exposure: Exposure) -> list[str]:
    """Return the covers over joints in hand: they wait for the work under them."""
    over, pack = Covers(answer.pack), answer.pack
    parts = [part for part in sorted(exposure.state.in_hand) if exposure.bare]
    found = dict.fromkeys(
        cover
        for part in parts
        for cover in (over.over(pack.conductors[part]) if part in pack.conductors else over.over_place(part))
        if cover not in exposure.state.covers
    )
    return list(found)
