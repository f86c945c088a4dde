"""The pack after each stage of the work: what stands, what is fitted, what is in hand, which metal is bare."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from packcheck.files.frozen import dataclass
from packcheck.geometry.bodies import Body
from packcheck.geometry.reach import Geometry
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Covers, Stage
from packcheck.model.pack.parts import insulated_places


@dataclass(frozen=True)
class State:
    """What is there: names of positions, conductors, devices, closed disconnects and covers, and whether taps are on.

    ``in_hand`` are the places and conductors whose joints are being worked on: their caps are off, lead ends free.
    """

    positions: frozenset[str] = frozenset()
    conductors: frozenset[str] = frozenset()
    devices: frozenset[str] = frozenset()
    closed: frozenset[str] = frozenset()
    covers: frozenset[str] = frozenset()
    taps: bool = False
    in_hand: frozenset[str] = frozenset()

    def after(self, pack: Pack, stage: Stage) -> State:
        """Return the state when everything of a stage is done and its joints are still in hand."""
        items = frozenset(stage.items)

        def changed(now: frozenset[str]) -> frozenset[str]:
            return now - items if stage.off else now | items

        if stage.kind == "positions":
            return replace(self, positions=changed(self.positions), in_hand=frozenset())
        if stage.kind == "conductors":
            touched = {
                landing.node for name in items if name in pack.conductors for landing in pack.conductors[name].lands
            }
            return replace(self, conductors=changed(self.conductors), in_hand=items | touched)
        if stage.kind == "taps":
            return replace(self, taps=not stage.off, in_hand=frozenset(tap.node for tap in pack.taps.values()))
        if stage.kind == "devices":
            return replace(self, devices=changed(self.devices), in_hand=frozenset())
        if stage.kind == "disconnect":
            return replace(self, devices=self.devices | items, closed=changed(self.closed), in_hand=frozenset())
        if stage.kind == "covers":
            return replace(self, covers=changed(self.covers), in_hand=frozenset())
        return replace(self, in_hand=frozenset())


def states_of(pack: Pack, stages: Iterable[Stage], start: State | None = None) -> Iterator[tuple[Stage, State]]:
    """Yield each stage with the state after it.  A stage that takes things off is shown before they are off.

    While the last bar of a section comes off, the section is still whole: that moment is the one to plan for.  A cover
    is the other way round: what matters is what lies bare once it is off.
    """
    state = start or State()
    for stage in stages:
        after = state.after(pack, stage)
        worst = replace(after, conductors=state.conductors, closed=state.closed, positions=state.positions)
        yield stage, worst if stage.off else after
        state = after


def finished(pack: Pack) -> State:
    """Return the state of a finished pack, disconnect in, every cover on."""
    return State(
        frozenset(pack.positions), frozenset(pack.conductors), frozenset(pack.devices),
        frozenset(d.name for d in pack.devices.values() if d.kind == "service disconnect"),
        frozenset(pack.covers), bool(pack.taps),
    )  # fmt: skip


def begun(pack: Pack, stages: Sequence[Stage]) -> State:
    """Return the state before work that was done: what stands from the start because no step names it.

    Work whose first act takes something off is the teardown of a finished pack.
    """
    if stages and stages[0].off:
        return finished(pack)
    named = {item for stage in stages if stage.kind == "positions" for item in stage.items}
    return State(positions=frozenset(name for name in pack.positions if name not in named))


class Bareness:
    """Which bodies of a pack are bare in a state.

    ``caps`` False leaves every cap off: the moment at which somebody has taken them all off at once.  ``extra`` are
    covers that the layout does not have, by name, with the bodies they lie over.
    """

    def __init__(
        self, pack: Pack, geometry: Geometry, caps: bool = True, extra: Mapping[str, frozenset[str]] | None = None
    ) -> None:
        self._pack = pack
        self._extra = dict(extra or {})
        self._bodies = geometry.bodies
        self._caps = caps

    @cached_property
    def under(self) -> dict[str, frozenset[str]]:
        """Return the places under each cover."""
        under = {name: set[str]() for name in self._pack.covers}
        for place, covers in self.over.items():
            for name in covers:
                under[name].add(place)
        return {name: frozenset(places) for name, places in under.items()}

    @cached_property
    def over(self) -> dict[str, list[str]]:
        """Return the covers over each place."""
        covers = Covers(self._pack)
        return {body.name: covers.over_place(body.name) for body in self._bodies if body.kind == "post"}

    @cached_property
    def over_conductor(self) -> dict[str, list[str]]:
        """Return the covers over each conductor, which can go on only after it."""
        covers = Covers(self._pack)
        return {name: covers.over(conductor) for name, conductor in self._pack.conductors.items()}

    @cached_property
    def landing_at(self) -> dict[str, set[str]]:
        """Return the conductors that land on each place."""
        landing_at: dict[str, set[str]] = {}
        for conductor in self._pack.conductors.values():
            for landing in conductor.lands:
                landing_at.setdefault(landing.node, set()).add(conductor.name)
        return landing_at

    def _eyelet_must_be_on(self, pin: Body, state: State, hidden: frozenset[str]) -> bool:
        """Return whether a pin's eyelet lies under a cover already, at a joint that has been made."""
        return any(
            place in hidden and not state.conductors.isdisjoint(self.landing_at.get(place, ())) for place in pin.places
        )

    @cached_property
    def capped(self) -> frozenset[str]:
        """Return the places whose joint's stack ends in a cap that does not conduct."""
        return insulated_places(self._pack) if self._caps else frozenset()

    def bare(self, state: State) -> list[int]:
        """Return the numbers of the bodies that are bare."""
        hidden: frozenset[str] = frozenset().union(*(self.under[name] for name in state.covers if name in self.under))
        under_extra: frozenset[str] = frozenset().union(*(self._extra.get(name, ()) for name in state.covers))
        closed_up = bool(self._pack.covers) and state.covers >= set(self._pack.covers)
        barred = {
            place for body in self._bodies if body.kind == "bar" and body.part in state.conductors
            for place in body.places
        }  # fmt: skip
        return [
            index for index, body in enumerate(self._bodies)
            if body.name not in under_extra and self._is_bare(body, state, hidden, barred, closed_up)
        ]  # fmt: skip

    def _is_bare(self, body: Body, state: State, hidden: frozenset[str], barred: set[str], closed_up: bool) -> bool:
        if body.kind == "post":
            if body.part not in state.positions or body.name in hidden or body.name in barred:
                return False
            return body.name not in self.capped or body.name in state.in_hand
        if body.kind == "bar":
            return body.part in state.conductors and not hidden.issuperset(body.places)
        if body.kind == "pin":
            return (state.taps or self._eyelet_must_be_on(body, state, hidden)) and not closed_up
        if body.part not in state.conductors or closed_up:
            return False
        return not body.name.startswith("free end") or body.part in state.in_hand
