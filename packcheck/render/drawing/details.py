"""What lies on and about the modules of one strip: leads, taps, probes, vents, covers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packcheck.files.quantities import Dimension, format_quantity, parse_quantity
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Covers
from packcheck.model.pack.types import Point
from packcheck.render.drawing.canvas import Canvas, corners
from packcheck.render.drawing.faces import Strip
from packcheck.render.drawing.look import DRAWN, GONE, LATER, UNKNOWN
from packcheck.render.drawing.paper import SIZES, Box, circle, hull, in_box, part, rect, strokes, words_px
from packcheck.render.drawing.plan import Plan, Tail

_SAID = {DRAWN: "", GONE: " not fitted", UNKNOWN: ""}


def draw_covers(plan: Plan, strip: Strip, canvas: Canvas, over: Covers) -> None:
    """Draw the outline of each cover over posts of the strip, whole where it is on, broken where it is not."""
    under: dict[str, list[Box]] = {}
    level: dict[str, int] = {}
    for name in strip.modules:
        position = plan.pack.positions[name]
        for place in (position.plus_place, position.minus_place):
            if plan.pack.face_of(place) == strip.face:
                for index, above in enumerate(over.over_place(place)):
                    under.setdefault(above, []).append(canvas.anchors[name][-1])
                    level[above] = max(index, level.get(above, 0))
    for name, boxes in under.items():
        box = hull(boxes).grown(6.0 + 4 * level[name])
        cover, ink = plan.pack.covers[name], plan.look.of(name)
        on = (plan.look.is_record or plan.look.is_work) and ink == DRAWN
        if ink == LATER and name not in plan.look.lit:
            continue
        state = _cover_state(plan.look.of_what, ink, on=on)
        screws = f", {cover.screws} {cover.screw_part}" if cover.screws else ""
        line = "halo" if name in plan.look.lit else "lid lid-on" if on else "lid"
        canvas.add("cover", name, f"cover {name} over {cover.over}{screws}{state}", [rect(box, line, 6)])
        for edge in _edges(box):
            canvas.room.take(edge)
        words = f"cover {name}{state}{screws}"
        width = words_px(words) + 3
        middle = box.x + (box.width - width) / 2
        tops = [Box(middle + step, box.y - SIZES["s"] - 3, width, SIZES["s"] + 1) for step in (0, -90, 90, -180, 180)]
        label = canvas.label(Box(box.x, box.y, box.width, 1), words, spots=tops)
        canvas.anchor(name, label or box)


def _cover_state(of_what: str, ink: str, *, on: bool) -> str:
    if of_what == "plan" or ink == LATER:
        return ""
    return ", on" if on else ", not on" if ink == GONE else ", not recorded"


def _edges(box: Box) -> Iterator[Box]:
    yield Box(box.x, box.y - 0.6, box.width, 1.2)
    yield Box(box.x, box.bottom - 0.6, box.width, 1.2)
    yield Box(box.x - 0.6, box.y, 1.2, box.height)
    yield Box(box.right - 0.6, box.y, 1.2, box.height)


def draw_vents(plan: Plan, strip: Strip, canvas: Canvas) -> None:
    """Draw the vent of each module that has one on the face."""
    for name in strip.modules:
        vent = plan.pack.module_type_at(name).vent
        point = vent_point(plan.pack, name)
        if point is None or vent.get("face") != strip.face:
            continue
        x, y = strip.spot(point)
        radius = max(3.5, min(9.0, 5 * strip.scale))
        slots = [((x - radius * 0.55, y + d), (x + radius * 0.55, y + d)) for d in (-radius * 0.35, radius * 0.35)]
        canvas.room.take(Box(x - radius, y - radius, 2 * radius, 2 * radius))
        lines = [line for line, spec in plan.pack.vents.items() if name in _names(spec.get("over"))]
        served = f", served by vent line {', '.join(lines)}" if lines else ""
        canvas.add("vent", name, f"vent of {name}{served}", [circle((x, y), radius, "ring"), strokes(slots, "thin")])


def vent_point(pack: Pack, name: str) -> Point | None:
    """Return where the vent of a module lies in pack axes [mm]; None where the layout does not say."""
    at = pack.module_type_at(name).vent.get("at")
    if not isinstance(at, list | tuple) or len(at) != 3:
        return None
    x, y, z = (float(parse_quantity(str(value), Dimension.LENGTH)) for value in at)
    origin = pack.positions[name].at_mm
    return origin[0] + x, origin[1] + y, origin[2] + z


def _names(over: object) -> Iterable[str]:
    return over if isinstance(over, tuple | list) else ()


def draw_tails(plan: Plan, tails: Iterable[Tail], canvas: Canvas) -> None:
    """Draw the end of each lead at what it is fixed to, with a tag that tells where it goes."""
    for tail in sorted(tails, key=lambda tail: not tail.moved):
        anchor = _anchor(canvas, tail.node)
        if anchor is None or plan.look.of(tail.name) == LATER:
            continue
        conductor = plan.pack.conductors.get(tail.name)
        planned = " planned here" if tail.name in plan.look.lands else _SAID.get(plan.look.of(tail.name), "")
        state = " found here" if tail.moved else plan.look.after.get(tail.name, planned)
        words = f"{tail.name} → {', '.join(tail.onwards)}{state}"
        length = f", {format_quantity(conductor.length_mm, 'mm')}" if conductor and conductor.length_mm else ""
        kind = conductor.kind if conductor else "a conductor that the layout lacks,"
        title = f"{kind} {tail.name}: from {tail.node} on to {', '.join(tail.onwards)}{length}{state}"
        box = _tag(canvas, anchor, tail.name, words, title, lit=tail.name in plan.look.lit)
        if box is not None:
            canvas.anchor(tail.name, box)


def _tag(canvas: Canvas, anchor: Box, name: str, words: str, title: str, *, lit: bool) -> Box | None:
    """Draw a tag with a thick line to what the lead is fixed to."""
    width, height = words_px(words, bold=True) + 10, SIZES["s"] + 6

    def draw(box: Box) -> str:
        halo = rect(box.grown(3), "halo", 8) if lit else ""
        return part("lead", name, title, [halo, rect(box, "tag", 6), in_box(box, words, bold=True)])

    box = canvas.flag(anchor, width, height, (), draw, "wire", below=True)
    if box is None:
        canvas.homeless.append(words)
    return box


def draw_taps(plan: Plan, taps: Iterable[tuple[str, str]], canvas: Canvas) -> None:
    """Draw each sense tap as a small ring with its name beside what its eyelet lies on."""
    for name, node in taps:
        anchor = _anchor(canvas, node)
        if anchor is None or plan.look.of(name) == LATER:
            continue
        tap = plan.pack.taps[name]
        pin = f", pin {tap.pin} of {tap.connector}" if tap.connector else ""
        width, height = words_px(name, "xs") + 12, SIZES["xs"] + 2

        def draw(box: Box, name: str = name, title: str = f"tap {name} on {node}{pin}") -> str:
            y = box.y + box.height / 2
            inner = Box(box.x + 10, box.y, box.width - 11, box.height)
            shapes = [rect(box, "pad"), circle((box.x + 5, y), 3.2, "ring"), circle((box.x + 5, y), 1.0, "dot")]
            return part("tap", name, title, [*shapes, in_box(inner, name, "xs")])

        box = canvas.flag(anchor, width, height, (), draw, "thin")
        if box is None:
            canvas.homeless.append(f"tap {name} on {node}")
        else:
            canvas.anchor(name, box)


def draw_probes(plan: Plan, probes: Iterable[tuple[str, str]], canvas: Canvas) -> None:
    """Draw each temperature probe on its module, as a resistor with a slanting stroke."""
    for name, position in probes:
        box = canvas.anchors[position][-1]
        kind = str(plan.pack.probes[name].get("kind", ""))
        width, height = words_px(name, "xs") + 22, SIZES["xs"] + 3

        def draw(at: Box, name: str = name, title: str = f"probe {name} on {position}, {kind}") -> str:
            body = Box(at.x + 3, at.y + 3, 14, at.height - 6)
            slant = ((at.x + 2, at.bottom - 1), (at.x + 18, at.y + 1))
            inner = Box(at.x + 20, at.y, at.width - 21, at.height)
            shapes = [rect(at, "pad"), rect(body, "tag"), strokes([slant], "thin"), in_box(inner, name, "xs")]
            return part("probe", name, title, shapes)

        found = canvas.flag(box, width, height, corners(box, width, height), draw, "thin")
        if found is None:
            canvas.homeless.append(f"probe {name} on {position}")
        else:
            canvas.anchor(name, found)


def _anchor(canvas: Canvas, node: str) -> Box | None:
    boxes = canvas.anchors.get(node)
    return boxes[-1] if boxes else None
