"""The current path and the sense connectors: what has no place on a face, drawn in line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packcheck.files.name_lists import list_places
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.model import Device, Pack, Tap
from packcheck.network.current_path import Branch, Item, current_path
from packcheck.render.drawing.canvas import Canvas
from packcheck.render.drawing.document import MARGIN
from packcheck.render.drawing.look import BARE, GONE, UNKNOWN, Look
from packcheck.render.drawing.paper import SIZES, Box, Spot, circle, in_box, part, rect, shortened, strokes, words_px
from packcheck.render.drawing.symbols import LONG, battery, polarity, symbol

ROW, FIRST = 104.0, 50.0
_LEAD_WORDS = 46.0
_STATE = {GONE: "not fitted", UNKNOWN: "not recorded"}
_PIN = 17.0


def draw_path(pack: Pack, look: Look, canvas: Canvas, top: float, right: float) -> float:
    """Draw every branch of the current path, each in as many lines as it needs, and return where they end [px]."""
    y = top + FIRST
    for branch in current_path(pack):
        y = _branch(pack, look, branch, canvas, (MARGIN, y), right) + ROW
    return y - ROW + 50


def _branch(pack: Pack, look: Look, branch: Branch, canvas: Canvas, begin: Spot, right: float) -> float:
    x, y = begin
    x = _junction(canvas, branch.start, x, y)
    for item in branch.items:
        width = _width(pack, look, item)
        if x + width > right - 80:
            canvas.shapes.append(strokes([((x, y), (x + 14, y))], "flow"))
            x, y = begin[0], y + ROW
            canvas.shapes.append(strokes([((x, y), (x + 14, y))], "flow"))
            x += 14
        _item(pack, look, item, canvas, x, y, width)
        x += width
    _junction(canvas, branch.end, x, y, last=True)
    return y


def _junction(canvas: Canvas, name: str, x: float, y: float, *, last: bool = False) -> float:
    """Draw a junction with its name: a main as a post with its sign, any other as a dot."""
    width = max(34.0, words_px(name, bold=True) + 10)
    spot = (x + (width - 12 if last else 12), y)
    line = ((x, y), (spot[0] - 7, y)) if last else ((spot[0] + 7, y), (x + width, y))
    canvas.shapes.append(strokes([line], "line"))
    sign = name[-1] if name.startswith("main ") else ""
    shape = polarity(spot, 8.0, sign) if sign else circle(spot, 3.5, "dot")
    canvas.add("junction", name, f"junction {name}", [shape])
    canvas.write((x + width if last else x, y - 17), name, anchor="end" if last else "start", bold=True)
    canvas.anchor(name, Box(spot[0] - 8, y - 8, 16, 16))
    canvas.room.take(Box(x, y - 8, width, 16))
    return x + width


def _lines(pack: Pack, look: Look, item: Item) -> tuple[str, list[str]]:
    """Return the name of an item and the lines beneath it."""
    name = item.names[0]
    if item.kind == "run":
        counted = f"{len(item.names)} in series" if len(item.names) > 1 else ""
        members = {len(pack.groups[group]) for group in item.names}
        beside = f"{members.pop()} in parallel" if members != {1} and len(members) == 1 else ""
        return list_places(item.names, 3), [line for line in (counted, beside) if line]
    state = _STATE.get(look.of(name), "")
    if item.kind == "device":
        return name, [line for line in (*_device_lines(pack.devices[name]), state) if line]
    conductor = pack.conductors[name]
    length = format_quantity(conductor.length_mm, "mm") if conductor.length_mm else ""
    return name, [line for line in (item.kind, length, state) if line]


def _device_lines(device: Device) -> list[str]:
    told = format_quantity(device.rating_a, "A") if device.rating_a else ""
    ohms = format_quantity(device.resistance_ohm, "Ω") if device.resistance_ohm and not told else ""
    way = f"current {device.current}" if device.current else ""
    return [f"{device.kind} {told or ohms}".strip(), way]


def _width(pack: Pack, look: Look, item: Item) -> float:
    name, below = _lines(pack, look, item)
    least = _LEAD_WORDS if item.kind not in ("run", "device") else LONG + 10
    wide = [words_px(name, bold=True), *(words_px(line, "xs") for line in below)]
    if item.shunted:
        wide += [LONG + 24, *(words_px(", ".join(item.shunted), bold=True) + LONG + 30 for _ in "1")]
    return max(least, *(width + 12 for width in wide))


def _item(pack: Pack, look: Look, item: Item, canvas: Canvas, x: float, y: float, width: float) -> None:
    name, below = _lines(pack, look, item)
    middle = x + width / 2
    begin = middle - LONG / 2
    gone = look.of(item.names[0]) == GONE and item.kind != "run"
    if item.kind in ("run", "device"):
        sides = strokes([((x, y), (begin, y)), ((begin + LONG, y), (x + width, y))], "line")
        shape = battery(begin, y, plus_right=item.forward) if item.kind == "run" else _device(pack, item, begin, y)
        shapes = [sides, shape]
        box = Box(begin, y - 14, LONG, 28)
    else:
        shapes = [strokes([((x + 2, y), (x + width - 2, y))], "gone" if gone else "wire")]
        box = Box(x + 4, y - 5, width - 8, 10)
    if gone:
        shapes.append(rect(box.grown(2), "gone", 3))
    if any(one in look.lit for one in item.names):
        shapes.append(rect(box.grown(5), "halo", 5))
    title = f"{item.kind} {name}: {', '.join(below)}" if below else f"{item.kind} {name}"
    canvas.add("in-line", item.names[0], title, shapes)
    canvas.room.take(box)
    canvas.room.take(Box(x, y - 1, width, 2))
    canvas.write((middle, y - 19), name, anchor="middle", bold=True)
    for i, line in enumerate(below):
        canvas.write((middle, y + 26 + 10 * i), line, "xs", anchor="middle")
    for one in item.names:
        canvas.anchor(one, box)
    _shunted(pack, look, item, canvas, box)


def _device(pack: Pack, item: Item, x: float, y: float) -> str:
    return symbol(pack.devices[item.names[0]].kind, x, y)


def _shunted(pack: Pack, look: Look, item: Item, canvas: Canvas, box: Box) -> None:
    """Draw the devices that lie across another one above it."""
    for level, name in enumerate(item.shunted, 1):
        device = pack.devices[name]
        x, y = box.x, box.middle[1] - 12 - 24 * level
        base = box.middle[1]
        legs = [((x - 6, base), (x - 6, y)), ((x - 6, y), (x, y)), ((box.right, y), (box.right + 6, y)),
                ((box.right + 6, y), (box.right + 6, base))]  # fmt: skip
        state = _STATE.get(look.of(name), "")
        title = " ".join(filter(None, (device.kind, name, "across", item.names[0], state)))
        canvas.add("across", name, title, [strokes(legs, "line"), symbol(device.kind, x, y)])
        canvas.room.take(Box(x - 6, y - 8, LONG + 12, 16))
        canvas.write((box.right + 10, y + 3), name, bold=True)
        canvas.anchor(name, Box(x, y - 8, LONG, 16))


def draw_connectors(pack: Pack, look: Look, canvas: Canvas, top: float, right: float) -> float:
    """Draw each sense connector with its pins in order, and return where they end [px]."""
    by_connector: dict[str, list[Tap]] = {}
    for tap in pack.taps.values():
        if tap.connector:
            by_connector.setdefault(tap.connector, []).append(tap)
    y, x, deep = top, MARGIN, 0.0
    for connector, taps in by_connector.items():
        taps.sort(key=lambda tap: tap.pin)
        head = max(36.0, words_px(connector, "m", bold=True) + 12)
        most = max(1, int((right - MARGIN - head) // _PIN))
        long = head + min(len(taps), most) * _PIN + 6
        if x > MARGIN and x + long > right:
            x, y, deep = MARGIN, y + deep, 0.0
        canvas.write((x, y + 41), connector, "m", bold=True)
        below = y
        for row in _rows(taps, most):
            canvas.shapes.append(rect(Box(x + head, below + 26, len(row) * _PIN + 6, 22), "case", 4))
            for i, tap in enumerate(row):
                _pin(canvas, look, tap, x + head + 3 + i * _PIN, below + 37)
            below += 58 + min(90.0, max(words_px(tap.name, "xs") for tap in row))
        x, deep = x + long + 34, max(deep, below - y)
    return y + deep


def _rows(taps: Sequence[Tap], most: int) -> Iterator[Sequence[Tap]]:
    for start in range(0, len(taps), most):
        yield taps[start : start + most]


def _pin(canvas: Canvas, look: Look, tap: Tap, x: float, y: float) -> None:
    """Draw a pin with its number, the first one square, and the name of its tap beneath."""
    middle = x + _PIN / 2
    bare = look.of(f"{tap.connector}.{tap.pin}") == BARE
    ink = "metal-bare" if bare else "ring"
    shape = rect(Box(middle - 5, y - 5, 10, 10), ink) if tap.pin == 1 else circle((middle, y), 5, ink)
    words = shortened(tap.name, 90, "xs")
    length = words_px(words, "xs")
    under = Box(middle - SIZES["xs"] / 2, y + 13, SIZES["xs"], length + 2)
    above = Box(middle - _PIN / 2, y - 24, _PIN, SIZES["xs"])
    shapes = [shape, in_box(above, str(tap.pin), "xs"), in_box(under, words, "xs", turn=-90)]
    title = f"pin {tap.pin} of {tap.connector}: tap {tap.name} on {tap.node}{', bare' if bare else ''}"
    canvas.shapes.append(part("pin", f"{tap.connector}.{tap.pin}", title, shapes))
    canvas.room.take(Box(middle - 6, y - 6, 12, 12))
    for box in (under, above):
        canvas.room.take(box, words=True)
