"""Where everything of a pack is drawn: which strip has which module, bar, lead end, tap, probe and vent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from packcheck.geometry.bodies import Body, bars_of, posts_of
from packcheck.model.pack.model import Pack
from packcheck.render.drawing.faces import WIDEST, Strip, strips_of
from packcheck.render.drawing.look import Look


@dataclass(frozen=True)
class Laid:
    """A conductor on a strip: the places it joins there; ``moved`` where a record found it otherwise than drawn."""

    name: str
    places: tuple[str, ...]
    moved: bool = False
    stray: bool = False


@dataclass(frozen=True)
class Tail:
    """The end of a conductor that runs on elsewhere: what it is fixed to here, and where else it lands."""

    name: str
    node: str
    onwards: tuple[str, ...]
    moved: bool = False


@dataclass
class Share:
    """What one strip has to show, in the order of the layout; ``rests`` are bars that run over from another strip."""

    laid: list[Laid] = field(default_factory=list)
    tails: list[Tail] = field(default_factory=list)
    taps: list[tuple[str, str]] = field(default_factory=list)
    probes: list[tuple[str, str]] = field(default_factory=list)
    rests: list[str] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class Plan:
    """Every strip of a pack with its share; a conductor is on one strip, or told by a tail at each of its ends."""

    pack: Pack
    look: Look
    widest: float = WIDEST

    @cached_property
    def bars(self) -> dict[str, Body]:
        """Return the body of every bar and link that has one."""
        return {body.name: body for body in bars_of(self.pack)}

    @cached_property
    def posts(self) -> dict[str, Body]:
        """Return the body of every post."""
        return {body.name: body for body in posts_of(self.pack)}

    @cached_property
    def strips(self) -> list[Strip]:
        """Return the strips."""
        return strips_of(self.pack, list(self.bars.values()), self.widest)

    @cached_property
    def _home(self) -> dict[tuple[str, str], int]:
        """Return the number of the strip that a position has on a face."""
        return {(strip.face, name): i for i, strip in enumerate(self.strips) for name in strip.modules}

    @cached_property
    def shares(self) -> list[Share]:
        """Return what each strip has to show."""
        shares = [Share() for _ in self.strips]
        bodies: dict[str, int] = {}
        laid: list[tuple[str, tuple[str, ...], bool, tuple[str, ...]]] = []
        for name, lands, moved, stray in self._conductors():
            places = tuple(node for node in lands if self.pack.point_of(node) is not None)
            home = self._one_home(name, places)
            laid.append((name, lands, moved, places if home is not None else ()))
            if home is not None:
                shares[home].laid.append(Laid(name, places, moved, stray))
                if not moved and not stray:
                    bodies[name] = home
                    for other in {self._home[key] for key in self._keys(places)} - {home}:
                        shares[other].rests.append(name)
        for name, lands, moved, on_body in laid:
            self._tails(shares, bodies, name, lands, moved, on_body)
        self._small_things(shares, bodies)
        return shares

    def _tails(
        self, shares: list[Share], bodies: dict[str, int], name: str, lands: tuple[str, ...], moved: bool,
        on_body: tuple[str, ...],
    ) -> None:  # fmt: skip
        """Share out the ends of a conductor: one for each landing of a lead, one for a body that runs on elsewhere."""
        if on_body:
            onwards = tuple(node for node in lands if node not in on_body)
            if onwards and name in bodies and not moved:
                shares[bodies[name]].tails.append(Tail(name, name, onwards, moved))
            return
        for node in lands:
            home = self._strip_of(node, bodies)
            if home is not None:
                shares[home].tails.append(Tail(name, node, tuple(other for other in lands if other != node), moved))

    def _small_things(self, shares: list[Share], bodies: dict[str, int]) -> None:
        for tap in self.pack.taps.values():
            home = self._strip_of(tap.node, bodies)
            if home is not None:
                shares[home].taps.append((tap.name, tap.node))
        shown: set[str] = set()
        for i, strip in enumerate(self.strips):
            for name in strip.modules:
                for probe in self._probes.get(name, ()):
                    if probe not in shown:
                        shown.add(probe)
                        shares[i].probes.append((probe, name))

    @cached_property
    def _probes(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for name, probe in self.pack.probes.items():
            for position in probe.get("on", ()):
                found.setdefault(position, []).append(name)
        return found

    def _conductors(self) -> Iterator[tuple[str, tuple[str, ...], bool, bool]]:
        """Yield every conductor as it is to be drawn: name, landings, whether moved, whether a stray."""
        for conductor in self.pack.conductors.values():
            yield conductor.name, tuple(landing.node for landing in conductor.lands), False, False
        for name, lands in self.look.lands.items():
            yield name, lands, True, False
        for name, lands in self.look.strays.items():
            yield name, lands, False, True

    def _one_home(self, name: str, places: tuple[str, ...]) -> int | None:
        """Return the strip a conductor is drawn on as a body; None for leads and for what runs from face to face."""
        conductor = self.pack.conductors.get(name)
        if (conductor and conductor.kind == "lead") or len(places) < 2:
            return None
        homes = [self._home[key] for key in self._keys(places) if key in self._home]
        if len(homes) < len(places) or len({self._layer(home) for home in homes}) != 1:
            return None
        counts = Counter(homes)
        return max(counts, key=lambda home: (counts[home], -home))

    def _layer(self, home: int) -> tuple[str, str]:
        return self.strips[home].face, self.strips[home].layer

    def _keys(self, places: Iterable[str]) -> Iterator[tuple[str, str]]:
        for place in places:
            yield self.pack.face_of(place), self.pack.part_at(place)

    def _strip_of(self, node: str, bodies: dict[str, int]) -> int | None:
        """Return the strip on which a place or a drawn conductor is seen."""
        if self.pack.point_of(node) is not None:
            return self._home.get(next(self._keys([node])))
        return bodies.get(node)
