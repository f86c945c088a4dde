"""Layout document -> Pack: every reference between parts is resolved here and nowhere later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from packcheck.files.document import Document
from packcheck.files.fields import Fields
from packcheck.files.names import RangeProblem, expand_names
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems
from packcheck.files.quantities import Dimension
from packcheck.files.schema import check_document, check_quantities
from packcheck.files.suggestions import dashed_range
from packcheck.model.pack.asked_tests import PARTS, read_tests
from packcheck.model.pack.conductors import Ground, read_conductors, read_series
from packcheck.model.pack.kinds import hold_to_size, read_bar_types, read_joint_types, read_module_types
from packcheck.model.pack.model import CHASSIS, Conductor, Device, Pack, Position, String
from packcheck.model.pack.planned_order import read_planned_order
from packcheck.model.pack.positions import read_positions
from packcheck.model.pack.surroundings import (
    check_vent_ends,
    read_clamp,
    read_covers,
    read_insulation,
    read_parts,
    read_zipped,
)
from packcheck.model.pack.test_limits import check_curves
from packcheck.model.pack.types import JointType, ModuleType
from packcheck.model.pack.unstated import assumed_in
from packcheck.model.pack.wiring import (
    read_devices,
    read_outlets,
    read_outside,
    read_sense_limit,
    read_states,
    read_taps,
)


def read_pack(document: Document) -> Pack:
    """Return the pack that a layout document describes.

    Raises
    ------
    InputProblems : everything wrong with the layout, all at once where one mistake does not hide another.
    """
    problems = check_document(document, "layout")
    if problems:
        raise InputProblems([*problems, *check_quantities(document, "layout")])
    fields = Fields(document)
    _no_dashes(fields, document.root)
    pack = _pack(fields, document.root)
    _own_names(fields, document.root, pack)
    check_vent_ends(fields, document.root.get("vents", {}), pack)
    parts = {section: tuple(getattr(pack, section)) for section in PARTS}
    pack = replace(pack, tests=read_tests(fields, document.root.get("tests", {}), parts))
    fields.raise_problems()
    check_curves(fields, pack)
    fields.raise_problems()
    assumed = assumed_in(document.lines)
    return replace(pack, stated=fields.stated, assumed_lines=assumed, sha256=document.sha256)


def _no_dashes(fields: Fields, root: Mapping[str, Any]) -> None:
    """Refuse names that are ranges written with a long dash, before all that refers to their members."""
    for section in (*PARTS, "series"):
        table = root.get(section)
        for name in table if isinstance(table, Mapping) else ():
            meant = dashed_range(str(name))
            if meant:
                found = f"'{name}', a range with a dash"
                fields.wrong((section, name), key=True, found=found, needed="two dots between", do=f"write {meant}")
    fields.raise_problems()


def _pack(fields: Fields, root: Mapping[str, Any]) -> Pack:
    faces = dict(root["faces"])
    joint_types = read_joint_types(fields, root["joint types"])
    bar_types = read_bar_types(fields, root.get("bar types", {}))
    module_types = read_module_types(fields, root["module types"], faces, joint_types)
    positions = read_positions(fields, root["positions"], module_types)
    written = {"bars": root.get("bars", {}), "leads": root.get("leads", {})}
    landed = {node for table in written.values() for spec in table.values() for node in spec["lands"]}
    devices = read_devices(fields, root.get("devices", {}), landed)
    end_joints = _end_joints(fields, root.get("devices", {}), devices, joint_types)
    named = [*written["bars"], *written["leads"]]
    ground = Ground(positions, module_types, devices, joint_types, named, end_joints)
    strings, series_bars = read_series(fields, root.get("series", {}), positions, ground, bar_types)
    ground.conductors.update(dict.fromkeys(c.name for c in series_bars))
    loose = [
        c for section, table in written.items() for c in read_conductors(fields, section, table, ground, bar_types)
    ]
    conductors = _once(fields, [*series_bars, *loose], written, positions, devices)
    hold_to_size(fields, bar_types, conductors.values())
    nodes = _nodes(positions, module_types, conductors, devices)
    harness = root.get("harness", {})
    taps = read_taps(fields, root.get("taps", {}), harness, nodes)
    return Pack(
        name=root["name"],
        title=root.get("title", ""),
        revision=root["revision"],
        file=fields.document.file,
        faces=faces,
        module_types=module_types,
        joint_types=joint_types,
        bar_types=bar_types,
        positions=positions,
        strings=strings,
        conductors=conductors,
        devices=devices,
        outside=read_outside(fields, root["outside"], nodes),
        outlets=read_outlets(fields, root.get("outlets", {}), nodes),
        states=read_states(fields, root["states"], devices),
        taps=taps,
        harness=dict(harness),
        sense_limit_a=read_sense_limit(fields, harness),
        **_around(fields, root, faces, positions, strings),
        order=read_planned_order(
            fields, root, strings, (*positions, *(p.group for p in positions.values()), *conductors, *devices, *taps)
        ),
        plan=_plan(fields, root.get("plan", {}), positions),
        origins=_origins(fields, root),
        notes=root.get("notes", ""),
    )


def _around(
    fields: Fields,
    root: Mapping[str, Any],
    faces: Mapping[str, str],
    positions: Mapping[str, Position],
    strings: Mapping[str, String],
) -> dict[str, Any]:
    """Return what lies around the network: covers, parts, clamp, isolation, probes, vents, strings in parallel."""
    return {
        "covers": read_covers(fields, root.get("covers", {}), faces),
        "parts": read_parts(fields, root.get("parts", {})),
        "case_parts": dict(root.get("case", {})),
        "parallel_strings": _parallel(fields, root.get("parallel strings", []), strings),
        "clamp": read_clamp(fields, root.get("clamp")),
        "insulation": read_insulation(fields, root.get("isolation", {}), root.get("creepage", {})),
        "surge_limit_a": fields.positive(("surge", "at most"), root.get("surge", {}).get("at most"), Dimension.CURRENT),
        "probes": read_zipped(fields, "probes", root.get("probes", {}), "on", positions),
        "vents": read_zipped(fields, "vents", root.get("vents", {}), "over", positions),
    }


def _end_joints(
    fields: Fields, written: Mapping[str, Any], devices: Mapping[str, Device], types: Mapping[str, JointType]
) -> dict[str, str]:
    """Return the joint type of every device's end for which the layout states one."""
    joints: dict[str, str] = {}
    for name, spec in written.items():
        joint = spec.get("joint")
        if joint is not None and joint not in types:
            fields.unknown(("devices", name, "joint"), joint, types, "a joint type of this layout")
        elif joint is not None:
            joints.update(dict.fromkeys(devices[name].ends, joint))
    return joints


def _once(
    fields: Fields,
    conductors: list[Conductor],
    written: Mapping[str, Any],
    positions: Mapping[str, Position],
    devices: Mapping[str, Device],
) -> dict[str, Conductor]:
    """Return the conductors by name, each once; a conductor may not be named like a position or a device."""
    by_name: dict[str, Conductor] = {}
    for conductor in conductors:
        section = "leads" if conductor.name in written["leads"] else "bars" if conductor.name in written["bars"] else ""
        path: tuple[str, ...] = (section, conductor.name) if section else ("series", conductor.series, "names")
        if conductor.name in by_name:
            fields.wrong(
                path,
                found=f"'{conductor.name}' a second time",
                needed="each conductor once",
                key=bool(section),
                do="give one of the two another name",
            )
        elif conductor.name in positions or conductor.name in devices:
            fields.wrong(
                path,
                found=f"'{conductor.name}', which is already a position or a device",
                needed="a name of its own",
                key=bool(section),
                do="give it another name",
            )
        by_name[conductor.name] = conductor
    return by_name


def _own_names(fields: Fields, root: Mapping[str, Any], pack: Pack) -> None:
    """Refuse a device, cover, probe or vent line that is named like another part: findings go by the names."""
    taken = {**dict.fromkeys(pack.conductors, "a conductor"), **dict.fromkeys(pack.positions, "a position")}
    for section, what in (
        ("devices", "a device"),
        ("covers", "a cover"),
        ("probes", "a probe"),
        ("vents", "a vent line"),
    ):
        names = {name: key for key in root.get(section, {}) for name in _expanded(key)}
        for name, key in names.items():
            if name in taken and (taken[name], what) != ("a conductor", "a device"):  # those are refused as conductors
                fields.wrong((section, key), found=f"'{name}', which is already {taken[name]}", key=True,
                             needed="a name of its own", do="give one of the two another name")  # fmt: skip
        taken |= dict.fromkeys(names, what)


def _nodes(
    positions: Mapping[str, Position],
    types: Mapping[str, ModuleType],
    conductors: Mapping[str, Conductor],
    devices: Mapping[str, Device],
) -> frozenset[str]:
    places = (f"{p.name}.{post}" for p in positions.values() for post in types[p.module_type].posts)
    return frozenset((*places, *conductors, *(end for d in devices.values() for end in d.ends), CHASSIS))


def _parallel(
    fields: Fields, written: list[Any], strings: Mapping[str, String]
) -> tuple[tuple[tuple[str, ...], ...], ...]:
    banks = []
    for index, bank in enumerate(written):
        members = tuple((m,) if isinstance(m, str) else tuple(m) for m in bank)
        for number, member in enumerate(members):
            for name in member:
                if name not in strings:
                    path = ("parallel strings", index, number)
                    fields.unknown(path, name, strings, "a series string of this layout")
        banks.append(members)
    return tuple(banks)


def _plan(fields: Fields, table: Mapping[str, Any], positions: Mapping[str, Position]) -> dict[str, str]:
    plan: dict[str, str] = {}
    taken: dict[str, str] = {}
    for position, serial in table.items():
        if position not in positions:
            fields.unknown(("plan", position), position, positions, "a position of this layout", key=True)
        if str(serial) in taken:
            fields.wrong(
                ("plan", position),
                found=f"serial '{serial}', planned for '{taken[str(serial)]}' already",
                needed="each serial once",
                do="correct the wrong one of the two",
            )
        taken[str(serial)] = position
        plan[position] = str(serial)
    return plan


def _origins(fields: Fields, root: Mapping[str, Any]) -> dict[str, Origin]:
    """Return where each name is written out in the layout, for findings about the layout."""
    sections = ("positions", "joint types", "devices", "bars", "leads", "series", "covers", "module types", "outlets")
    return {
        name: fields.document.mark((section, key), key=True)
        for section in sections
        for key in root.get(section, {})
        for name in (_expanded(key) if section in ("positions", "covers") else (key,))
    }


def _expanded(word: str) -> Iterable[str]:
    """Return the names that a word stands for; the word itself where it is no range that can be read."""
    try:
        return list(expand_names(word))
    except RangeProblem:
        return (word,)
