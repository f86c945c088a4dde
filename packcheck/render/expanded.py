"""A layout written out, all that it says: so that an engineer sees what was understood, and can sign it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Conductor, Pack, Position
from packcheck.model.pack.unstated import unstated
from packcheck.render.expanded_kinds import write_kinds, write_parts
from packcheck.render.expanded_surroundings import write_around
from packcheck.render.expanded_words import NOT_SAID, band, exact, labelled, listed, point, write_table
from packcheck.render.page import USUAL_WIDTH, Page, plural

_SIGNING = "I have read this layout as it is written out here, and answer for it."


def render_expanded(pack: Pack, *, width: int = USUAL_WIDTH) -> str:
    """Return the layout with every position, conductor, joint, device, tap and part written out, and all it says.

    Parameters
    ----------
    pack : the layout, read.
    width : columns of the terminal; rows of tables are not wrapped.
    """
    page = Page(width)
    title = f": {pack.title}" if pack.title else ""
    page.say(f"Layout {pack.name}, revision {pack.revision}{title}")
    page.say(f"{pack.file}: {_census(pack)}")
    if pack.sha256:
        page.say(f"SHA-256 {pack.sha256}")
    if pack.notes:
        page.heading("NOTES")
        page.say(pack.notes, 2)
    page.heading("FACES")
    for face, seen in pack.faces.items():
        page.item(f"{face}: seen from {seen}")
    write_kinds(page, pack)
    _strings(page, pack)
    write_table(
        page,
        "POSITIONS",
        ("position", "module", "group", "+ at", "face", "− at", "face", "at mm"),
        (_position(pack, position) for position in pack.positions.values()),
    )
    write_table(
        page,
        "CONDUCTORS",
        ("conductor", "kind", "part", "type", "body", "lands on", "length", "size mm", "is"),
        (_conductor(pack, conductor) for conductor in pack.conductors.values()),
    )
    write_table(page, "JOINTS", ("joint", "lands on", "type", "torque", "face"), _joints(pack))
    titles = ("device", "kind", "ends", "across", "rating", "direction", "interlock", "part")
    write_table(page, "DEVICES", titles, _devices(pack))
    write_table(page, "OUTSIDE AND STATES", ("name", "is"), _outside(pack))
    write_table(page, "SENSE TAPS", ("tap", "sits on", "connector", "pin"), _taps(pack))
    write_around(page, pack)
    write_parts(page, pack)
    _silent(page, pack)
    page.heading("SIGNED")
    page.say(_SIGNING, 2)
    page.verbatim(f"Name {'_' * 22}  Signature {'_' * 20}  Date {'_' * 11}", 2)
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


def _strings(page: Page, pack: Pack) -> None:
    page.heading("SERIES STRINGS, from the negative end")
    for string in pack.strings.values():
        bars = f"; bars {string.bar}" if string.bar else ""
        left_out = f"; left out: {list_places(string.left_out)}" if string.left_out else ""
        groups = f"{plural(len(string.groups), 'group')} in series, {list_places(string.groups)}"
        page.item(f"{string.name}: {groups}{bars}{left_out}")
    if not pack.strings:
        page.say("none written; conductors alone say what is joined", 2)
    for bank in pack.parallel_strings:
        page.item(f"in parallel with each other: {'; '.join(', then '.join(member) for member in bank)}")


def _position(pack: Pack, position: Position) -> Sequence[str]:
    group = position.group if position.group != position.name else ""
    plus, minus = position.plus_place, position.minus_place
    faces = (pack.face_of(plus), pack.face_of(minus))
    return (position.name, position.module_type, group, plus, faces[0], minus, faces[1], point(position.at_mm))


def _conductor(pack: Pack, conductor: Conductor) -> Sequence[str]:
    lands = ", ".join(_signed(pack, landing.node) for landing in conductor.lands)
    kind = pack.bar_types.get(conductor.bar_type)
    bar_type = "" if conductor.bar_type == conductor.part else conductor.bar_type
    size = "" if kind and kind.size_mm == conductor.size_mm else point(conductor.size_mm)
    return (
        conductor.name, conductor.kind, conductor.part, bar_type, exact(conductor.resistance_ohm, "Ω"), lands,
        exact(conductor.length_mm, "mm"), size, "insulated" if conductor.insulated else "",
    )  # fmt: skip


def _signed(pack: Pack, node: str) -> str:
    """Return the node with its planned polarity: ``P02.A (−)``."""
    sign = pack.polarity_of(node)
    return f"{node} ({sign})" if sign else node


def _joints(pack: Pack) -> Iterable[Sequence[str]]:
    for name, (_, landing) in pack.joints.items():
        kind = pack.joint_types.get(landing.joint_type)
        torque = band(kind.torque_n_m, "N·m") if kind else ""
        yield (name, _signed(pack, landing.node), landing.joint_type or NOT_SAID, torque, pack.face_of(landing.node))


def _devices(pack: Pack) -> Iterable[Sequence[str]]:
    for device in pack.devices.values():
        rating = listed(
            exact(device.rating_a, "A"), exact(device.volts_v, "V"), labelled("breaks", device.breaks_a, "A"),
            exact(device.resistance_ohm, "Ω"),
        )  # fmt: skip
        interlock = "opens first" if device.interlock else ""
        ends = " and ".join(device.ends)
        yield (device.name, device.kind, ends, device.across, rating, device.current, interlock, device.part)


def _outside(pack: Pack) -> Iterable[Sequence[str]]:
    for name, node in pack.outside.items():
        yield (name, f"terminal at {node}")
    for outlet in pack.outlets.values():
        made_for = f", made for {exact(outlet.rating_a, 'A')}" if outlet.rating_a else ""
        fed = "" if outlet.fed_by_pack else ", fed from outside"
        yield from ((name, f"outlet at {node}{made_for}{fed}") for name, node in outlet.ends.items())
    for state in pack.states.values():
        closed = f"state with {', '.join(sorted(state.closed))} closed" if state.closed else "state, all open"
        yield (state.name, closed)


def _taps(pack: Pack) -> Iterable[Sequence[str]]:
    for tap in pack.taps.values():
        yield (tap.name, _signed(pack, tap.node), tap.connector, str(tap.pin) if tap.connector else "")


def _silent(page: Page, pack: Pack) -> None:
    """Say what the layout leaves out and which checks stay silent for it."""
    gaps = unstated(pack)
    if gaps:
        page.heading("NOT STATED in this layout")
        for gap in gaps:
            page.item(gap)
