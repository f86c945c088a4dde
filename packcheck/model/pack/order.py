"""The order of work: the layout's words for it -> stages, each with one kind of thing put on, in the order of work.

A step of the layout may name several kinds of things; each kind is a stage of its own, because what is bare between
two of them (bars fitted, cover not yet on) is what matters.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.files.names import RangeProblem, expand_names
from packcheck.model.pack.model import Conductor, Pack

KINDS = ("positions", "clamp", "devices", "conductors", "taps", "covers", "disconnect", "others")
"""Kinds of things a stage is about; ``others`` changes nothing that is joined or bare: probes, vents, a measurement."""
DISCONNECT = "service disconnect"
PLANNED_CLASS_B = "class b"
"""The words by which a step of the order, and every step after it, is planned in voltage class B; case apart."""
_OTHERS = ("probes", "vents", "case", "parts", "isolation", "creepage")


class Stage(NamedTuple):
    """One kind of thing put on, or taken ``off``; ``number`` is that of the layout's step, ``2.1`` where it has parts.

    ``unnamed`` tells that the order does not say when: the place in the order is taken from covers and devices.
    """

    number: str
    kind: str
    items: tuple[str, ...]
    off: bool = False
    unnamed: bool = False

    @property
    def step(self) -> str:
        """Return the number of the step of the layout, ``2`` of ``2.1``; ``2+`` where the order does not say when."""
        return self.number.partition(".")[0]


@dataclass(frozen=True)
class Order:
    """Stages in order; words that mean nothing in this layout, with their step; what no step names."""

    stages: tuple[Stage, ...]
    unknown: tuple[tuple[int, str], ...] = ()
    left_out: tuple[str, ...] = ()


def read_order(pack: Pack, written: Sequence[Sequence[str]] | None = None) -> Order:
    """Return the stages of a written order: the layout's own where none is given.

    Parameters
    ----------
    pack : the layout.
    written : steps, each a list of words: a position, group, conductor, device or cover, a range of them, ``clamp``,
        ``taps``, ``bars``, ``leads``, ``links``, ``covers``, ``devices``, ``bars on FACE``, or any other phrase of
        several words that names nothing of the layout, which changes nothing that is joined or bare.

    Notes
    -----
    Positions that no step names stand from the start.  A conductor that no step names is taken just before the first
    cover that lies over one of its landings, else with the last device it lands on, else before the disconnect.
    """
    steps = pack.order if written is None else written
    stages: list[Stage] = []
    unknown: list[tuple[int, str]] = []
    seen: set[tuple[str, str]] = set()
    for number, words in enumerate(steps, 1):
        parts: list[tuple[str, list[str]]] = []
        for word in words:
            if plans_class_b(word):
                continue
            found = list(meaning(pack, word))
            if not found:
                unknown.append((number, word))
            for kind, item in found:
                if (kind, item) in seen:
                    continue
                seen.add((kind, item))
                if not parts or parts[-1][0] != kind:
                    parts.append((kind, []))
                parts[-1][1].append(item)
        many = len(parts) > 1
        stages += [Stage(f"{number}.{i}" if many else str(number), k, tuple(v)) for i, (k, v) in enumerate(parts, 1)]
    complete = _with_unnamed(pack, stages)
    return Order(tuple(complete), tuple(unknown), tuple(_left_out(pack, stages)))


def plans_class_b(word: str) -> bool:
    """Return whether a word of the order plans its step in voltage class B; it is no work by itself."""
    return " ".join(word.split()).casefold() == PLANNED_CLASS_B


def meaning(pack: Pack, word: str) -> Iterator[tuple[str, str]]:
    """Yield the kind and name of everything a word of the order stands for; nothing when it means nothing here."""
    many = _many(pack, word)
    if many is not None:
        yield from many
        return
    try:
        found = [list(_named(pack, name)) for name in expand_names(word)]
    except RangeProblem:
        return
    if all(found):
        yield from chain.from_iterable(found)


def _many(pack: Pack, word: str) -> list[tuple[str, str]] | None:
    if word == "clamp":
        return [("clamp", "clamp")]
    if word in ("taps", "harness"):
        return [("taps", "taps")]
    if word in ("bars", "leads", "links"):
        return [("conductors", c.name) for c in pack.conductors.values() if c.kind == word[:-1]]
    if word == "covers":
        return [("covers", name) for name in pack.covers]
    if word == "devices":
        return [(_device_kind(pack, name), name) for name in pack.devices]
    if word.startswith("bars on "):
        face = word.removeprefix("bars on ").removeprefix("face ").strip()
        return [("conductors", c.name) for c in _bars(pack) if faces_of(pack, c) == {face}]
    if word in _OTHERS or (" " in word.strip() and ".." not in word and not any(_named(pack, word.strip()))):
        return [("others", word)]
    return None


def _bars(pack: Pack) -> list[Conductor]:
    return [conductor for conductor in pack.conductors.values() if conductor.kind == "bar"]


def _named(pack: Pack, name: str) -> Iterator[tuple[str, str]]:
    if name in pack.positions:
        yield "positions", name
    elif name in pack.groups:
        yield from (("positions", member) for member in pack.groups[name])
    elif name in pack.conductors:
        yield "conductors", name
    elif name in pack.covers:
        yield "covers", name
    elif name in pack.devices:
        yield _device_kind(pack, name), name
    elif name in pack.taps:
        yield "taps", name
    elif name in pack.probes or name in pack.vents:
        yield "others", name


def _device_kind(pack: Pack, name: str) -> str:
    return "disconnect" if pack.devices[name].kind == DISCONNECT else "devices"


def faces_of(pack: Pack, conductor: Conductor) -> set[str]:
    """Return the faces on which a conductor lands on places."""
    return {face for landing in conductor.lands if (face := pack.face_of(landing.node))}


def places_under(pack: Pack, node: str, deep: int = 3) -> Iterator[str]:
    """Yield the places a node is fixed to: itself, or the landings of the conductor it names."""
    if pack.point_of(node) is not None:
        yield node
    elif node in pack.conductors and deep:
        for landing in pack.conductors[node].lands:
            if landing.node in pack.conductors or pack.point_of(landing.node) is not None:
                yield from places_under(pack, landing.node, deep - 1)


class Covers:
    """Which covers lie over which places: over a face, a tray, a group or a position."""

    def __init__(self, pack: Pack) -> None:
        self._pack = pack
        self._by_face: dict[str, list[str]] = {}
        self._by_word: dict[str, list[str]] = {}
        for cover in pack.covers.values():
            for face in cover.faces:
                self._by_face.setdefault(face, []).append(cover.name)
            if not cover.faces:
                self._by_word.setdefault(cover.over, []).append(cover.name)

    def over_place(self, place: str) -> list[str]:
        """Return the covers over a place."""
        position = self._pack.positions.get(self._pack.part_at(place))
        if position is None:
            return []
        words = dict.fromkeys((position.tray, position.name, position.group))
        found = [*self._by_face.get(self._pack.face_of(place), ())]
        return found + [name for word in words if word for name in self._by_word.get(word, ())]

    def over(self, conductor: Conductor) -> list[str]:
        """Return the covers over at least one landing of a conductor: it has to be fitted before them."""
        places = dict.fromkeys(p for landing in conductor.lands for p in places_under(self._pack, landing.node))
        return list(dict.fromkeys(cover for place in places for cover in self.over_place(place)))

    def wholly_over(self, conductor: Conductor) -> list[str]:
        """Return the covers each of which lies over every place that a conductor lands on itself."""
        places = [landing.node for landing in conductor.lands if self._pack.point_of(landing.node) is not None]
        shared = [set(self.over_place(place)) for place in places]
        return sorted(set.intersection(*shared)) if shared else []


def devices_of(pack: Pack, conductor: Conductor) -> list[str]:
    """Return the devices that a conductor lands on."""
    names = dict.fromkeys(pack.part_at(landing.node) for landing in conductor.lands)
    return [name for name in names if name in pack.devices]


def _with_unnamed(pack: Pack, stages: Sequence[Stage]) -> list[Stage]:
    """Return the stages with the positions and conductors that the order does not name put where they must come."""
    named = {item for stage in stages for item in stage.items}
    result = list(stages)
    waiting: dict[int, list[str]] = {}
    over = Covers(pack)
    for conductor in pack.conductors.values():
        if conductor.name not in named:
            waiting.setdefault(_place_in_order(pack, stages, conductor, over), []).append(conductor.name)
    for index in sorted(waiting, reverse=True):
        before = stages[index].number if index < len(stages) else "after"
        result.insert(index, Stage(f"{before}+", "conductors", tuple(waiting[index]), unnamed=True))
    standing = tuple(name for name in pack.positions if name not in named)
    if standing:
        result.insert(0, Stage("0", "positions", standing, unnamed=True))
    return result


def _place_in_order(pack: Pack, stages: Sequence[Stage], conductor: Conductor, over: Covers) -> int:
    covers, devices = set(over.over(conductor)), set(devices_of(pack, conductor))
    first_cover = next((i for i, s in enumerate(stages) if s.kind == "covers" and covers & set(s.items)), None)
    if first_cover is not None:
        return first_cover
    with_device = [i + 1 for i, s in enumerate(stages) if s.kind == "devices" and devices & set(s.items)]
    disconnect = next((i for i, s in enumerate(stages) if s.kind == "disconnect"), len(stages))
    return min(max(with_device, default=disconnect), disconnect)


def _left_out(pack: Pack, stages: Sequence[Stage]) -> Iterator[str]:
    """Yield what no step names: conductors (but leads of a device that a step names), clamp, covers, disconnects."""
    named = {item for stage in stages for item in stage.items}
    for conductor in pack.conductors.values():
        implied = conductor.kind == "lead" and bool(named & set(devices_of(pack, conductor)))
        if conductor.name not in named and not implied:
            yield conductor.name
    if pack.clamp and "clamp" not in named:
        yield "clamp"
    yield from (name for name in pack.covers if name not in named)
    yield from (d.name for d in pack.devices.values() if d.kind == DISCONNECT and d.name not in named)


def teardown(stages: Iterable[Stage]) -> tuple[Stage, ...]:
    """Return the stages that take a finished pack apart: the same ones backwards, each thing taken off."""
    backwards = list(stages)[::-1]
    return tuple(stage._replace(off=True, number=f"T{i}") for i, stage in enumerate(backwards, 1))
