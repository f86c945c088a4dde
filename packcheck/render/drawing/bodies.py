"""Modules, posts and bars of one strip, each in its true place and size."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from packcheck.model.pack.model import Pack
from packcheck.render.drawing.canvas import Canvas, centred
from packcheck.render.drawing.faces import Strip, module_box
from packcheck.render.drawing.look import BARE, CAPPED, DRAWN, GONE, LATER, SHADES, UNDER, UNKNOWN, Look, Sign
from packcheck.render.drawing.paper import SIZES, Box, Spot, around, circle, hull, path, rect, words_px
from packcheck.render.drawing.plan import Laid, Plan
from packcheck.render.drawing.symbols import polarity

_POST_LEAST, _POST_MOST, _LINE = 4.6, 15.0, 8.0
_SHADES = {shade: shade for shade in SHADES}
_CASES = {DRAWN: "case", GONE: "gone", LATER: "gone", UNKNOWN: "case-unknown", **_SHADES}
_METALS = {
    DRAWN: "metal", GONE: "gone", LATER: "gone", UNKNOWN: "metal-unknown", BARE: "metal-bare", UNDER: "metal-under",
    **_SHADES,
}  # fmt: skip
_RINGS = {BARE: "metal-bare", UNDER: "metal-under", CAPPED: "ring"}
_SAID = {DRAWN: "", GONE: ", not fitted", UNKNOWN: ", not recorded whether fitted", BARE: ", bare",
         UNDER: ", under a cover", CAPPED: ", capped",
         LATER: ", not there yet"}  # fmt: skip


def draw_modules(plan: Plan, strip: Strip, canvas: Canvas) -> None:
    """Draw the bodies of the modules."""
    for name in strip.modules:
        box, ink = strip.box(*module_box(plan.pack, name)), plan.look.of(name)
        canvas.anchor(name, box)
        canvas.add("module", name, _module_title(plan.pack, plan.look, name), [rect(box, _CASES.get(ink, "case"), 2)])
        if name in plan.look.lit:
            canvas.shapes.append(rect(box.grown(-2), "halo", 2))


def _module_title(pack: Pack, look: Look, name: str) -> str:
    position = pack.positions[name]
    told = f"module {name}, {position.module_type}, + planned at {position.plus_place}{_SAID.get(look.of(name), '')}"
    return ", ".join(filter(None, (told, look.words.get(name, ""))))


def draw_bars(plan: Plan, strip: Strip, laid: list[Laid], canvas: Canvas) -> None:
    """Draw the bars and links that lie on the strip."""
    for one in laid:
        ink = DRAWN if one.moved or one.stray else plan.look.of(one.name)
        if not one.moved and one.name in plan.look.lands:
            ink = GONE
        title = f"{_kind(plan.pack, one)} {one.name}, {_to(plan.pack, one.places)}{_SAID.get(ink, '')}"
        title = ", ".join(filter(None, (title, plan.look.words.get(one.name, ""))))
        body = plan.bars.get(one.name)
        if body is not None and body.drawn and body.straight and not one.moved and not one.stray:
            box = strip.body(body)
            shapes = [rect(box, _METALS.get(ink, "metal"), 3)]
            canvas.room.take(box)
            if one.name in plan.look.lit:
                shapes.append(rect(box.grown(3.5), "halo", 4))
        else:
            box, shapes = _line_bar(plan, strip, one, ink, canvas)
        canvas.anchor(f"{one.name} as found" if one.moved else one.name, box)
        canvas.add("bar as-found" if one.moved else "bar", one.name, title, shapes)


def draw_rests(plan: Plan, strip: Strip, rests: list[str], canvas: Canvas) -> None:
    """Draw the rest of the bars that have their name and the most of their landings on another strip."""
    for name in rests:
        body = plan.bars.get(name)
        if body is None or not body.drawn or not body.straight:
            continue
        box = strip.body(body)
        left, right = max(box.x, strip.area.x - 5), min(box.right, strip.area.right + 5)
        seen = Box(left, box.y, max(1.0, right - left), box.height)
        ink = GONE if name in plan.look.lands else plan.look.of(name)
        canvas.room.take(seen)
        title = f"the rest of {name}, which another strip shows{_SAID.get(ink, '')}"
        canvas.add("rest", name, title, [rect(seen, _METALS.get(ink, "metal"))])


def _kind(pack: Pack, one: Laid) -> str:
    if one.stray:
        return "a conductor that the layout lacks,"
    kind = pack.conductors[one.name].kind
    return f"{kind}, as found," if one.moved else kind


def _to(pack: Pack, places: tuple[str, ...]) -> str:
    return " to ".join(f"{place} (planned {pack.polarity_of(place)})" for place in places)


def _line_bar(plan: Plan, strip: Strip, one: Laid, ink: str, canvas: Canvas) -> tuple[Box, list[str]]:
    """Return a bar as a broad line from landing to landing: one without a size, or one that is not where it belongs."""
    spots = [strip.spot(point) for place in one.places if (point := plan.pack.point_of(place))]
    conductor = plan.pack.conductors.get(one.name)
    broad = max(_LINE, conductor.size_mm[1] * strip.scale) if conductor and conductor.size_mm else _LINE
    pairs = list(pairwise(spots))
    for a, b in pairs:
        canvas.room.take_line(a, b)
    longest = max(pairs, key=lambda pair: abs(pair[0][0] - pair[1][0]) + abs(pair[0][1] - pair[1][1]))
    middle = ((longest[0][0] + longest[1][0]) / 2, (longest[0][1] + longest[1][1]) / 2)
    whole = hull(around(spot, broad / 2) for spot in spots)
    anchor = whole if min(whole.width, whole.height) <= broad + 1e-6 else around(middle, broad / 2)
    if ink in (GONE, LATER):
        return anchor, [path(spots, "gone")]
    line = {UNKNOWN: "metal-line-unknown", BARE: "metal-line-bare", UNDER: "metal-line-unknown"}.get(ink, "metal-line")
    edge = f'<g stroke-width="{broad + 2.6:.1f}">{path(spots, "metal-edge")}</g>'
    inner = f'<g stroke-width="{broad:.1f}">{path(spots, line)}</g>'
    return anchor, [edge, inner]


def draw_posts(plan: Plan, strip: Strip, canvas: Canvas) -> None:
    """Draw the posts with the sign of what is there."""
    for name in strip.modules:
        position = plan.pack.positions[name]
        gone = plan.look.of(name) in (GONE, LATER)
        for post in (position.plus, position.minus):
            place = f"{name}.{post}"
            if plan.pack.face_of(place) != strip.face:
                continue
            body = plan.posts[place]
            spot = strip.spot(body.centre)
            radius = max(_POST_LEAST, min(_POST_MOST, body.half[0] * strip.scale))
            sign = plan.look.signs.get(place, Sign(plan.pack.polarity_of(place)))
            rim = radius + (3.5 if plan.look.is_work else 0.0)
            canvas.room.take(around(spot, rim + 1), words=True)
            canvas.anchor(place, around(spot, rim))
            seen = sign.seen and not gone
            ring = _RINGS.get(plan.look.of(place))
            around_it = [circle(spot, rim, ring)] if ring else []
            disc = polarity(spot, radius, sign.sign, seen=seen)
            canvas.add("post", place, _post_title(plan, place, sign), [*around_it, disc])


def _post_title(plan: Plan, place: str, sign: Sign) -> str:
    planned = plan.pack.polarity_of(place)
    state = _SAID.get(plan.look.of(place), "")
    if not plan.look.is_record:
        return f"post {place}, planned {planned}{state}"
    return f"post {place}, planned {planned}, {f'seen {sign.sign}' if sign.seen else 'not recorded'}{state}"


def draw_flow(plan: Plan, strip: Strip, laid: list[Laid], canvas: Canvas) -> None:
    """Draw which way the planned discharge current runs: over a bar from + to −, through a module from − to +."""
    for one in laid:
        if one.moved or one.stray or plan.look.of(one.name) == LATER:
            continue
        ends = {sign: [p for p in one.places if plan.pack.polarity_of(p) == sign] for sign in "+−"}
        if ends["+"] and ends["−"]:
            start, end = (_middle(plan, strip, ends[sign]) for sign in "+−")
            head = arrow_head(start, end)
            if canvas.room.is_free(hull(around(s, 0.5) for s in head)) or one.name in plan.bars:
                dark = plan.look.of(one.name) == BARE
                canvas.shapes.append(path(head, "sheet" if dark else "head", closed=True))
                canvas.room.take(hull(around(s, 0.5) for s in head))
    for name in strip.modules:
        position = plan.pack.positions[name]
        boxes = [canvas.anchors.get(place, [None])[0] for place in (position.minus_place, position.plus_place)]
        if boxes[0] is not None and boxes[1] is not None:
            _through(canvas, boxes[0], boxes[1])


def _through(canvas: Canvas, minus: Box, plus: Box) -> None:
    """Draw the way through a module, clear of its posts."""
    (ax, ay), (bx, by) = minus.middle, plus.middle
    length = max(1e-9, ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5)
    ux, uy = (bx - ax) / length, (by - ay) / length
    clear = minus.width / 2 + 12
    if length < 2 * clear + 16:
        return
    start, end = (ax + ux * clear, ay + uy * clear), (bx - ux * clear, by - uy * clear)
    canvas.room.take_line(start, end)
    tip = (end[0] + ux * 4, end[1] + uy * 4)
    canvas.shapes += [path([start, end], "flow"), path(arrow_head(start, tip, at=1.0), "head", closed=True)]


def _middle(plan: Plan, strip: Strip, places: list[str]) -> Spot:
    spots = [strip.spot(point) for place in places if (point := plan.pack.point_of(place))]
    return sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots)


def arrow_head(start: Spot, end: Spot, at: float = 0.5, size: float = 4.5) -> list[Spot]:
    """Return a small triangle that points from start to end, at a share of the way."""
    length = max(1e-9, ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    x, y = start[0] + (end[0] - start[0]) * at, start[1] + (end[1] - start[1]) * at
    base = (x - ux * size, y - uy * size)
    return [(x + ux * size, y + uy * size), (base[0] - uy * size, base[1] + ux * size),
            (base[0] + uy * size, base[1] - ux * size)]  # fmt: skip


def name_bars(laid: list[Laid], look: Look, canvas: Canvas) -> None:
    """Write the name of each bar on it, or beside it where it is too small."""
    for one in laid:
        words = one.name
        key = f"{one.name} as found" if one.moved else one.name
        box = canvas.anchors[key][-1]
        if one.moved:
            words += " found here"
        elif one.stray:
            words += " not in layout"
        elif look.of(one.name) == GONE:
            words += " not fitted"
        elif one.name in look.lands:
            words += " planned here"
        width, height = words_px(words, bold=True) + 3, SIZES["s"] + 1
        on = () if look.of(one.name) in (BARE, UNDER) else _on_bar(box, width, height)
        canvas.label(box, words, bold=True, spots=[*on, *_at_bar(box, width, height)])


def _on_bar(box: Box, width: float, height: float) -> Iterator[Box]:
    """Yield where a name fits on a bar: along it, between its nuts, above the arrow or below it."""
    upright = box.height > box.width
    size = (height, width) if upright else (width, height)
    if box.width < size[0] + 2 or box.height < size[1] + 2:
        return
    middle = centred(box, *size)
    for shift in (0.0, -0.3, 0.3):
        yield Box(middle.x + (shift * box.width if upright else 0), middle.y + (0 if upright else shift * box.height),
                  *size)  # fmt: skip
    for share in (0.25, 0.75):
        along = Box(middle.x, box.y + share * box.height - size[1] / 2, *size)
        across = Box(box.x + share * box.width - size[0] / 2, middle.y, *size)
        yield along if upright else across


def _at_bar(box: Box, width: float, height: float) -> Iterator[Box]:
    """Yield where a name stands beside a bar, over its beginning, so that a tap finds room over its end."""
    for gap in (2.0, 8.0):
        yield Box(box.x, box.y - gap - height, width, height)
        yield Box(box.x, box.bottom + gap, width, height)
    for gap in (2.0, 8.0):
        yield Box(box.right + gap, box.y + (box.height - height) / 2, width, height)
        yield Box(box.x - gap - width, box.y + (box.height - height) / 2, width, height)


def name_modules(look: Look, strip: Strip, canvas: Canvas) -> None:
    """Write the name of each module inside it, upright where it is narrow, clear of what lies on it."""
    for name in strip.modules:
        box = canvas.anchors[name][-1]
        words = name + look.after.get(name, "")
        spot = canvas.room.first(_in_module(box, words_px(words) + 3, SIZES["s"] + 1))
        if spot is None:
            words = name  # the section's number stands where there is room for it
        spots = [spot] if spot else _in_module(box, words_px(words) + 3, SIZES["s"] + 1)
        canvas.label(box, words, spots=spots)


def _in_module(box: Box, width: float, height: float) -> Iterator[Box]:
    for size in ((width, height), (height, width)):
        if size[0] > box.width - 2 or size[1] > box.height - 2:
            continue
        x = box.x + (box.width - size[0]) / 2
        for y in (box.bottom - size[1] - 4, box.y + 4, box.y + (box.height - size[1]) / 2):
            yield Box(x, y, *size)
        for side in (x, box.x + 1, box.right - size[0] - 1):
            for step in range(int((box.height - size[1]) // 5) + 1):
                yield Box(side, box.bottom - size[1] - 5 * step, *size)
