"""Kinds of things a layout names: module types, joint types, bar types; a bar is held to what its size makes it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files import quantities
from packcheck.files.fields import Fields, Path, as_float
from packcheck.files.problems import nearest_name
from packcheck.files.quantities import Dimension, format_quantity
from packcheck.files.quantities.bands import most_of_module_ohm
from packcheck.model.pack.model import Conductor
from packcheck.model.pack.types import BarType, Bounds, JointType, ModuleType, Point, Post
from packcheck.physics.bolted_joints import COARSE_PITCH_MM
from packcheck.physics.cells import CHEMISTRIES, chemistry_named, chemistry_words
from packcheck.physics.conductors import RESISTIVITY_OHM_MM2_PER_M, bar_ohm

_THREAD = re.compile(r"M\s*(?P<size>\d+)(?:\s*[x×]\s*(?P<pitch>\d+(?:\.\d+)?))?", re.IGNORECASE)


def read_point(fields: Fields, path: Path, value: Any) -> Point | None:
    """Return three lengths [mm], or None where nothing stands."""
    if value is None:
        return None
    lengths = [fields.quantity((*path, i), item, Dimension.LENGTH) for i, item in enumerate(value)]
    x, y, z = (length if length is not None else 0.0 for length in lengths)
    return (x, y, z)


def read_size(fields: Fields, path: Path, value: Any) -> Point | None:
    """Return three lengths above zero [mm], or None where nothing stands."""
    if value is None:
        return None
    x, y, z = (fields.positive((*path, i), item, Dimension.LENGTH) or 1.0 for i, item in enumerate(value))
    return (x, y, z)


def _band(bounds: quantities.Bounds) -> Bounds:
    return Bounds(as_float(bounds.low), as_float(bounds.high), as_float(bounds.aim))


def read_bounds(fields: Fields, path: Path, value: Any, dimension: Dimension) -> Bounds:
    """Return a band in the dimension's unit."""
    return _band(fields.bounds(path, value, dimension))


def read_module_types(
    fields: Fields, table: Mapping[str, Any], faces: Mapping[str, str], joints: Mapping[str, JointType]
) -> dict[str, ModuleType]:
    """Return the module types of a layout by name."""
    return {name: _module_type(fields, name, spec, faces, joints) for name, spec in table.items()}


def _module_type(
    fields: Fields, name: str, spec: Mapping[str, Any], faces: Mapping[str, str], joints: Mapping[str, JointType]
) -> ModuleType:
    path: Path = ("module types", name)

    def number(key: str, dimension: Dimension) -> float | None:
        return fields.positive((*path, key), spec.get(key), dimension)

    rest = _rest_window(fields, (*path, "rest"), spec["rest"])
    lowest = number("lowest", Dimension.VOLTAGE)
    if lowest is not None and rest.low is not None and lowest > rest.low:
        fields.wrong(
            (*path, "lowest"),
            found=f"{spec['lowest']}, above the bottom of the rest window {spec['rest']}",
            needed="the voltage below which a module is rejected for good",
            do="correct the lower of the two, or exchange them",
        )
    highest = number("highest", Dimension.VOLTAGE)
    if highest is not None and rest.high is not None and highest < rest.high:
        fields.wrong(
            (*path, "highest"),
            found=f"{spec['highest']}, below the top of the rest window {spec['rest']}",
            needed="the highest voltage the module can reach, at the end of charge",
            do="correct one of the two",
        )
    capacity, resistance = number("capacity", Dimension.CAPACITY), number("resistance", Dimension.RESISTANCE)
    chemistry = _chemistry(fields, (*path, "chemistry"), spec["chemistry"])
    fields.narrow((*path, "resistance"), most_of_module_ohm(chemistry, spec["cells"], capacity))
    vent = spec.get("vent", {})
    read_point(fields, (*path, "vent", "at"), vent.get("at"))
    if "face" in vent and vent["face"] not in faces:
        fields.unknown((*path, "vent", "face"), vent["face"], faces, "a face of this pack")
    return ModuleType(
        name=name,
        chemistry=chemistry,
        cells=spec["cells"],
        nominal_v=number("nominal", Dimension.VOLTAGE) or 1.0,
        rest_v=rest,
        highest_v=highest or 1.0,
        posts={
            post: _post(fields, (*path, "posts", post), post, p, faces, joints) for post, p in spec["posts"].items()
        },
        capacity_ah=capacity,
        resistance_ohm=resistance or 1e-3,
        size_mm=read_size(fields, (*path, "size"), spec.get("size")),
        mass_g=read_bounds(fields, (*path, "mass"), spec.get("mass"), Dimension.MASS),
        lowest_v=lowest,
        bars_fit_turned=spec.get("turned", "bars still fit") == "bars still fit",
        vent=vent,
    )


def _chemistry(fields: Fields, path: Path, word: str) -> str:
    """Return the usual word for a chemistry; a word that means none is a problem."""
    kind = chemistry_named(word)
    if kind is None:
        near = nearest_name(word, chemistry_words())
        usual = ", ".join(kind.name for kind in CHEMISTRIES)
        do = f"did you mean '{near}'?" if near else "write the chemistry printed on the module or its data sheet"
        fields.wrong(path, found=f"'{word}', which is no chemistry known here", needed=f"one of: {usual}", do=do)
    return kind.name if kind else word


def _rest_window(fields: Fields, path: Path, written: Any) -> Bounds:
    noted = len(fields.problems)
    rest = read_bounds(fields, path, written, Dimension.VOLTAGE)
    if (rest.low is None or rest.high is None) and len(fields.problems) == noted:
        fields.wrong(
            path,
            found=f"{written}",
            needed="a window with two ends",
            do="write the lowest and the highest rest voltage, e.g. 7.5 V to 8.4 V",
        )
    return rest


def _post(
    fields: Fields,
    path: Path,
    name: str,
    spec: Mapping[str, Any],
    faces: Mapping[str, str],
    joints: Mapping[str, JointType],
) -> Post:
    face = spec.get("face", name)
    if face not in faces:
        fields.unknown(
            (*path, "face") if "face" in spec else path, face, faces, "a face of this pack", key="face" not in spec
        )
    if spec["joint"] not in joints:
        fields.unknown((*path, "joint"), spec["joint"], joints, "a joint type of this layout")
    at = read_point(fields, (*path, "at"), spec["at"]) or (0.0, 0.0, 0.0)
    return Post(name=name, at_mm=at, face=face, joint_type=spec["joint"])


def read_joint_types(fields: Fields, table: Mapping[str, Any]) -> dict[str, JointType]:
    """Return the joint types of a layout by name; ``like`` copies another type's keys first."""
    types = {}
    for name in table:
        spec, origin = _merged(fields, name, table)
        types[name] = _joint_type(fields, name, spec, origin)
        if types[name].peers not in table:
            path: Path = ("joint types", origin["compare with"], "compare with")
            fields.unknown(path, types[name].peers, table, "a joint type of this layout")
    return types


def _merged(fields: Fields, name: str, table: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the keys of a joint type and of those it is like, and the type that each key stands in."""
    chain, spec = [name], dict(table[name])
    origin = dict.fromkeys(spec, name)
    while "like" in spec:
        other = spec.pop("like")
        if other not in table:
            fields.unknown(("joint types", chain[-1], "like"), other, table, "a joint type of this layout")
            break
        if other in chain:
            fields.wrong(
                ("joint types", name, "like"),
                found=f"'{name}' is like itself" + (f", through {' and '.join(chain[1:])}" if chain[1:] else ""),
                needed="a joint type that does not lead back here",
                do="write the keys out in one of them, and leave its like: out",
            )
            break
        chain.append(other)
        spec = {**table[other], **spec}
        inherited: dict[str, str] = dict.fromkeys(table[other], str(other))
        origin = {**inherited, **origin}
    return spec, origin


def _joint_type(fields: Fields, name: str, spec: Mapping[str, Any], origin: Mapping[str, str]) -> JointType:
    def at(key: str) -> Path:
        return ("joint types", origin.get(key, name), key)

    after = str(spec.get("recheck", "")).removeprefix("after ")
    return JointType(
        name=name,
        thread=_thread(spec.get("thread", "")),
        property_class=_property_class(fields, at("class"), str(spec.get("class", ""))),
        torque_n_m=read_bounds(fields, at("torque"), spec.get("torque"), Dimension.TORQUE),
        recheck_after_h=fields.positive(at("recheck"), after, Dimension.TIME) if after else None,
        resistance_ohm=read_bounds(fields, at("resistance"), spec.get("resistance"), Dimension.RESISTANCE),
        stack=tuple(spec.get("stack", ())),
        nut_factor=read_bounds(fields, at("nut factor"), spec.get("nut factor"), Dimension.COUNT),
        peers=spec.get("compare with", name),
    )


def _thread(text: str) -> str:
    """Return a thread as its size where it is a coarse one, however it is spelled; else as it is written.

    >>> _thread("m6"), _thread("M 6 x 1.0"), _thread("M8x1"), _thread("1/4-20")
    ('M6', 'M6', 'M8x1', '1/4-20')
    """
    found = _THREAD.fullmatch(text.strip())
    if found is None:
        return text
    size = f"M{found['size']}"
    return size if not found["pitch"] or float(found["pitch"]) == COARSE_PITCH_MM.get(size) else text


def _property_class(fields: Fields, path: Path, text: str) -> str:
    if re.fullmatch(r"\d+,\d+", text):
        point = text.replace(",", ".")
        fields.wrong(path, found=f"a decimal comma in {text}", needed="a decimal point", do=f"write {point}")
    return text


def read_bar_types(fields: Fields, table: Mapping[str, Any]) -> dict[str, BarType]:
    """Return the bar types of a layout by name."""
    return {
        name: BarType(
            name=name,
            metal=spec.get("metal", ""),
            size_mm=read_size(fields, ("bar types", name, "size"), spec.get("size")),
            insulated=spec.get("insulated", False),
            resistance_ohm=fields.positive(
                ("bar types", name, "resistance"), spec.get("resistance"), Dimension.RESISTANCE
            ),
        )
        for name, spec in table.items()
    }


APART = 3.0
"""How many times more or less than its size makes it a bar may be stated; common practice, no source: the current runs
between the landings, which lie closer than the ends, holes and plating take or give some, and alloys differ."""
_METAL = re.compile(rf"\b({'|'.join(RESISTIVITY_OHM_MM2_PER_M)})\b(?![ -](?:plated|clad|coated))")


def metal_named(words: str) -> str | None:
    """Return the metal that a bar is made of by words; None where they name none that is known here, or several.

    >>> metal_named("nickel-plated copper"), metal_named("copper, nickel plated"), metal_named("stainless steel")
    ('copper', 'copper', None)
    """
    found = set(_METAL.findall(words.lower().replace("aluminum", "aluminium")))
    return found.pop() if len(found) == 1 and "stainless" not in words.lower() else None


def hold_to_size(fields: Fields, types: Mapping[str, BarType], conductors: Iterable[Conductor]) -> None:
    """Narrow what is usual of the resistance of each kind of bar to what its size and metal make it.

    Bars with three landings or more are left: of a rail or a plate the drawing does not say which way the current runs.
    """
    branched = {conductor.bar_type for conductor in conductors if len(conductor.lands) > 2}
    for kind in types.values():
        metal = metal_named(kind.metal)
        if kind.name in branched or metal is None or kind.size_mm is None:
            continue
        thick, wide, long = sorted(kind.size_mm)
        ohm = bar_ohm(metal, long, thick * wide)
        made = f"its size in {metal} makes it about {format_quantity(ohm, Dimension.RESISTANCE.unit, 2)}"
        fields.expect(("bar types", kind.name, "resistance"), ohm / APART, ohm * APART, made)
