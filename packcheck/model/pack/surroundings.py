"""What stands around the current path: covers, clamp, loose parts, isolation, probes, vents and where they lead."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields, Path, counted
from packcheck.files.quantities import Dimension
from packcheck.model.pack.kinds import read_bounds
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import Clamp, Cover, Insulation, PartSize
from packcheck.physics.hardware import SCREWS, SIZES, StandardPart, standard_part

_COUNTED = re.compile(r"^(\d+)\s+(\S+)$")
_STANDARD = re.compile(r"^(.*\S)\s+(M\d+)(?:\s*[x×]\s*(\d+(?:\.\d+)?))?$")


def read_counted(fields: Fields, path: Path, written: str | None) -> tuple[int, str]:
    """Return number and part of ``6 screw-m4``; (0, "") where nothing stands."""
    if written is None:
        return 0, ""
    match = _COUNTED.match(written)
    if not match:
        fields.wrong(path, found=f"'{written}'", needed="a number and a part", do="write it as 6 screw-m4")
        return 0, ""
    return int(match[1]), match[2]


def read_covers(fields: Fields, table: Mapping[str, Any], faces: Mapping[str, str]) -> dict[str, Cover]:
    """Return the covers by name; a range of covers takes a list of what each lies over."""
    covers: dict[str, Cover] = {}
    for key, spec in table.items():
        names = fields.names(("covers", key), key, key=True)
        over = spec["over"] if isinstance(spec["over"], list) else [spec["over"]] * len(names)
        if len(over) != len(names):
            fields.wrong(
                ("covers", key, "over"),
                found=f"{counted(len(over), 'place')} for {counted(len(names), 'cover')}",
                needed="one place for each cover",
                do="correct the range of covers or the list of places",
            )
        for place in dict.fromkeys(over):
            if place.startswith("face ") and place.removeprefix("face ") not in faces:
                known = [f"face {face}" for face in faces]
                fields.unknown(("covers", key, "over"), place, known, "a face of this pack")
        screws, part = read_counted(fields, ("covers", key, "screws"), spec.get("screws"))
        for name, place in zip(names, over, strict=False):
            if name in covers:
                fields.wrong(("covers", key), found=f"the cover '{name}' a second time", needed="each cover once",
                             key=True, do="give one of the two another name")  # fmt: skip
            covers[name] = Cover(name, place, screws, part, _faces_under(place, faces))
    return covers


def _faces_under(over: str, faces: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(face for face, seen in faces.items() if over in (face, f"face {face}", seen))


def read_clamp(fields: Fields, spec: Mapping[str, Any] | None) -> Clamp | None:
    """Return the compression of the stack, or None where the layout has none."""
    if spec is None:
        return None
    rods, part = read_counted(fields, ("clamp", "rods"), spec.get("rods"))
    return Clamp(
        length_mm=read_bounds(fields, ("clamp", "length"), spec.get("length"), Dimension.LENGTH),
        rods=rods,
        rod_part=part,
        torque_n_m=read_bounds(fields, ("clamp", "torque"), spec.get("torque"), Dimension.TORQUE),
    )


def read_parts(fields: Fields, table: Mapping[str, Any]) -> dict[str, PartSize]:
    """Return the loose parts that the layout describes, by name."""
    return {name: _part(fields, name, spec) for name, spec in table.items()}


def _part(fields: Fields, name: str, spec: Any) -> PartSize:
    path: Path = ("parts", name)
    written: Mapping[str, Any] = {"standard": spec} if isinstance(spec, str) else spec
    standard, largest, across = written.get("standard", ""), None, None
    if standard and (known := _standard_part(fields, path, standard, "largest" in written)):
        largest, across = known.largest_mm, known.across_mm
    if "largest" in written:
        largest = across = fields.positive((*path, "largest"), written["largest"], Dimension.LENGTH)
    return PartSize(name, largest, across, written.get("conducts", True), standard)


def _standard_part(fields: Fields, path: Path, written: str, is_sized: bool) -> StandardPart | None:
    """Return a part of a standard; a screw needs its length there, unless its size is written beside it."""
    match = _STANDARD.match(written)
    standard, size, length = match.groups() if match else ("", "", None)
    if standard in SCREWS and size in SIZES and length is None:
        if not is_sized:
            fields.wrong(
                path,
                found=f"'{written}', a screw without its length",
                needed="the length of the screw too",
                why="a screw that drops bridges as far as it is long",
                do=f"write it as {written} x 20",
            )
        return None
    known = standard_part(standard, size, None if length is None else float(length))
    if known is None:
        needed, do = "a standard part in the tables, e.g. ISO 4032 M5", "write its size instead: {largest: 10 mm}"
        fields.wrong(path, found=f"'{written}'", needed=needed, do=do)
    return known


def read_insulation(fields: Fields, isolation: Mapping[str, Any], creepage: Mapping[str, Any]) -> Insulation:
    """Return what the layout asks of isolation, creepage and clearance."""
    impulse = fields.positive(("creepage", "impulse"), creepage.get("impulse"), Dimension.VOLTAGE)
    altitude = fields.quantity(("creepage", "altitude"), creepage.get("altitude"), Dimension.LENGTH)
    return Insulation(
        least_ohm_per_v=fields.positive(
            ("isolation", "at least"), isolation.get("at least"), Dimension.RESISTANCE_PER_VOLT
        ),
        floor_ohm=fields.positive(
            ("isolation", "workshop floor"), isolation.get("workshop floor"), Dimension.RESISTANCE
        ),
        pollution_degree=creepage.get("pollution degree"),
        material_group=creepage.get("material group", ""),
        creepage_mm=fields.positive(("creepage", "distance"), creepage.get("distance"), Dimension.LENGTH),
        impulse_kv=None if impulse is None else impulse / 1000,
        altitude_m=None if altitude is None else altitude / 1000,
    )


def read_zipped(
    fields: Fields, section: str, table: Mapping[str, Any], over: str, positions: Mapping[str, Any]
) -> dict[str, dict[str, Any]]:
    """Return probes or vents by name; a range of them takes a list of positions, one each (probes)."""
    found: dict[str, dict[str, Any]] = {}
    for key, spec in table.items():
        names = fields.names((section, key), key, key=True)
        places = fields.names((section, key, over), spec[over])
        fields.all_known((section, key, over), places, positions, "a position of this layout")
        one_each = len(names) > 1 or section == "probes"
        if one_each and len(places) != len(names):
            fields.wrong(
                (section, key, over),
                found=f"{counted(len(places), 'position')} for {counted(len(names), 'name')}",
                needed="one position for each name",
                do="correct the range of names or the list of positions",
            )
        for index, name in enumerate(names):
            mine = places[index : index + 1] if one_each else places
            found[name] = {**spec, over: tuple(mine)}
    return found


OUTLET = "outlet"
"""The name of an outlet that every layout may use."""


def check_vent_ends(fields: Fields, vents: Mapping[str, Any], pack: Pack) -> None:
    """Note every vent line that leads to what is taken for an outlet only because it is no line that is drawn."""
    kinds = _kinds_by_name(pack)
    for key, spec in vents.items():
        to = str(spec["to"])
        if to in pack.vents or to == OUTLET or fields.is_unread(to):
            continue
        near = line_like(to, pack.vents)
        known = kinds.get(to.lower()) or kinds.get(to.split(".")[0].lower())
        if known:
            found, do = f"'{to}', which is {known}", f"write {OUTLET}, or the vent line that takes the gas on"
        elif near:
            found = f"'{to}', which looks like the vent line {near} and is none"
            do = f"draw {to} under vents, or write a line that is drawn, or {OUTLET}"
        else:
            continue
        fields.wrong(
            ("vents", key, "to"), found=found, needed="a vent line of this layout, or an outlet with a name of its own",
            why="a name that is no vent line is taken for a way out of the pack", do=do,
        )  # fmt: skip


def line_like(name: str, lines: Iterable[str]) -> str | None:
    """Return the line that a name may have been meant for: one slip away, or the same but for its number.

    >>> [line_like(name, ["V1", "vent 2"]) for name in ("V7", "v1", "1V", "V", "vent 11", "outlet", "left")]
    ['V1', 'V1', 'V1', 'V1', 'vent 2', None, None]
    """
    return next((line for line in lines if _shape(line) == _shape(name) or _one_slip(line.lower(), name.lower())), None)


def _shape(name: str) -> str:
    return re.sub(r"\d+", "0", name.lower())


def _one_slip(one: str, other: str) -> bool:
    """Return whether a letter put in, left out, taken for another or for its neighbour makes one word of the other."""
    while one and other and one[0] == other[0]:
        one, other = one[1:], other[1:]
    while one and other and one[-1] == other[-1]:
        one, other = one[:-1], other[:-1]
    return max(len(one), len(other)) <= 1 or (len(one) == len(other) == 2 and one == other[::-1])


def _kinds_by_name(pack: Pack) -> dict[str, str]:
    """Return what each name of the layout that is no vent line belongs to."""
    groups = (position.group for position in pack.positions.values() if position.group)
    parts: tuple[tuple[str, Iterable[str]], ...] = (
        ("a tap", pack.taps), ("a probe", pack.probes), ("a face", pack.faces), ("an outlet of current", pack.outlets),
        ("a main of the pack", pack.outside), ("a series", pack.strings), ("a group", groups),
        ("a cover", pack.covers), ("a device", pack.devices), ("a conductor", pack.conductors),
        ("a position of a module", pack.positions),
    )  # fmt: skip
    return {name.lower(): kind for kind, names in parts for name in names}
