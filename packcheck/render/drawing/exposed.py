"""One step of the work as a look: what is there, what lies bare, under a cover or capped, and the worst bridge."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from packcheck.exposure.answer import Answer
from packcheck.exposure.bridges import Bridge
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.sections import Section
from packcheck.exposure.steps import Bareness
from packcheck.files.name_lists import natural_key
from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.faces import Strip
from packcheck.render.drawing.look import BARE, CAPPED, DRAWN, LATER, UNDER, Look
from packcheck.render.drawing.paper import Box, Spot, around, hull, in_box, part, rect, words_px
from packcheck.render.drawing.room import leader
from packcheck.render.exposure_words import number

_HALF = 5.5
"""Half the width at which a tool is drawn [px]."""


def as_exposed(answer: Answer, exposure: Exposure, bareness: Bareness) -> Look:
    """Return the look of a pack at one step."""
    pack, state, bare = answer.pack, exposure.state, set(exposure.bare)
    hidden = {place for name in state.covers for place in bareness.under.get(name, ())}
    ink = {name: DRAWN if name in state.positions else LATER for name in pack.positions}
    ink |= {name: DRAWN if name in state.covers else LATER for name in pack.covers}
    ink |= {name: DRAWN if name in state.devices else LATER for name in pack.devices}
    ink |= dict.fromkeys(pack.taps, DRAWN if state.taps else LATER)
    after = {name: f" [{index}]" for index, section in numbered(exposure) for name in section.modules}
    for name in pack.conductors:
        ink[name] = LATER if name not in state.conductors else BARE if name in bare else UNDER
    for body in answer.geometry.bodies:
        if body.kind == "post" and body.part in state.positions:
            covered = UNDER if body.name in hidden else CAPPED if body.name in bareness.capped else ""
            ink[body.name] = BARE if body.name in bare else covered or DRAWN
        elif body.kind == "pin" and body.name in bare:
            ink[body.name.split()[1]] = BARE
        elif body.kind == "lead end" and body.name in bare:
            after[body.part] = ", end bare"
    lit = exposure.stage.items if exposure.stage.kind != "positions" else ()
    return Look(ink, after=after, lit=frozenset(lit), of_what="work")


def numbered(exposure: Exposure) -> list[tuple[int, Section]]:
    """Return the sections of two or more modules with the numbers they have on every face."""
    several = [section for section in exposure.sections if len(section.modules) > 1]
    several.sort(key=lambda section: natural_key(section.modules[0]))
    return list(enumerate(several, 1))


class Tool:
    """The worst bridge of a step, drawn over the metal with the true length of what makes it."""

    def __init__(self, answer: Answer, exposure: Exposure) -> None:
        self.bridge = exposure.worst_of_all
        lengths = dict(
            zip(map(id, exposure.worst), (reach.length_mm for reach in answer.geometry.reaches), strict=True)
        )
        self.length_mm = lengths.get(id(self.bridge), 0.0)

    def __call__(self, strip: Strip, canvas: Canvas) -> None:
        """Draw it where both of what it bridges lie on the strip."""
        bridge = self.bridge
        if bridge is None or not canvas.anchors.get(bridge.a) or not canvas.anchors.get(bridge.b):
            return
        one, other = canvas.anchors[bridge.a][0], canvas.anchors[bridge.b][0]
        start, end = _across(one, other, self.length_mm * strip.scale, canvas.room.bounds)
        boxes = list(_along(start, end))
        for box in boxes:
            canvas.room.take(box, words=True)
        line = f'x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}"'
        shapes = [f'<line {line} class="{ink}"/>' for ink in ("tool-edge", "tool", "tool-core")]
        title = f"worst bridge {bridge.a} to {bridge.b}, by {bridge.by}, drawn to scale"
        canvas.add("bridge", bridge.by, title, shapes)
        words = f"worst bridge {bridge.a} to {bridge.b}: {figures(bridge)}"
        canvas.flag(hull(boxes), words_px(words, bold=True) + 12, 17, (), lambda box: _flag(box, words), "line")


def figures(bridge: Bridge) -> str:
    """Return what a bridge would carry, in figures."""
    source = bridge.source
    return (
        f"{number(source.highest_v, 'V')}, {number(source.current_a, 'A')}, up to {number(source.power_w, 'W')},"
        f" class {source.voltage_class}"
    )


def _flag(box: Box, words: str) -> str:
    return part("flag", "worst bridge", words, [rect(box, "tag"), in_box(box, words, bold=True)])


def _across(one: Box, other: Box, length: float, bounds: Box) -> tuple[Spot, Spot]:
    """Return the ends of a tool of a length [px] that lies over the gap between two bodies, its middle on the gap's.

    It lies near the edge of broad bodies, so that the signs of their posts stay in sight, and within the sheet.
    """
    a, b = leader(_edge_of(one), _edge_of(other))
    if hypot(b[0] - a[0], b[1] - a[1]) < 1:
        a, b = one.middle, other.middle
    gap = max(1e-6, hypot(b[0] - a[0], b[1] - a[1]))
    ux, uy = (b[0] - a[0]) / gap, (b[1] - a[1]) / gap
    x, y, half = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2, length / 2
    slack, reach = max(0.0, (length - gap) / 2), abs(ux) * half + _HALF
    shift = max(0.0, bounds.x - (x - reach)) - max(0.0, x + reach - bounds.right)
    along = max(-slack, min(slack, shift / ux)) if abs(ux) > 0.5 else 0.0
    x, y = x + ux * along, y + uy * along
    return (x - ux * half, y - uy * half), (x + ux * half, y + uy * half)


def _edge_of(box: Box) -> Box:
    """Return the edge of a broad body, or the whole of a narrow one."""
    if box.width >= box.height > 26:
        return Box(box.x, box.y, box.width, 2 * _HALF + 2)
    if box.height > box.width > 26:
        return Box(box.x, box.y, 2 * _HALF + 2, box.height)
    return box


def _along(start: Spot, end: Spot) -> Iterator[Box]:
    steps = max(1, int(hypot(end[0] - start[0], end[1] - start[1]) / 6))
    for i in range(steps + 1):
        share = i / steps
        yield around((start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share), _HALF)
