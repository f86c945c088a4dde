"""A layout written out: what its ranges and patterns stand for, so that an engineer sees what was understood."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from packcheck.files.name_lists import list_places
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.model import Conductor, Pack, Position
from packcheck.model.pack.parts import needed_parts
from packcheck.model.pack.types import Bounds
from packcheck.render.page import USUAL_WIDTH, Page, plural

_NOT_SAID = "not stated"


def render_expanded(pack: Pack, *, width: int = USUAL_WIDTH) -> str:
    """Return the layout with every position, conductor, joint, device, tap and part written out.

    Parameters
    ----------
    pack : the layout, read.
    width : columns of the terminal; rows of tables are not wrapped.
    """
    page = Page(width)
    title = f": {pack.title}" if pack.title else ""
    page.say(f"Layout {pack.name}, revision {pack.revision}{title}")
    page.say(f"{pack.file}: {_census(pack)}")
    _module_types(page, pack)
    _joint_types(page, pack)
    _strings(page, pack)
    _table(
        page,
        "POSITIONS",
        ("position", "module", "group", "+ at", "face", "− at", "face", "at mm"),
        (_position(pack, position) for position in pack.positions.values()),
    )
    _table(
        page,
        "CONDUCTORS",
        ("conductor", "kind", "part", "body", "lands on"),
        (_conductor(pack, conductor) for conductor in pack.conductors.values()),
    )
    _table(page, "JOINTS", ("joint", "lands on", "type", "torque", "face"), _joints(pack))
    _table(page, "DEVICES", ("device", "kind", "ends", "across", "rating"), _devices(pack))
    _table(page, "OUTSIDE AND STATES", ("name", "is"), _outside(pack))
    _table(page, "SENSE TAPS", ("tap", "sits on", "connector", "pin"), _taps(pack))
    _table(
        page,
        "PARTS the finished pack holds",
        ("part", "needed"),
        ((part, str(count)) for part, count in sorted(needed_parts(pack).items())),
    )
    _silent(page, pack)
    return page.text()


def _census(pack: Pack) -> str:
    counts = (
        (len(pack.positions), "module"),
        (len(pack.conductors), "conductor"),
        (len(pack.joints), "joint"),
        (len(pack.devices), "device"),
        (len(pack.taps), "sense tap"),
    )
    return ", ".join(plural(count, noun) for count, noun in counts)


def _module_types(page: Page, pack: Pack) -> None:
    page.heading("MODULE TYPES")
    for kind in pack.module_types.values():
        page.item(
            f"{kind.name}: {kind.chemistry}, {plural(kind.cells, 'cell')} in series, nominal"
            f" {format_quantity(kind.nominal_v, 'V')}, rest {_band(kind.rest_v, 'V')}, highest"
            f" {format_quantity(kind.highest_v, 'V')}, resistance {format_quantity(kind.resistance_ohm, 'Ω')};"
            f" posts {', '.join(f'{p.name} on face {p.face}' for p in kind.posts.values())};"
            f" {'bars still fit' if kind.bars_fit_turned else 'bars do not fit'} when it is turned"
        )


def _joint_types(page: Page, pack: Pack) -> None:
    page.heading("JOINT TYPES")
    for kind in pack.joint_types.values():
        thread = " ".join(filter(None, (kind.thread, kind.property_class))) or "no thread"
        stack = ", ".join(kind.stack) or _NOT_SAID
        page.item(
            f"{kind.name}: {thread}, torque {_band(kind.torque_n_m, 'N·m')}, resistance"
            f" {_band(kind.resistance_ohm, 'Ω')}, stack from the post outwards: {stack}"
        )


def _strings(page: Page, pack: Pack) -> None:
    page.heading("SERIES STRINGS, from the negative end")
    for string in pack.strings.values():
        page.item(f"{string.name}: {plural(len(string.groups), 'group')} in series, {list_places(string.groups)}")
    if not pack.strings:
        page.say("none written; conductors alone say what is joined", 2)


def _position(pack: Pack, position: Position) -> Sequence[str]:
    group = position.group if position.group != position.name else ""
    at = " ".join(f"{value:g}" for value in position.at_mm)
    plus, minus = position.plus_place, position.minus_place
    return (position.name, position.module_type, group, plus, pack.face_of(plus), minus, pack.face_of(minus), at)


def _conductor(pack: Pack, conductor: Conductor) -> Sequence[str]:
    body = format_quantity(conductor.resistance_ohm, "Ω") if conductor.resistance_ohm is not None else ""
    lands = ", ".join(_signed(pack, landing.node) for landing in conductor.lands)
    return (conductor.name, conductor.kind, conductor.part, body, lands)


def _signed(pack: Pack, node: str) -> str:
    """Return the node with its planned polarity: ``P02.A (−)``."""
    sign = pack.polarity_of(node)
    return f"{node} ({sign})" if sign else node


def _joints(pack: Pack) -> Iterable[Sequence[str]]:
    for name, (_, landing) in pack.joints.items():
        kind = pack.joint_types.get(landing.joint_type)
        torque = _band(kind.torque_n_m, "N·m") if kind else ""
        yield (name, _signed(pack, landing.node), landing.joint_type or _NOT_SAID, torque, pack.face_of(landing.node))


def _devices(pack: Pack) -> Iterable[Sequence[str]]:
    for device in pack.devices.values():
        rating = ", ".join(
            f"{word} {format_quantity(value, unit)}".strip()
            for word, value, unit in (
                ("", device.rating_a, "A"),
                ("", device.volts_v, "V"),
                ("breaks", device.breaks_a, "A"),
                ("", device.resistance_ohm, "Ω"),
            )
            if value is not None
        )
        yield (device.name, device.kind, " and ".join(device.ends), device.across, rating)


def _outside(pack: Pack) -> Iterable[Sequence[str]]:
    for name, node in pack.outside.items():
        yield (name, f"terminal at {node}")
    for outlet in pack.outlets.values():
        made_for = f", made for {format_quantity(outlet.rating_a, 'A')}" if outlet.rating_a else ""
        fed = "" if outlet.fed_by_pack else ", fed from outside"
        yield from ((name, f"outlet at {node}{made_for}{fed}") for name, node in outlet.ends.items())
    for state in pack.states.values():
        closed = f"state with {', '.join(sorted(state.closed))} closed" if state.closed else "state, all open"
        yield (state.name, closed)


def _taps(pack: Pack) -> Iterable[Sequence[str]]:
    for tap in pack.taps.values():
        yield (tap.name, _signed(pack, tap.node), tap.connector, str(tap.pin) if tap.connector else "")


def _band(bounds: Bounds, unit: str) -> str:
    low, high, aim = (
        None if value is None else format_quantity(value, unit) for value in (bounds.low, bounds.high, bounds.aim)
    )
    span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}" if high else ""
    return ", ".join(filter(None, (span, f"aim {aim}" if aim else ""))) or _NOT_SAID


def _silent(page: Page, pack: Pack) -> None:
    """Say what the layout leaves out and which checks stay silent for it."""
    gaps = [
        text
        for text, is_there in (
            ("no serial plan: two modules of one type exchanged cannot be found", bool(pack.plan)),
            ("no order of work", bool(pack.order)),
            ("no sense taps", bool(pack.taps)),
            ("no covers", bool(pack.covers)),
            ("no clamp", pack.clamp is not None),
            ("no temperature probes", bool(pack.probes)),
            ("no vents", bool(pack.vents)),
            (
                "no pollution degree and material group: creepage cannot be judged",
                bool(pack.insulation.pollution_degree and pack.insulation.material_group),
            ),
            ("no isolation resistance asked for", pack.insulation.least_ohm_per_v is not None),
        )
        if not is_there
    ]
    bandless = [kind.name for kind in pack.joint_types.values() if kind.thread and kind.torque_n_m.high is None]
    if bandless:
        gaps.append(f"no torque band for joint type {', '.join(bandless)}")
    if gaps:
        page.heading("NOT STATED in this layout")
        for gap in gaps:
            page.item(gap)


def _table(page: Page, heading: str, titles: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Write a table with columns as wide as their widest cell; columns that stay empty are left out."""
    body = [tuple(row) for row in rows]
    if not body:
        return
    kept = [index for index in range(len(titles)) if any(row[index] for row in body)]
    widths = [max(len(row[index]) for row in [tuple(titles), *body]) for index in kept]
    page.heading(f"{heading} ({len(body)})")
    for row in [tuple(titles), *body]:
        page.verbatim("  ".join(row[index].ljust(width) for index, width in zip(kept, widths, strict=True)), 2)
