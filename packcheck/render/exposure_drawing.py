"""The drawings of an exposure: a sheet for each step at which metal lies bare, one for the rest, a card for each step.

On a sheet bare metal is solid black; metal under a cover is hatched; what is not fitted yet is dotted; the worst bridge
is a white band with black edges, as long as the tool or part that makes it.  Every step's parts are outlined.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from packcheck.exposure.answer import Answer
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.steps import Bareness
from packcheck.files.name_lists import list_places
from packcheck.files.problems import WrongUsage
from packcheck.files.whole_file import drawn_pack, refuse_replacing, remove, write_whole
from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.diagram import draw_connectors
from packcheck.render.drawing.document import MARGIN, Heading, document, draw_foot, draw_heading, subject_of
from packcheck.render.drawing.exposed import Tool, as_exposed, figures, numbered
from packcheck.render.drawing.legend import draw_legend
from packcheck.render.drawing.look import BARE
from packcheck.render.drawing.paper import Box
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.strips import Job, draw_strip
from packcheck.render.exposure_words import NO_PERMISSION, arc_words, number, passing_words, step_number, work_words
from packcheck.render.page import plural
from packcheck.render.step_card import draw_card

NOTHING_BARE = "steps-with-nothing-bare.svg"


def write_drawings(answer: Answer, folder: Path, *, force: bool = False) -> int:
    """Write every sheet and card to a folder, each whole or not at all, and return how many.

    A folder holds the drawings of one pack and one answer: older ones of the same pack make way.

    Raises
    ------
    WrongUsage : the folder can neither be found nor made, or not be written to; or, without ``force``, it holds
        drawings of another pack, or a file of that name which packcheck did not write.
    """
    drawn = dict(drawings(answer))
    try:
        folder.mkdir(exist_ok=True)
    except OSError as wrong:
        raise WrongUsage(f"cannot make the folder {folder}: {wrong.strerror}") from wrong
    there = {path: drawn_pack(path) for path in folder.glob("*.svg")}
    mine = subject_of(Heading(_subject(answer), ""))
    others = sorted({pack for pack in there.values() if pack is not None} - {mine})
    if others and not force:
        raise WrongUsage(f"{folder} holds drawings of {others[0]}; name another folder, or add --force to replace them")
    for name in drawn:
        refuse_replacing(folder / name, force=force)
    for path, pack in there.items():
        if pack is not None and path.name not in drawn:
            remove(path)
    for name, text in drawn.items():
        write_whole(folder / name, text)
    return len(drawn)


def drawings(answer: Answer) -> Iterator[tuple[str, str]]:
    """Yield the file name and the SVG text of every sheet and card, in the order of the work."""
    width = len(str(len(answer.exposures)))
    bareness = Bareness(answer.pack, answer.geometry, answer.asked.caps)
    subject = _subject(answer)
    quiet = []
    for index, exposure in enumerate(answer.exposures, 1):
        sheet = f"step-{index:0{width}d}.svg"
        if exposure.bare:
            yield sheet, draw_step(answer, exposure, bareness)
        else:
            quiet.append(exposure)
        yield f"card-{index:0{width}d}.svg", draw_card(answer, exposure, subject, sheet if exposure.bare else "")
    if quiet:
        yield NOTHING_BARE, _draw_quiet(answer, quiet)


def draw_step(answer: Answer, exposure: Exposure, bareness: Bareness) -> str:
    """Return one step on every face, with the sense connectors, as a self-contained SVG document."""
    pack, look = answer.pack, as_exposed(answer, exposure, bareness)
    plan = Plan(pack, look)
    heading = _heading(answer, exposure)
    width = plan.widest + 2 * MARGIN
    body, y = draw_heading(heading, width)
    shapes, y = draw_legend(look, y, width - MARGIN)
    body += shapes
    job = Job(plan, over_metal=Tool(answer, exposure))
    for strip, share in zip(plan.strips, plan.shares, strict=True):
        shapes, y = draw_strip(job, strip, share, y + 14, set())
        body += shapes
    if any(look.of(f"{tap.connector}.{tap.pin}") == BARE for tap in pack.taps.values()):
        canvas = Canvas(Box(4, y, width - 8, 1e9))
        canvas.write((MARGIN, y + 20), "Sense connectors, their pins bare (black); not to scale", "m", bold=True)
        y = draw_connectors(pack, look, canvas, y + 24, width - MARGIN)
        body += canvas.shapes
    foot, y = draw_foot(NO_PERMISSION, width, y + 6)
    return document(heading, width, y, [*body, *foot])


def _subject(answer: Answer) -> str:
    """Return the pack that the drawings are of: layout, and serial number if recorded."""
    return f"{answer.pack.name} {answer.record.serial if answer.record else ''}".strip()


def _heading(answer: Answer, exposure: Exposure) -> Heading:
    pack, shock = answer.pack, exposure.asks.voltage_class
    title = f"Step {step_number(exposure.stage)}: {work_words(exposure.stage, 4)}"
    lines = (f"{pack.name} revision {pack.revision}", *_notes(exposure))
    return Heading(_subject(answer), title, lines, badge=shock, heavy=shock != "A")


def _notes(exposure: Exposure) -> Iterator[str]:
    """Yield what a step's sheet says in words."""
    for index, section in numbered(exposure)[:4]:
        volts = f"{number(section.rest_v, 'V')} at rest, {number(section.highest_v, 'V')} at most"
        yield f"section [{index}]: {plural(len(section.modules), 'module')}, {list_places(section.modules, 6)}: {volts}"
    if (more := len(numbered(exposure)) - 4) > 0:
        yield f"and {plural(more, 'section')} more"
    bridge = exposure.worst_of_all
    if bridge is None:
        yield "no bridge within reach of what was asked about; what is covered is as live as before"
    else:
        yield f"worst bridge: {bridge.a} to {bridge.b}, {bridge.way}, by {bridge.by}: {figures(bridge)}"
        yield f"indicative: {arc_words(bridge.source)}"
    if exposure.floating:
        yield f"a bridge may join two floating sections: up to {number(exposure.then_v, 'V')} across the next"


def _draw_quiet(answer: Answer, quiet: list[Exposure]) -> str:
    """Return the steps at which no conductor lies bare as one sheet."""
    lines = [passing_words(answer), "What is covered or capped is as live as before."]
    for exposure in quiet:
        volts = f"{number(exposure.highest_v, 'V')} at most, class {exposure.asks.voltage_class}"
        lines.append(f"step {step_number(exposure.stage)}: {work_words(exposure.stage, 8)}; largest section {volts}")
    title = f"{answer.pack.name} revision {answer.pack.revision}: steps at which no conductor lies bare"
    heading = Heading(_subject(answer), title, tuple(lines))
    width = 900.0
    body, y = draw_heading(heading, width)
    foot, y = draw_foot(NO_PERMISSION, width, y)
    return document(heading, width, y, [*body, *foot])
