"""Kinds of module, joint and bar, what stands around the current path, and the bands that numbers are held to.

Units are in the names.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from packcheck.files.frozen import dataclass

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Bounds:
    """A band in the unit its field's name states; None where the layout states no end."""

    low: float | None = None
    high: float | None = None
    aim: float | None = None


@dataclass(frozen=True)
class Post:
    """One post of a module type: a place fixed to the position, whichever pole is there."""

    name: str
    at_mm: Point
    face: str
    joint_type: str


@dataclass(frozen=True)
class ModuleType:
    """A kind of module: chemistry, cells in series, voltages [V], resistance [ohm], size and posts."""

    name: str
    chemistry: str
    cells: int
    nominal_v: float
    rest_v: Bounds
    highest_v: float
    posts: Mapping[str, Post]
    capacity_ah: float | None = None
    resistance_ohm: float = 0.0
    size_mm: Point | None = None
    mass_g: Bounds = Bounds()
    lowest_v: float | None = None
    bars_fit_turned: bool = True
    vent: Mapping[str, object] = field(default_factory=dict)

    @property
    def rest_middle_v(self) -> float:
        """Return the middle of the rest window [V], or the nominal voltage where no window is stated."""
        low, high = self.rest_v.low, self.rest_v.high
        return (low + high) / 2 if low is not None and high is not None else self.nominal_v


@dataclass(frozen=True)
class JointType:
    """A kind of bolted joint: thread, property class, torque band [N·m], resistance [ohm], stack of parts."""

    name: str
    thread: str = ""
    property_class: str = ""
    torque_n_m: Bounds = Bounds()
    recheck_after_h: float | None = None
    resistance_ohm: Bounds = Bounds()
    stack: tuple[str, ...] = ()
    nut_factor: Bounds = Bounds()
    peers: str = ""


@dataclass(frozen=True)
class BarType:
    """A kind of bus bar: metal, size [mm], body resistance [ohm]."""

    name: str
    metal: str = ""
    size_mm: Point | None = None
    resistance_ohm: float | None = None
    insulated: bool = False


@dataclass(frozen=True)
class Cover:
    """A cover: what it lies over, how many screws of which part hold it."""

    name: str
    over: str
    screws: int = 0
    screw_part: str = ""
    faces: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clamp:
    """The compression of the stack: gauge length [mm], rods and their torque [N·m]."""

    length_mm: Bounds = field(default_factory=Bounds)
    rods: int = 0
    rod_part: str = ""
    torque_n_m: Bounds = field(default_factory=Bounds)


@dataclass(frozen=True)
class PartSize:
    """A loose part: its longest extent, lying askew, and its width [mm] where known, and whether it conducts."""

    name: str
    largest_mm: float | None = None
    across_mm: float | None = None
    conducts: bool = True
    standard: str = ""


@dataclass(frozen=True)
class Insulation:
    """What the layout asks of isolation, creepage and clearance."""

    least_ohm_per_v: float | None = None
    floor_ohm: float | None = None
    pollution_degree: int | None = None
    material_group: str = ""
    creepage_mm: float | None = None
    impulse_kv: float | None = None
    altitude_m: float | None = None
