"""The text of a first layout: its sections in the order in which an engineer reads them."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.model.scaffold.wanted import BAR, CELL_OHM, PITCH, TORQUES, Wanted, names_of, number, todo
from packcheck.model.scaffold.wiring import conductors, devices, sensing, states


def head(wanted: Wanted) -> Iterator[str]:
    """Yield what the layout is."""
    in_group = f", {wanted.parallel} in parallel" if wanted.parallel > 1 else ""
    strings = f"; {wanted.strings} strings in parallel" if wanted.strings > 1 else ""
    yield "# A first layout. Every number with TODO behind it is assumed: put that of the data sheet in its place,"
    yield "# then take the TODO away. `packcheck check` judges it, `packcheck show` writes it out to be signed."
    yield "layout: 1"
    yield f"name: {wanted.name}"
    cells = f"{wanted.cells} {wanted.chemistry} {'cell' if wanted.cells == 1 else 'cells'}"
    yield f"title: {wanted.modules} modules of {cells} in series{in_group}{strings}"
    yield "revision: 1"
    yield ""
    faces = "{A: front, B: back}" if wanted.faces == "two faces" else "{T: top}"
    yield f"faces: {faces}   # stand before the long side: x runs right, y away from you, z up"
    yield ""


def types(wanted: Wanted) -> Iterator[str]:
    """Yield the module type."""
    nominal, low, high, highest = (number(wanted.cells * volts) for volts in wanted.cell_v)
    ohm = number(wanted.cells * CELL_OHM * 1000)
    yield "module types:"
    yield "  module:"
    yield f"    chemistry: {wanted.chemistry}"
    yield _if_assumed(wanted, "cells", f"    cells: {wanted.cells}", "in series in one module")
    yield todo(f"    nominal: {nominal} V", "data sheet")
    yield todo(f"    rest: {low} V to {high} V", "rest voltage window in which a module may be fitted")
    yield todo(f"    highest: {highest} V", "end of charge")
    yield todo(f"    resistance: {ohm} mΩ", "data sheet, or measured")
    yield todo(f"    size: [{PITCH - 4} mm, 280 mm, 100 mm]", "measured, along x, y and z")
    yield "    posts:"
    first, second = wanted.posts
    face = ("", "") if wanted.faces == "two faces" else ("face: T, ", "face: T, ")
    at = ("0 mm, 60 mm", "280 mm, 60 mm") if wanted.faces == "two faces" else ("40 mm, 100 mm", "240 mm, 100 mm")
    for post, which, where in ((first, face[0], at[0]), (second, face[1], at[1])):
        yield todo(f"      {post}: {{at: [{(PITCH - 4) // 2} mm, {where}], {which}joint: post}}", "measured")
    yield todo("    turned: bars still fit", "or: bars do not fit, when a module is put in turned end for end")
    yield ""


def joints(wanted: Wanted) -> Iterator[str]:
    """Yield joint types and bar types."""
    low, high = TORQUES[wanted.thread]
    size = wanted.thread.lower()
    stud = wanted.joint == "stud"
    stack = [f"washer-{size}", *([f"nut-{size}", f"cap-{size}"] if stud else [f"screw-{size}"])]
    yield "joint types:"
    yield "  post:"
    yield _if_assumed(wanted, "thread", f"    thread: {wanted.thread}", "measured")
    yield todo("    class: 8.8", "property class of the stud, screw or insert")
    aim = number((low + high) / 2)
    yield todo(f"    torque: {number(low)} N·m to {number(high)} N·m, aim {aim} N·m", "the maker of the module")
    yield todo("    recheck: after 12 h", "how long the joint settles")
    yield todo("    resistance: 50 µΩ, at most 100 µΩ", "usual and largest, from good joints")
    yield f"    stack: [bar, {', '.join(stack)}]   # from the post outwards"
    yield f"  lug: {{like: post, stack: [lug-{size}, {', '.join(stack)}]}}"
    yield "bar types:"
    for name, length in (("bar", _bar_mm(wanted)), *([("end-bar", _end_mm(wanted))] if wanted.parallel > 1 else [])):
        yield todo(f"  {name}: {{metal: copper, size: [{length} mm, {BAR} mm, 3 mm], resistance: 20 µΩ}}", "drawing")
    if wanted.strings > 1:
        yield todo(
            "  rail: {metal: copper, size: [700 mm, 30 mm, 8 mm], resistance: 15 µΩ, insulated: true}", "drawing"
        )
    yield ""


def positions(wanted: Wanted) -> Iterator[str]:
    """Yield where the modules stand."""
    of = ", ".join(wanted.members)
    yield "positions:"
    for names in names_of(wanted):
        shift = 600 * (names.number - 1)
        corner = f"0 mm, 0 mm, {shift} mm" if wanted.faces == "two faces" else f"0 mm, {shift} mm, 0 mm"
        yield f"  {names.all}:"
        if of:
            yield f"    of: [{of}]"
        yield "    module: module"
        yield todo(f"    first at: [{corner}]", "corner of the first module")
        yield todo(f"    step: [{PITCH} mm, 0 mm, 0 mm]", "from one module to the next")
        yield f"    plus at: [{', '.join(wanted.posts)}]   # of each group in turn"
    yield ""


def around(wanted: Wanted) -> Iterator[str]:
    """Yield covers, parts, isolation, creepage and surge."""
    faces = ("A", "B") if wanted.faces == "two faces" else ("T",)
    size = wanted.thread.lower()
    yield "covers:"
    for face in faces:
        yield todo(f"  C{face}: {{over: face {face}, screws: 6 screw-m4}}", "number of screws")
    yield "parts:   # what can drop; largest dimension of what follows no standard"
    yield f"  washer-{size}: ISO 7089 {wanted.thread}"
    if wanted.joint == "stud":
        yield f"  nut-{size}: ISO 4032 {wanted.thread}"
        yield f"  cap-{size}: {{conducts: false}}"
    else:
        yield todo(f"  screw-{size}: ISO 4762 {wanted.thread} x 16", "length")
    for part in (f"lug-{size}", f"eyelet-{size}", "screw-m4"):
        yield todo(f"  {part}: {{largest: {18 if part == 'screw-m4' else 25} mm}}", "measured")
    yield "isolation:"
    yield todo("  at least: 100 Ω/V", "what the responsible engineer asks for")
    yield todo("  workshop floor: 1 MΩ", "what the workshop accepts")
    yield todo("creepage: {pollution degree: 2, material group: IIIa}", "dirt, and the tracking index of the surface")
    if wanted.strings > 1 or wanted.parallel > 1:
        yield todo("surge: {at most: 20 A}", "what may flow when parallel parts are joined")
    yield "# order: and clamp: are still to be written; `packcheck exposure FILE --format yaml` proposes an order"


def _if_assumed(wanted: Wanted, key: str, line: str, what: str) -> str:
    return todo(line, what) if key in wanted.assumed else line


def _end_mm(wanted: Wanted) -> int:
    return PITCH * (wanted.parallel - 1) + BAR


def _bar_mm(wanted: Wanted) -> int:
    return PITCH * (2 * wanted.parallel - 1) + BAR


_SECTIONS = (head, types, joints, positions, conductors, devices, states, sensing, around)


def scaffold_text(wanted: Wanted) -> str:
    """Return a whole layout as YAML."""
    return "\n".join(line for section in _SECTIONS for line in section(wanted)) + "\n"
