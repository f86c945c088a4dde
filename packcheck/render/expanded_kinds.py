"""The kinds of things a layout names, written out: module types, joint types, bar types, loose parts."""

from __future__ import annotations

from packcheck.files.quantities import format_quantity
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.model.pack.types import BarType, JointType, ModuleType, PartSize
from packcheck.render.expanded_words import (
    EVERY,
    NOT_SAID,
    TIMES,
    band,
    exact,
    labelled,
    listed,
    point,
    stated,
    write_table,
)
from packcheck.render.page import Page, plural

FROM_A_STANDARD = 5
"""Significant digits of a dimension that is worked out from those of a standard part."""
_CONDUCTS = {True: "conducts", False: "does not conduct"}


def write_kinds(page: Page, pack: Pack) -> None:
    """Write every kind of module, joint and bar with all that the layout says of it."""
    page.heading("MODULE TYPES")
    for kind in pack.module_types.values():
        page.item(_module_type(kind))
        for post in kind.posts.values():
            at = point(post.at_mm, ", ")
            page.item(f"post {post.name} on face {post.face}, at ({at}) mm, joint {post.joint_type}", "-", 4)
    page.heading("JOINT TYPES")
    for joint in pack.joint_types.values():
        page.item(_joint_type(joint))
    if pack.bar_types:
        page.heading("BAR TYPES")
    for bar in pack.bar_types.values():
        page.item(_bar_type(bar))


def write_parts(page: Page, pack: Pack) -> None:
    """Write how many of each loose part the finished pack holds, and what the layout says of it."""
    needed = needed_parts(pack)
    described = {name: (part.standard, _largest(part), _CONDUCTS[part.conducts]) for name, part in pack.parts.items()}
    rows = [(name, str(needed.get(name, 0)), *described.get(name, ("", "", ""))) for name in {**needed, **described}]
    titles = ("part", "needed", "standard", "largest", "is")
    write_table(page, "PARTS the finished pack holds", titles, sorted(rows))
    if pack.case_parts:
        page.say(f"of them case hardware: {stated(pack.case_parts)}", 2)


def _largest(part: PartSize) -> str:
    """Return the largest dimension of a part: as stated, or as it follows from the standard."""
    digits = FROM_A_STANDARD if part.standard else EVERY
    return "" if part.largest_mm is None else format_quantity(part.largest_mm, "mm", digits)


def _module_type(kind: ModuleType) -> str:
    turned = "bars still fit" if kind.bars_fit_turned else "bars do not fit"
    size = f"size {point(kind.size_mm, TIMES)} mm" if kind.size_mm else ""
    mass = band(kind.mass_g, "g", "usual")
    vent = f"; vent {stated(kind.vent)}" if kind.vent else ""
    return (
        f"{kind.name}: {kind.chemistry}, {plural(kind.cells, 'cell')} in series, "
        + listed(
            labelled("nominal", kind.nominal_v, "V"), f"rest {band(kind.rest_v, 'V')}",
            labelled("highest", kind.highest_v, "V"), labelled("lowest", kind.lowest_v, "V"),
            labelled("capacity", kind.capacity_ah, "Ah"), labelled("resistance", kind.resistance_ohm, "Ω"),
            f"mass {mass}" if mass != NOT_SAID else "", size,
        )
        + f"; {turned} when it is turned{vent}"
    )  # fmt: skip


def _joint_type(kind: JointType) -> str:
    thread = " ".join(filter(None, (kind.thread, kind.property_class))) or "no thread"
    factor = band(kind.nut_factor, "")
    return (
        f"{kind.name}: {thread}, torque {band(kind.torque_n_m, 'N·m')}, resistance"
        f" {band(kind.resistance_ohm, 'Ω', 'usual')}, stack from the post outwards: {', '.join(kind.stack) or NOT_SAID}"
        + (f"; nut factor {factor}" if factor != NOT_SAID else "")
        + (f"; re-check after {exact(kind.recheck_after_h, 'h')}" if kind.recheck_after_h else "; no re-check")
        + (f"; compared with {kind.peers}" if kind.peers != kind.name else "")
    )


def _bar_type(kind: BarType) -> str:
    words = listed(
        kind.metal, f"size {point(kind.size_mm, TIMES)} mm" if kind.size_mm else "",
        labelled("resistance", kind.resistance_ohm, "Ω"), "insulated all over" if kind.insulated else "bare",
    )  # fmt: skip
    return f"{kind.name}: {words}"
