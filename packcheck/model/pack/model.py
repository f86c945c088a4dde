"""A pack as an engineer drew it: typed parts, every reference resolved.

Units are in the names.  Coordinates are pack axes [mm].  Nodes of the electrical network are named as people write
them: a module's post is a *place* (``P01.A``), a conductor's body is the conductor's name (``B01``), a device has two
ends (``SD.1``, ``SD.2``), and ``chassis`` is the body or frame around it all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from functools import cached_property
from typing import NamedTuple

from packcheck.files.fields import Stated
from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.pack.types import BarType, Clamp, Cover, Insulation, JointType, ModuleType, PartSize, Point, Post

CHASSIS = "chassis"
"""The node that is the vehicle's body or the rack's frame: what bonds and isolation monitors lead to."""


class Place(NamedTuple):
    """A module's terminal by where it is: a position, and one of its posts, whichever pole is there."""

    position: str
    post: str


@dataclass(frozen=True)
class Position:
    """Where one module sits: its type, its group, and the post at which + is planned."""

    name: str
    module_type: str
    group: str
    tray: str
    plus: str
    minus: str
    at_mm: Point

    @property
    def plus_place(self) -> str:
        """Return the place where + is planned."""
        return f"{self.name}.{self.plus}"

    @property
    def minus_place(self) -> str:
        """Return the place where − is planned."""
        return f"{self.name}.{self.minus}"


@dataclass(frozen=True)
class Landing:
    """One end of a conductor: the node it lands on, the name of the joint there, and the joint's type ("" if none)."""

    node: str
    joint: str
    joint_type: str


@dataclass(frozen=True)
class Conductor:
    """A bar, link or lead: a body with two or more landings; ``part`` is its bar type where no number is stated."""

    name: str
    kind: str
    lands: tuple[Landing, ...]
    part: str = ""
    bar_type: str = ""
    series: str = ""
    length_mm: float | None = None
    resistance_ohm: float | None = None
    size_mm: Point | None = None
    insulated: bool = False


@dataclass(frozen=True)
class Device:
    """A two-ended device in the current path; ``ends`` are the network nodes of its ends 1 and 2."""

    name: str
    kind: str
    ends: tuple[str, str]
    resistance_ohm: float | None = None
    rating_a: float | None = None
    volts_v: float | None = None
    breaks_a: float | None = None
    current: str = ""
    across: str = ""
    part: str = ""
    interlock: bool = False

    @property
    def always_closed(self) -> bool:
        """Return whether the device conducts in every switching state."""
        return self.kind in ("fuse", "shunt", "bond", "heater") or (
            self.kind == "precharge resistor" and not self.across
        )

    @property
    def is_load(self) -> bool:
        """Return whether its own resistance limits the current: it is no part of a path, and shorts nothing."""
        return self.kind in ("precharge resistor", "heater", "isolation monitor")


@dataclass(frozen=True)
class Outlet:
    """Where something other than the mains meets the pack: one or two nodes ("" for an end it has not).

    ``rating_a`` is the current that its leads, and what it feeds, are made for [A];
    ``fed_by_pack`` is False for the signal loop of an interlock and the like, which has its voltage from outside.
    """

    name: str
    plus: str = ""
    minus: str = ""
    rating_a: float | None = None
    fed_by_pack: bool = True

    @property
    def ends(self) -> dict[str, str]:
        """Return the node of each end it has, by the name that a record may use: ``converter+``."""
        return {self.name + sign: node for sign, node in (("+", self.plus), ("-", self.minus)) if node}


@dataclass(frozen=True)
class Tap:
    """A voltage-sensing point: the node it sits on, and its connector and pin ("" and 0 while not in a harness)."""

    name: str
    node: str
    connector: str = ""
    pin: int = 0


@dataclass(frozen=True)
class State:
    """A named switching state: the devices that are closed in it."""

    name: str
    closed: frozenset[str]


@dataclass(frozen=True)
class String:
    """A series string: its groups from the negative end to the positive end, the type of its bars, those left out."""

    name: str
    groups: tuple[str, ...]
    bar: str = ""
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Pack:
    """The whole layout; a pack is only ever equal to itself.  Mappings keep the order of the file.

    ``sense_limit_a`` is the current [A] that a sense wire carries before its fuse opens or it melts.  ``sha256`` is
    that of the bytes of the file, in hexadecimal digits.  ``assumed_lines`` are those that say that they are assumed.
    """

    name: str
    title: str
    revision: int
    file: str
    faces: Mapping[str, str]
    module_types: Mapping[str, ModuleType]
    joint_types: Mapping[str, JointType]
    bar_types: Mapping[str, BarType]
    positions: Mapping[str, Position]
    strings: Mapping[str, String]
    conductors: Mapping[str, Conductor]
    devices: Mapping[str, Device]
    outside: dict[str, str]
    states: Mapping[str, State]
    taps: Mapping[str, Tap]
    covers: Mapping[str, Cover]
    parts: Mapping[str, PartSize]
    case_parts: Mapping[str, int]
    outlets: Mapping[str, Outlet] = field(default_factory=dict)
    parallel_strings: tuple[tuple[tuple[str, ...], ...], ...] = ()
    clamp: Clamp | None = None
    insulation: Insulation = field(default_factory=Insulation)
    tests: Mapping[str, AskedTest] = field(default_factory=dict)
    surge_limit_a: float | None = None
    probes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    vents: Mapping[str, Mapping[str, object]] = field(default_factory=dict)
    harness: Mapping[str, object] = field(default_factory=dict)
    sense_limit_a: float | None = None
    order: tuple[tuple[str, ...], ...] = ()
    plan: Mapping[str, str] = field(default_factory=dict)
    origins: Mapping[str, Origin] = field(default_factory=dict)
    notes: str = ""
    stated: tuple[Stated, ...] = ()
    assumed_lines: tuple[int, ...] = ()
    sha256: str = ""

    @cached_property
    def groups(self) -> dict[str, tuple[str, ...]]:
        """Return the positions of each parallel group; a position of its own is a group of one."""
        members: dict[str, list[str]] = {}
        for position in self.positions.values():
            members.setdefault(position.group, []).append(position.name)
        return {name: tuple(names) for name, names in members.items()}

    @cached_property
    def joints(self) -> dict[str, tuple[Conductor, Landing]]:
        """Return every joint of the layout by its name."""
        return {
            landing.joint: (conductor, landing) for conductor in self.conductors.values() for landing in conductor.lands
        }

    @cached_property
    def nodes(self) -> frozenset[str]:
        """Return the names a reading or a landing may use: places, conductors, device ends, and the chassis."""
        ends = (end for device in self.devices.values() for end in device.ends)
        return frozenset((*self.places, *self.conductors, *ends, CHASSIS))

    @cached_property
    def terminals(self) -> dict[str, str]:
        """Return the node of every terminal outside, the mains first, by the name that a record may use."""
        return self.outside | {end: node for outlet in self.outlets.values() for end, node in outlet.ends.items()}

    def node_of(self, name: str) -> str | None:
        """Return the network node that a written name means: a node, a tap or an outside terminal."""
        if name in self.nodes:
            return name
        if name in self.taps:
            return self.taps[name].node
        return self.terminals.get(name)

    def module_type_at(self, position: str) -> ModuleType:
        """Return the module type planned at a position."""
        return self.module_types[self.positions[position].module_type]

    @cached_property
    def places(self) -> dict[str, Place]:
        """Return every place of the pack by its name: ``P02.A``."""
        types = self.module_types
        return {
            f"{position.name}.{post}": Place(position.name, post)
            for position in self.positions.values()
            for post in types[position.module_type].posts
        }

    @cached_property
    def _device_of_end(self) -> dict[str, str]:
        across = ((end, d.across or d.name) for d in self.devices.values() for end in d.ends)
        return dict(across)

    def part_at(self, node: str) -> str:
        """Return the part that people know a node by: its position, its device, or the conductor that it is."""
        place = self.places.get(node)
        return place.position if place else self._device_of_end.get(node, node)

    @cached_property
    def _post_of(self) -> dict[str, Post]:
        return {node: self.module_type_at(place.position).posts[place.post] for node, place in self.places.items()}

    def face_of(self, node: str) -> str:
        """Return the face a place lies on, or ""."""
        post = self._post_of.get(node)
        return post.face if post else ""

    def post_joint(self, node: str) -> str:
        """Return the joint type of the post at a place, or "" for other nodes."""
        post = self._post_of.get(node)
        return post.joint_type if post else ""

    def point_of(self, node: str) -> Point | None:
        """Return the pack coordinates [mm] of a place, or None for other nodes."""
        place = self.places.get(node)
        if place is None:
            return None
        origin, at = self.positions[place.position].at_mm, self._post_of[node].at_mm
        return (origin[0] + at[0], origin[1] + at[1], origin[2] + at[2])

    def polarity_of(self, node: str) -> str:
        """Return "+" or "−" as planned at a place, or "" for other nodes."""
        place = self.places.get(node)
        if place is None:
            return ""
        return "+" if self.positions[place.position].plus == place.post else "−"
