"""What stands around the current path of a pack: covers, clamp, loose parts, insulation; and the bands it is held to.

Units are in the names.
"""

from __future__ import annotations

from dataclasses import field

from packcheck.files.frozen import dataclass
from packcheck.model.pack.types import Bounds


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
