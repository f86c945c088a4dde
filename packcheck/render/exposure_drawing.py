"""SVG drawings of an exposure: one per step and face, in black ink, so that a copy on paper loses nothing.

Bare metal is solid black; metal under a cover is hatched; what is capped is a ring; what is not fitted yet is dotted.
Sections are numbered brackets beneath the face; the worst bridge is a white band with black edges and a flag.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape

from packcheck.exposure.answer import Answer
from packcheck.exposure.bridges import Bridge
from packcheck.exposure.sections import Section
from packcheck.exposure.steps import Bareness
from packcheck.exposure.story import Exposure
from packcheck.files.name_lists import list_places, natural_key
from packcheck.files.problems import WrongUsage
from packcheck.files.replacing import DRAWING_MARK, drawn_pack, refuse_replacing
from packcheck.files.whole_file import remove, write_whole
from packcheck.geometry.bodies import Body
from packcheck.model.pack.model import Pack
from packcheck.render.exposure_marks import legend, nearest_points, section_brackets, svg_rect, svg_text
from packcheck.render.exposure_view import Box, View
from packcheck.render.exposure_words import NO_PERMISSION, arc_words, number, step_number, work_words
from packcheck.render.page import plural, printable

MARGIN, HEAD = 34.0, 118.0
_STYLE = (
    "text{font-family:'Liberation Sans',Arial,Helvetica,sans-serif;fill:#000}"
    ".s{font-size:11px}.m{font-size:14px}.l{font-size:20px;font-weight:bold}.xl{font-size:44px;font-weight:bold}"
    ".mod{fill:#fff;stroke:#777;stroke-width:1}.bare{fill:#000;stroke:#000}"
    ".under{fill:url(#hatch);stroke:#000;stroke-width:1}.not{fill:none;stroke:#000;stroke-width:1;stroke-dasharray:2 3}"
    ".cap{fill:#fff;stroke:#000;stroke-width:1.6}.ink{fill:none;stroke:#000;stroke-width:1.6}.w{fill:#fff}"
)
_HATCH = (
    '<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><line x1="0" y1="0" x2="0" y2="6" stroke="#000" stroke-width="1.6"/>'
    "</pattern>"
)


def write_drawings(answer: Answer, folder: Path, *, force: bool = False) -> int:
    """Write one SVG file per step and face to a folder, each whole or not at all, and return how many.

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
    others = sorted({pack for pack in there.values() if pack is not None} - {escape(subject_of(answer))})
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


def subject_of(answer: Answer) -> str:
    """Return the pack that a drawing is of, as its first comment names it: layout, and serial number if recorded."""
    serial = answer.record.serial if answer.record else ""
    words = f"{answer.pack.name} {serial}".strip()
    return re.sub("-{2,}", "-", printable(words)).strip("-")


def drawings(answer: Answer) -> Iterator[tuple[str, str]]:
    """Yield the file name and the SVG text of every drawing."""
    width = len(str(len(answer.exposures)))
    bareness = Bareness(answer.pack, answer.geometry, answer.asked.caps)
    for index, exposure in enumerate(answer.exposures, 1):
        for face in answer.pack.faces:
            name = f"step-{index:0{width}d}-face-{re.sub('[^A-Za-z0-9]+', '-', face)}.svg"
            yield name, draw(answer, exposure, face, bareness)


def draw(answer: Answer, exposure: Exposure, face: str, bareness: Bareness) -> str:
    """Return one face in one step as a self-contained SVG document."""
    view = View(answer.pack, face, MARGIN, HEAD)
    sections = _sections_on(exposure, view)
    below = HEAD + view.height + 26
    rows, deep = section_brackets(sections, below)
    notes = list(_notes(answer, exposure, face))
    height = deep + 30 + 17 * len(notes) + 70
    width = view.width + 2 * MARGIN
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}"'
        f' height="{height:.0f}"><!-- {DRAWING_MARK}{escape(subject_of(answer))} -->'
        f"<style>{_STYLE}</style><defs>{_HATCH}</defs>"
        f'<rect class="w" width="{width:.0f}" height="{height:.0f}"/>',
        *_head(answer, exposure, face, width),
        *_modules(exposure, view, {name: number_ for number_, section, _ in sections for name in section.modules}),
        *_bodies(answer, exposure, face, view, bareness),
        *_worst(answer, exposure, face, view),
        *rows,
        *(svg_text(MARGIN, deep + 22 + 17 * i, "m", note) for i, note in enumerate(notes)),
        *legend(MARGIN, height - 40),
        svg_text(MARGIN, height - 12, "s", NO_PERMISSION),
        "</svg>\n",
    ]
    return "\n".join(parts)


def _head(answer: Answer, exposure: Exposure, face: str, width: float) -> Iterator[str]:
    pack, shock = answer.pack, exposure.asks.voltage_class
    yield f'<line x1="{MARGIN}" y1="96" x2="{width - MARGIN:.1f}" y2="96" class="ink"/>'
    yield svg_text(MARGIN, 40, "l", f"Step {step_number(exposure.stage)}  {work_words(exposure.stage, 4)}")
    seen = pack.faces.get(face, "")
    yield svg_text(MARGIN, 62, "m", f"face {face}, seen from the {seen}; {pack.name} revision {pack.revision}")
    largest = exposure.largest
    if largest:
        yield svg_text(
            MARGIN,
            82,
            "m",
            f"largest section: {plural(len(largest.modules), 'module')},"
            f" {number(largest.rest_v, 'V')} at rest, {number(largest.highest_v, 'V')} at most",
        )
    x = width - MARGIN - 62
    yield f'<rect x="{x:.1f}" y="18" width="62" height="62" class="ink"/>'
    if shock != "A":
        yield f'<rect x="{x - 5:.1f}" y="13" width="72" height="72" class="ink" stroke-width="3"/>'
    yield svg_text(x + 31, 62, "xl" if len(shock) == 1 else "m", shock, "middle")
    yield svg_text(x + 31, 10, "s", "class", "middle")


def _modules(exposure: Exposure, view: View, number_of: dict[str, int]) -> Iterator[str]:
    """Yield the modules that stand, with name and section number where there is room for them."""
    for name in view.modules:
        box = view.module(name)
        yield svg_rect(box, "mod" if name in exposure.state.positions else "not", 2)
        mark = f"[{number_of[name]}]" if name in number_of else ""
        x, y = box.middle
        if box.width > 7 * len(name) + 4:
            yield svg_text(x, box.y + 12, "s", name, "middle")
            yield svg_text(x, box.y + box.height - 5, "s", mark, "middle")
        elif box.width > 12 and box.height > 7 * len(name) + 24:
            yield (
                f'<text x="{x + 4:.1f}" y="{y:.1f}" class="s" text-anchor="middle"'
                f' transform="rotate(-90 {x + 4:.1f} {y:.1f})">{escape(printable(f"{name} {mark}"))}</text>'
            )


def _bodies(answer: Answer, exposure: Exposure, face: str, view: View, bareness: Bareness) -> Iterator[str]:
    pack, state, bare = answer.pack, exposure.state, set(exposure.bare)
    hidden = {place for name in state.covers for place in bareness.under.get(name, ())}
    boxes = [body for body in answer.geometry.bodies if body.kind in ("bar", "post") and _on(pack, body, face)]
    barred = {place for body in boxes if body.kind == "bar" and body.part in state.conductors for place in body.places}
    for body in boxes:
        if body.kind == "bar":
            fitted = body.part in state.conductors
            kind = "bare" if body.name in bare else "under" if fitted else "not"
            yield svg_rect(view.body(body), kind, 2)
    for body in boxes:
        if body.kind == "post" and body.part in state.positions and body.name not in barred:
            yield from _post(pack, body, view, body.name in bare, body.name in hidden)
    for body in boxes:
        if body.kind == "bar" and body.part in state.conductors:
            yield from _bar_words(body, view, body.name in bare)


def _on(pack: Pack, body: Body, face: str) -> bool:
    if body.kind not in ("post", "bar"):
        return False
    return body.face == face or any(pack.face_of(place) == face for place in body.places)


def _post(pack: Pack, body: Body, view: View, is_bare: bool, is_hidden: bool) -> Iterator[str]:
    x, y = view.body(body).middle
    radius = max(3.0, min(8.0, view.scale * body.half[0]))
    kind = "bare" if is_bare else "under" if is_hidden else "cap"
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" class="{kind}"/>'
    if view.scale * body.half[0] > 3.5:
        yield svg_text(x, y + radius + 12, "s", pack.polarity_of(body.name), "middle")


def _bar_words(body: Body, view: View, is_bare: bool) -> Iterator[str]:
    box = view.body(body)
    if max(box.width, box.height) < 7 * len(body.name):
        return
    x, y = box.middle
    if box.width >= 7 * len(body.name) and is_bare and box.height > 11:
        yield (
            f'<text x="{x:.1f}" y="{y + 4:.1f}" class="s" text-anchor="middle" style="fill:#fff">'
            f"{escape(printable(body.name))}</text>"
        )
    else:
        yield svg_text(x, box.y - 4, "s", body.name, "middle")


def _sections_on(exposure: Exposure, view: View) -> list[tuple[int, Section, list[Box]]]:
    """Return sections of two or more modules, numbered alike on every face, with their rectangles on this face."""
    several = [section for section in exposure.sections if len(section.modules) > 1]
    several.sort(key=lambda section: natural_key(section.modules[0]))
    found = [
        (number_, section, [view.module(name) for name in section.modules if name in view.modules])
        for number_, section in enumerate(several, 1)
    ]
    return sorted((row for row in found if row[2]), key=lambda row: min(box.x for box in row[2]))


def _worst(answer: Answer, exposure: Exposure, face: str, view: View) -> Iterator[str]:
    bridge = exposure.worst_of_all
    by_name = {body.name: body for body in answer.geometry.bodies}
    if bridge is None or bridge.a not in by_name:
        return
    one, other = by_name[bridge.a], by_name[bridge.b]
    if not all(body.kind in ("bar", "post") and _on(answer.pack, body, face) for body in (one, other)):
        return
    (x1, y1), (x2, y2) = nearest_points(view.body(one), view.body(other))
    line = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke-linecap="round"'
    yield f'<line {line} stroke="#000" stroke-width="11"/>'
    yield f'<line {line} stroke="#fff" stroke-width="6.5"/>'
    yield f'<line {line} stroke="#000" stroke-width="2" stroke-dasharray="5 4"/>'
    words = f"worst bridge {bridge.a} to {bridge.b}: {_figures(bridge)}"
    wide = 6.4 * len(words) + 16
    x = min(max((x1 + x2) / 2 - wide / 2, MARGIN), max(MARGIN, MARGIN + view.width - wide))
    y = max(min(y1, y2) - 44, HEAD + 2)
    middle = (x1 + x2) / 2
    yield f'<line x1="{middle:.1f}" y1="{(y1 + y2) / 2:.1f}" x2="{middle:.1f}" y2="{y + 22:.1f}" class="ink"/>'
    yield f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="22" fill="#fff" stroke="#000" stroke-width="2"/>'
    yield svg_text(x + 8, y + 15, "s", words)


def _figures(bridge: Bridge) -> str:
    source = bridge.source
    return (
        f"{number(source.highest_v, 'V')}, {number(source.current_a, 'A')}, up to {number(source.power_w, 'W')},"
        f" class {source.voltage_class}"
    )


def _notes(answer: Answer, exposure: Exposure, face: str) -> Iterator[str]:
    bridge, by_name = exposure.worst_of_all, {body.name: body for body in answer.geometry.bodies}
    on = [c for c in exposure.state.covers if face in answer.pack.covers[c].faces]
    if on:
        yield f"covered by {list_places(on)}"
    if bridge is None:
        yield "no bridge within reach of what was asked about; what is covered is as live as before"
    else:
        where = "" if bridge.a in by_name and _on(answer.pack, by_name[bridge.a], face) else " (not on this face)"
        yield f"worst bridge{where}: {bridge.a} to {bridge.b}, {bridge.way}, by {bridge.by}: {_figures(bridge)}"
        yield f"indicative: {arc_words(bridge.source)}"
    loose = [name for name in exposure.bare if by_name[name].kind in ("pin", "lead end")]
    if loose:
        yield f"bare and without a place on a face: {list_places(loose, 4)}"
    if exposure.floating:
        yield f"a bridge may join two floating sections: up to {number(exposure.then_v, 'V')} across the next"
    if exposure.asks.second_person:
        first = f"; cover first: {list_places(exposure.asks.cover_first)}" if exposure.asks.cover_first else ""
        yield f"asks for gloves {exposure.asks.gloves} and a second person{first}"
