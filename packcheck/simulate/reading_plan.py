"""Which voltages a careful team reads on a pack of this layout, in which switching state, in which order."""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from packcheck.model.pack.model import Device, Pack
from packcheck.simulate.build import Build
from packcheck.simulate.circuit import Circuit, Element
from packcheck.simulate.elements import elements

CONTACTOR = "main contactor"


class Planned(NamedTuple):
    """A voltage to read: where the red and the black lead go, in the words of the layout, and the switching state."""

    name: str
    plus: str
    minus: str
    state: str


@dataclass(frozen=True)
class Plan:
    """The states of a layout that are read, fewest switches closed first, and the readings in working order.

    ``across`` is read beyond these by the most careful: from end to end over each disconnect that is open.
    """

    states: tuple[str, ...]
    readings: tuple[Planned, ...]
    across: tuple[Planned, ...] = ()

    @property
    def open_state(self) -> str:
        """Return the state with every switch open."""
        return self.states[0]

    @property
    def whole_state(self) -> str:
        """Return the state in which the string is whole and the contactors are open."""
        return self.states[-1]


def plan_readings(drawn: Build) -> Plan:
    """Return what is read on a pack of a layout, of which ``drawn`` is a build with nothing wrong.

    With every switch open: each block between neighbouring taps, each part from end to end, each lead against the
    module next to it.  Then, as switches close, what has come to hang together; the mains, and past each contactor.
    """
    pack = drawn.pack
    states = [name for name, state in sorted(pack.states.items(), key=lambda item: len(item[1].closed))
              if not any(pack.devices[d].kind == CONTACTOR for d in state.closed)]  # fmt: skip
    planner = _Planner(drawn, states)
    found: dict[tuple[frozenset[str], str], Planned] = {}
    for one in planner.all():
        found.setdefault((frozenset((planner.node(one.plus), planner.node(one.minus))), one.state), one)
    pairs = {frozenset((planner.node(one.plus), planner.node(one.minus))) for one in found.values()}
    across = [
        one for one in planner.across() if frozenset((planner.node(one.plus), planner.node(one.minus))) not in pairs
    ]
    return Plan(tuple(states), tuple(found.values()), tuple(across))


def inner_end(pack: Pack, terminal: str) -> str:
    """Return the side of a main terminal that lies within its open contactor: the terminal where it has none."""
    node = pack.outside[terminal]
    for device in pack.devices.values():
        if device.kind == CONTACTOR and node in device.ends:
            return next(end for end in device.ends if end != node)
    return node


class _Site:
    """The drawn pack in one switching state: what hangs together, what touches what, which ends are loose."""

    def __init__(self, drawn: Build, closed: Collection[str]) -> None:
        parts = list(elements(drawn, closed))
        self.circuit = Circuit(parts)
        self.beside: dict[str, list[tuple[str, Element]]] = {}
        for part in parts:
            self.beside.setdefault(part.start, []).append((part.end, part))
            self.beside.setdefault(part.end, []).append((part.start, part))
        ends = [end for device in drawn.pack.devices.values() for end in device.ends]
        self.driven = {self.circuit.island[f"{m.position}.{m.plus}"] for m in drawn.modules.values()}
        self.loose = [e for e in dict.fromkeys(ends) if len(self.beside.get(e, ())) == 1 and self.is_driven(e)]

    def is_driven(self, node: str) -> bool:
        """Return whether a module drives a node."""
        return self.circuit.island.get(node) in self.driven

    def way(self, start: str, goal: str) -> list[Element]:
        """Return the elements of a shortest way between two nodes."""
        came: dict[str, tuple[str, Element] | None] = {start: None}
        waiting = deque([start])
        while waiting and goal not in came:
            node = waiting.popleft()
            for other, part in self.beside.get(node, ()):
                if other not in came:
                    came[other] = (node, part)
                    waiting.append(other)
        found: list[Element] = []
        step = came.get(goal)
        while step is not None:
            found.append(step[1])
            step = came[step[0]]
        return found

    def past_module(self, start: str, wanted: Collection[str]) -> str:
        """Return the nearest wanted node whose way from ``start`` leads through a module; "" where there is none."""
        seen = {start}
        waiting = deque([(start, False)])
        while waiting:
            node, past = waiting.popleft()
            if past and node in wanted:
                return node
            for other, part in self.beside.get(node, ()):
                if other not in seen:
                    seen.add(other)
                    waiting.append((other, past or part.emf_v != 0))
        return ""


class _Planner:
    def __init__(self, drawn: Build, states: list[str]) -> None:
        self.drawn, self.pack, self.states = drawn, drawn.pack, states
        self.tap_at = {node: tap for tap, node in drawn.taps.items()}
        self.least_v = 0.3 * min((m.emf_v for m in drawn.modules.values()), default=1.0)
        self.crossed: set[tuple[str, str]] = set()

    def node(self, word: str) -> str:
        return self.drawn.taps.get(word, word)

    def all(self) -> Iterator[Planned]:
        site = _Site(self.drawn, self.pack.states[self.states[0]].closed)
        yield from self._blocks(site)
        yield from self._loose_ends(site)
        yield from self._uncrossed(site)
        yield from self._unread(site)
        for state in self.states[1:]:
            now = _Site(self.drawn, self.pack.states[state].closed)
            yield from self._joined(state, site, now)
            site = now
        yield from self._mains()

    def _read(self, site: _Site, name: str, one: str, other: str, state: str = "") -> Iterator[Planned]:
        """Yield a reading between two nodes, the higher first, by the names of the taps that sit there."""
        volts = site.circuit.volts(self.node(one), self.node(other))
        if volts is None or abs(volts) < self.least_v:
            return
        for part in site.way(self.node(one), self.node(other)):
            self._cross(part)
        high, low = (one, other) if volts > 0 else (other, one)
        yield Planned(name, self.tap_at.get(high, high), self.tap_at.get(low, low), state or self.states[0])

    def _cross(self, part: Element) -> None:
        """Note the joint that a reading leads through; those of one parallel group on one conductor are one."""
        position = self.pack.positions.get(self.pack.part_at(part.start))
        self.crossed.add((part.end, position.group if position else part.start))

    def _blocks(self, site: _Site) -> Iterator[Planned]:
        taps = list(self.drawn.taps)
        number = 0
        for lower, upper in pairwise(taps):
            for one in self._read(site, f"block {number + 1}", upper, lower):
                number += 1
                yield one
        runs: dict[tuple[str, str], list[str]] = {}
        for tap in self.pack.taps.values():
            if site.is_driven(tap.node):
                runs.setdefault((tap.connector, site.circuit.island[tap.node]), []).append(tap.node)
        for inside in runs.values():
            if len(inside) > 2:
                high, low = (f(inside, key=site.circuit.potential_v.__getitem__) for f in (max, min))
                yield from self._read(site, f"{self.tap_at[low]} to {self.tap_at[high]}", high, low)

    def _loose_ends(self, site: _Site) -> Iterator[Planned]:
        for end in site.loose:
            near = site.past_module(end, self.tap_at or self.pack.places)
            if near:
                yield from self._read(site, f"{end} and {self.tap_at.get(near, near)}", end, near)

    def _uncrossed(self, site: _Site) -> Iterator[Planned]:
        """Yield a reading across each conductor that no reading so far leads through from end to end."""
        for conductor in self.pack.conductors.values():
            for landing in conductor.lands:
                position = self.pack.positions.get(self.pack.part_at(landing.node))
                side = (conductor.name, position.group if position else landing.node)
                if side in self.crossed or not site.is_driven(landing.node):
                    continue
                far = next((other.node for other in conductor.lands if other.node != landing.node), "")
                near = site.past_module(landing.node, self.pack.places)
                if near and not any(p.name == landing.joint for p in site.way(landing.node, near)):
                    near = site.past_module(far, self.pack.places)
                    if near and not any(p.name == landing.joint for p in site.way(landing.node, near)):
                        continue
                if near:
                    yield from self._read(site, f"{conductor.name} at {landing.node}", landing.node, near)

    def _unread(self, site: _Site) -> Iterator[Planned]:
        """Yield a reading at the posts of each module that no reading so far leads through, nor through its like."""
        for members in self.pack.groups.values():
            module = self.drawn.modules[members[0]]
            if (f"{module.position}.{module.plus}", self.pack.positions[module.position].group) not in self.crossed:
                yield from self._read(site, module.position, f"{module.position}.{module.plus}",
                                      f"{module.position}.{module.minus}")  # fmt: skip

    def _joined(self, state: str, before: _Site, now: _Site) -> Iterator[Planned]:
        """Yield each part that has come to hang together from end to end, and what lies across an open isolator."""
        ends = [node for node in self._edge_nodes(now) if now.is_driven(node)]
        for root in dict.fromkeys(now.circuit.island[node] for node in ends):
            inside = [node for node in ends if now.circuit.island[node] == root]
            volts = now.circuit.potential_v
            top, bottom = (f(volts[node] for node in inside) for f in (max, min))
            highs = [node for node in inside if top - volts[node] < self.least_v]
            lows = [node for node in inside if volts[node] - bottom < self.least_v and node not in highs]
            for high in highs:
                for low in lows:
                    if not before.circuit.joined(high, low):
                        yield from self._read(now, f"{high} and {low} {state}", high, low, state)
            for one, other in pairwise(highs):
                if not before.circuit.joined(one, other) and _are_open_switches(self.pack, one, other):
                    yield Planned(f"{one} and {other}", one, other, state)

    def _edge_nodes(self, site: _Site) -> list[str]:
        """Return the loose ends of a state, and the mains' inner ends; posts at both ends where there are none."""
        mains = [inner_end(self.pack, end) for end in ("main+", "main-")]
        return list(dict.fromkeys([*site.loose, *(m for m in mains if m in site.circuit.island)]))

    def across(self) -> Iterator[Planned]:
        """Yield over each disconnect the highest tap above it against the lowest below it, with every switch open."""
        site = _Site(self.drawn, self.pack.states[self.states[0]].closed)
        whole = Circuit(elements(self.drawn, self.pack.states[self.states[-1]].closed)).potential_v
        for device in self.pack.devices.values():
            roots = [site.circuit.island.get(end, "") for end in device.ends]
            if device.kind != "service disconnect" or roots[0] == roots[1] or not set(roots) <= site.driven:
                continue
            sides = [[n for n in self.tap_at if site.circuit.island.get(n) == root and n in whole] for root in roots]
            if all(sides):
                upper, lower = sorted(sides, key=lambda side: -max(whole[node] for node in side))
                high, low = max(upper, key=whole.__getitem__), min(lower, key=whole.__getitem__)
                yield Planned(f"across {device.name}", self.tap_at[high], self.tap_at[low], self.states[0])

    def _mains(self) -> Iterator[Planned]:
        plus, minus = (inner_end(self.pack, end) for end in ("main+", "main-"))
        yield Planned("mains open", plus, minus, self.states[0])
        yield from self._past_disconnects()
        whole = self.states[-1]
        for device in self.pack.devices.values():
            if device.kind != CONTACTOR:
                continue
            for end, inner, outer in (("main+", minus, ""), ("main-", "", plus)):
                if self.pack.outside[end] in device.ends:
                    past = self.pack.outside[end]
                    name = f"past {device.name}"
                    yield Planned(name, past, inner, whole) if inner else Planned(name, outer, past, whole)

    def _past_disconnects(self) -> Iterator[Planned]:
        """Yield over each disconnect, where there are several, from one end to the other of what it alone parts.

        And so over each contactor next to an outlet.
        """
        site = _Site(self.drawn, self.pack.states[self.states[0]].closed)
        plugs = [one for one in self.pack.devices.values() if one.kind in ("service disconnect", "isolator")]
        ends = [end for device in self.pack.devices.values() for end in device.ends]
        for device in (*(plugs if len(plugs) > 1 else ()), *self._of_outlets(site)):
            made = Circuit(elements(self.drawn, {device.name}))
            one, other = device.ends
            volts = {node: made.volts(node, one) or 0.0 for node in ends if made.joined(node, one)}
            sides = [[n for n in volts if n == end or site.circuit.joined(n, end)] for end in (one, other)]
            pairs = ((high, low) for a, b in (sides, sides[::-1]) for high in a for low in b)
            high, low = max(pairs, key=lambda pair: volts[pair[0]] - volts[pair[1]])
            if volts[high] - volts[low] > self.least_v and not site.circuit.joined(one, other):
                yield Planned(f"past {device.name}", high, low, self.states[0])

    def _of_outlets(self, site: _Site) -> Iterator[Device]:
        """Yield the contactors that alone part an outlet from what feeds it."""
        outlets = [end for one in self.pack.outlets.values() if one.fed_by_pack for end in one.ends.values()]
        for device in self.pack.devices.values():
            joined = any(end == one or site.circuit.joined(end, one) for end in device.ends for one in outlets)
            if device.kind == "contactor" and joined:
                yield device


def _are_open_switches(pack: Pack, one: str, other: str) -> bool:
    kinds = {pack.devices[pack.part_at(end)].kind for end in (one, other) if pack.part_at(end) in pack.devices}
    return kinds == {"isolator"}
