"""Conductors: the bars of series strings worked out, and bars, links and leads written out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from packcheck.files.fields import Fields, Path, counted
from packcheck.files.quantities import Dimension
from packcheck.model.pack.kinds import read_size
from packcheck.model.pack.model import CHASSIS, Conductor, Device, Landing, Position, String
from packcheck.model.pack.types import BarType, JointType, ModuleType

LUG = "lug"
"""Name of the joint type that leads take where nothing else is said."""


class Ground:
    """What a conductor may land on, and the joint type there."""

    def __init__(
        self,
        positions: Mapping[str, Position],
        types: Mapping[str, ModuleType],
        devices: Mapping[str, Device],
        joints: Mapping[str, JointType],
        conductors: Iterable[str],
        end_joints: Mapping[str, str] | None = None,
    ) -> None:
        self.post_joint = {
            f"{p.name}.{post.name}": post.joint_type
            for p in positions.values()
            for post in types[p.module_type].posts.values()
        }
        self.ends = dict.fromkeys(end for device in devices.values() for end in device.ends)
        self.end_joints = end_joints or {}
        self.joints = joints
        self.conductors = dict.fromkeys(conductors)

    def __contains__(self, node: str) -> bool:
        return node in self.post_joint or node in self.ends or node in self.conductors or node == CHASSIS

    def names(self) -> list[str]:
        """Return every name a conductor may land on."""
        return [*self.post_joint, *self.ends, *self.conductors]

    def joint_type(self, node: str, kind: str, stated: str) -> str:
        """Return the joint type of a landing: stated, else the device's, else a lead's lug, else the post's own."""
        if stated:
            return stated
        if node in self.end_joints:
            return self.end_joints[node]
        if node in self.post_joint and kind == "bar":
            return self.post_joint[node]
        if LUG in self.joints:
            return LUG
        return self.post_joint.get(node, "")


def landings(conductor: str, nodes: Sequence[str], joint_types: Sequence[str]) -> tuple[Landing, ...]:
    """Return the landings of a conductor, joints named by position, or by the full place where it lands there twice."""
    at = [node.rpartition(".")[0] or node for node in nodes]
    count = Counter(at)
    return tuple(
        Landing(
            node=node,
            joint_type=joint_type,
            joint=f"{conductor}/{short if count[short] == 1 and not _is_end(node) else node}",
        )
        for node, short, joint_type in zip(nodes, at, joint_types, strict=True)
    )


def _is_end(node: str) -> bool:
    return node.endswith((".1", ".2"))


def read_series(
    fields: Fields,
    table: Mapping[str, Any],
    positions: Mapping[str, Position],
    ground: Ground,
    bars: Mapping[str, BarType],
) -> tuple[dict[str, String], list[Conductor]]:
    """Return the series strings, and the bars that join + of each group to − of the next."""
    groups: dict[str, list[Position]] = {}
    for position in positions.values():
        groups.setdefault(position.group, []).append(position)
    strings: dict[str, String] = {}
    conductors: list[Conductor] = []
    for name, spec in table.items():
        path: Path = ("series", name)
        through = fields.names((*path, "through"), spec["through"])
        twice = [group for group, count in Counter(through).items() if count > 1]
        if twice:
            fields.wrong(
                (*path, "through"), found=f"'{twice[0]}' twice", needed="each position or group once in a string",
                why="a string that comes back to a module is a ring", do="write the one that was meant",
            )  # fmt: skip
        wanted = len(through)
        through = fields.all_known((*path, "through"), through, groups, "a position or group of this layout")
        dropped = fields.names((*path, "drop"), spec["drop"]) if "drop" in spec else []
        strings[name] = String(name, tuple(through), spec.get("bar", ""), tuple(dropped))
        if len(through) < wanted:
            written = spec.get("names", [])
            for word in [written] if isinstance(written, str) else written:
                fields.leave_unread(word)
            continue
        conductors.extend(_string_bars(fields, path, strings[name], spec, [groups[g] for g in through], ground, bars))
    return strings, conductors


def _string_bars(
    fields: Fields,
    path: Path,
    string: String,
    spec: Mapping[str, Any],
    through: list[list[Position]],
    ground: Ground,
    bars: Mapping[str, BarType],
) -> Iterable[Conductor]:
    names = fields.names((*path, "names"), spec["names"]) if "names" in spec else []
    if not names:
        _leave_out(fields, path, spec, len(through))
        return
    if through and len(names) != len(through) - 1:
        fields.wrong(
            (*path, "names"),
            found=f"{counted(len(names), 'name')} for {counted(len(through), 'group')}",
            needed=f"{counted(len(through) - 1, 'name')}: one bar between each two groups",
            do="correct the names or what the string goes through; a bar that is left out keeps its name, under drop:",
        )
        for name in names:
            fields.leave_unread(name)
        return
    fields.all_known((*path, "drop"), string.left_out, set(names), "a bar of this string", choices=lambda: names)
    bar_type = _bar_type(fields, (*path, "bar"), string.bar, bars)
    for name, here, there in zip(names, through, through[1:], strict=False):
        if name in string.left_out:
            continue
        nodes = [p.plus_place for p in here] + [p.minus_place for p in there]
        lands = landings(name, nodes, [ground.joint_type(node, "bar", "") for node in nodes])
        yield Conductor(
            name=name,
            kind="bar",
            lands=lands,
            part=string.bar,
            bar_type=string.bar,
            series=string.name,
            resistance_ohm=bar_type.resistance_ohm if bar_type else None,
            size_mm=bar_type.size_mm if bar_type else None,
            insulated=bool(bar_type and bar_type.insulated),
        )


def _leave_out(fields: Fields, path: Path, spec: Mapping[str, Any], groups: int) -> None:
    """Note that the bars of a string have no names, if it has bars, or that their names cannot be read."""
    if "names" in spec:
        fields.leave_unread(str(spec["names"]))
    elif groups > 1:
        fields.wrong(
            path,
            found=f"no 'names' in series / {path[-1]}",
            needed="'names' (names of its bars, one fewer than groups)",
            do=f"add names: with {counted(groups - 1, 'name')}; an empty list, [], where its bars are written out",
            key=True,
        )


def _bar_type(fields: Fields, path: Path, name: str, bars: Mapping[str, BarType]) -> BarType | None:
    if name and name not in bars:
        fields.unknown(path, name, bars, "a bar type of this layout")
    return bars.get(name)


def read_conductors(
    fields: Fields, section: str, table: Mapping[str, Any], ground: Ground, bars: Mapping[str, BarType]
) -> list[Conductor]:
    """Return the conductors written out under ``bars`` or ``leads``."""
    return [c for key, spec in table.items() for c in _written_out(fields, section, key, spec, ground, bars)]


def _written_out(
    fields: Fields, section: str, name: str, spec: Mapping[str, Any], ground: Ground, bars: Mapping[str, BarType]
) -> Iterable[Conductor]:
    path: Path = (section, name)
    lands: list[str] = list(spec["lands"])
    if len(lands) < 2:
        fields.wrong(
            (*path, "lands"),
            found=counted(len(lands), "landing"),
            needed="two landings or more",
            why="a conductor joins things",
            do="write every place it lands on, e.g. [P12.B, SD.1]",
        )
        fields.leave_unread(name)
        return
    for index, node in enumerate(lands):
        if node not in ground:
            fields.unknown((*path, "lands", index), node, ground.names(), "a place, a device's end or a conductor")
        elif node in lands[:index]:
            fields.wrong((*path, "lands", index), found=f"'{node}' twice", needed="each place once in a conductor",
                         do="write the other place it lands on, or take one of the two out")  # fmt: skip
        elif node == name:
            fields.wrong((*path, "lands", index), found=f"'{node}' landing on itself", needed="another part",
                         do="write the place it lands on")  # fmt: skip
    stated = spec.get("joint", "")
    if stated and stated not in ground.joints:
        fields.unknown((*path, "joint"), stated, ground.joints, "a joint type of this layout")
    bar_type = _bar_type(fields, (*path, "type"), spec.get("type", ""), bars)
    kind = spec.get("kind", "bar" if section == "bars" else "lead")
    lands = [node for node in dict.fromkeys(lands) if node in ground and node != name]
    flat = "bar" if section == "bars" else "lead"
    resistance = fields.positive((*path, "resistance"), spec.get("resistance"), Dimension.RESISTANCE)
    yield Conductor(
        name=name,
        kind=kind,
        part=spec.get("part", spec.get("type", "")),
        bar_type=spec.get("type", ""),
        lands=landings(name, lands, [ground.joint_type(node, flat, stated) for node in lands]),
        length_mm=fields.positive((*path, "length"), spec.get("length"), Dimension.LENGTH),
        resistance_ohm=resistance if resistance is not None else bar_type.resistance_ohm if bar_type else None,
        size_mm=read_size(fields, (*path, "size"), spec.get("size")) or (bar_type.size_mm if bar_type else None),
        insulated=bool(spec.get("insulated", bar_type.insulated if bar_type else False)),
    )
