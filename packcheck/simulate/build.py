"""What really stands on the bench: the true state of one build, frozen; faults return another one.

Nothing here was read or written down by anybody: that is what ``record`` makes of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from packcheck.model.pack.model import Pack

CHASSIS = "chassis"


@dataclass(frozen=True)
class TrueModule:
    """One module: where its + stands, EMF at rest [V], resistance [ohm], capacity [Ah], mass [g].

    ``loses_v_day`` is what it loses on the shelf [V a day]; ``thicker_mm`` what its case has swollen by [mm].
    """

    position: str
    serial: str
    type: str
    plus: str
    minus: str
    emf_v: float
    resistance_ohm: float
    capacity_ah: float
    mass_g: float
    loses_v_day: float = 0.0
    thicker_mm: float = 0.0
    fitted: bool = True


class Landed(NamedTuple):
    """One end of a conductor: the node it is bolted to, and what people call the joint there, wherever it really is."""

    node: str
    joint: str


@dataclass(frozen=True)
class TrueBody:
    """A bar, link or lead: where it lands, what is printed on it, its own resistance [ohm]."""

    name: str
    section: str
    lands: tuple[Landed, ...]
    part: str
    resistance_ohm: float
    condition: str = "sound"
    fitted: bool = True


@dataclass(frozen=True)
class TrueJoint:
    """A bolted contact: torque that was reached [N·m], resistance [ohm], whether it moves when it is tried again."""

    name: str
    torque_n_m: float
    resistance_ohm: float
    moves: bool = False


@dataclass(frozen=True)
class TrueDevice:
    """A device: what is printed on it, which way its arrow points, what holds its contacts open or closed."""

    name: str
    part: str = ""
    rating_a: float | None = None
    volts_v: float | None = None
    breaks_a: float | None = None
    current: str = ""
    resistance_ohm: float = 1e-4
    stuck: str = ""
    fitted: bool = True


@dataclass(frozen=True)
class TrueVent:
    """A vent line: the modules whose spigots it sits on, and where it ends: an outlet, another line, or inside."""

    over: tuple[str, ...]
    to: str


@dataclass(frozen=True, eq=False)
class Build:
    """One build as it stands.

    ``taps`` tells where each tap sits and ``tap_ohm`` the resistance of a lead that is not sound [ohm],
    ``board_ohm`` what the board puts between a tap and the next one [ohm]; ``stray`` are
    conductors that no layout has, by name their two nodes; ``leaks`` lead from a node to the chassis [ohm];
    ``screws`` are those in each cover; ``stock`` is what was issued of each part beyond the need and did not come
    back, below zero where more came back than should; ``tools_left`` are tools that lie in the pack.
    """

    pack: Pack
    modules: Mapping[str, TrueModule]
    bodies: Mapping[str, TrueBody]
    joints: Mapping[str, TrueJoint]
    devices: Mapping[str, TrueDevice]
    taps: Mapping[str, str]
    covers: Mapping[str, bool]
    screws: Mapping[str, int]
    parts: Mapping[str, int]
    clamp_mm: float | None = None
    clamp_n_m: float | None = None
    uncapped: frozenset[str] = frozenset()
    tap_ohm: Mapping[str, float] = field(default_factory=dict)
    board_ohm: Mapping[str, float] = field(default_factory=dict)
    stray: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    leaks: tuple[tuple[str, float], ...] = ()
    lost: Mapping[str, int] = field(default_factory=dict)
    tools_left: frozenset[str] = frozenset()
    probes: Mapping[str, str] = field(default_factory=dict)
    vents: Mapping[str, TrueVent] = field(default_factory=dict)

    def with_module(self, position: str, **changes: Any) -> Build:
        """Return the build with one module otherwise."""
        return replace(self, modules={**self.modules, position: replace(self.modules[position], **changes)})

    def with_body(self, name: str, **changes: Any) -> Build:
        """Return the build with one conductor otherwise."""
        return replace(self, bodies={**self.bodies, name: replace(self.bodies[name], **changes)})

    def with_joint(self, name: str, **changes: Any) -> Build:
        """Return the build with one joint otherwise."""
        return replace(self, joints={**self.joints, name: replace(self.joints[name], **changes)})

    def with_device(self, name: str, **changes: Any) -> Build:
        """Return the build with one device otherwise."""
        return replace(self, devices={**self.devices, name: replace(self.devices[name], **changes)})

    def with_parts(self, **more: int) -> Build:
        """Return the build with so many more of some parts in it."""
        return replace(self, parts={**self.parts, **{p: self.parts.get(p, 0) + n for p, n in more.items()}})

    def turned(self, position: str) -> Build:
        """Return the build with one module the other way round."""
        module = self.modules[position]
        return self.with_module(position, plus=module.minus, minus=module.plus)
