"""A pack as the planner sees it: what must come before what, and what makes one order better than another.

One *act* puts on one conductor, one cover, the taps or the disconnect.  A stretch of work ends with a cover, or with
the disconnect.  Of two orders the better one has, first, the lower voltage class of the largest section at the end of
each stretch, in turn; then fewer acts in class B; then the lower voltages at the ends of the stretches; then the
smaller sum, over all acts, of E²/(4R) over all pairs of bare conductors within reach of each other.  (Voltages before
the count of class B acts would finish one tray above 60 V while the next is not begun, and do that one in class B.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import DISCONNECT, Covers, places_under, read_order
from packcheck.network.graph import Edge, network_of_layout
from packcheck.network.sections import Joined, Span
from packcheck.physics.classes import CLASS_A_LIMIT_V, voltage_class

Key = tuple[tuple[int, ...], int, tuple[float, ...], float]
"""What orders are compared by: classes of the stretches, acts in class B, voltages of the stretches, sum of powers."""


@dataclass(frozen=True)
class Merit:
    """What an order is judged by: voltages [V] at the end of each stretch, acts in class B, sum of powers [W].

    ``power_w`` is None where it was not worked out.
    """

    stretches_v: tuple[float, ...]
    class_b_acts: int
    power_w: float | None = None

    @property
    def key(self) -> Key:
        """Return the key that orders are compared by: smaller is better."""
        volts = tuple(round(volts, 6) for volts in self.stretches_v)
        return tuple(map(class_rank, volts)), self.class_b_acts, volts, self.power_w or 0.0


def class_rank(voltage_v: float) -> int:
    """Return 0 for a voltage [V] of class A, 1 for class B, 2 beyond."""
    return {"A": 0, "B": 1}.get(voltage_class(voltage_v) or "", 2)


class Precedence:
    """A pack seen by the planner: its edges by conductor and device, and what must come before what."""

    def __init__(self, pack: Pack, edges: Sequence[Edge] | None = None) -> None:
        self.pack = pack
        self.edges = tuple(edges) if edges is not None else network_of_layout(pack).edges
        self.by_part: dict[str, list[Edge]] = {}
        for edge in self.edges:
            self.by_part.setdefault(edge.part, []).append(edge)
        self.before_cover: dict[str, set[str]] = {name: set() for name in pack.covers}
        covers = Covers(pack)
        self.covers_over = {name: covers.over(conductor) for name, conductor in pack.conductors.items()}
        for name, over in self.covers_over.items():
            for cover in over:
                self.before_cover[cover].add(name)
        self.tapped = self._before_taps()
        for cover in self._over_all_taps(covers):
            self.before_cover[cover].add("taps")
        self._standing = self._stand()
        self.disconnects = [d.name for d in pack.devices.values() if d.kind == DISCONNECT]

    def _over_all_taps(self, covers: Covers) -> set[str]:
        """Return the covers over every tap, which wait for ``taps``; under others eyelets go on with the joints."""
        places = [place for tap in self.pack.taps.values() for place in places_under(self.pack, tap.node)]
        over = [set(covers.over_place(place)) for place in places]
        return set.intersection(*over) if over else set()

    def _before_taps(self) -> set[str]:
        nodes = {tap.node for tap in self.pack.taps.values()}
        landed = {c.name for c in self.pack.conductors.values() if any(landing.node in nodes for landing in c.lands)}
        return landed | (nodes & set(self.pack.conductors))

    def standing(self) -> Joined:
        """Return the sections when all modules and devices stand and nothing else is fitted."""
        return self._standing.copy()

    def _stand(self) -> Joined:
        highest = {name: self.pack.module_type_at(name).highest_v for name in self.pack.positions}
        joined = Joined(highest)
        for edge in self.edges:
            if edge.kind == "module" or (edge.kind == "device" and self.pack.devices[edge.part].always_closed):
                joined.add(edge)
        return joined

    def may_come(self, item: str, done: set[str]) -> bool:
        """Return whether an act may come now: covers after what they hide, taps after their joints, disconnect last."""
        if item in self.before_cover:
            return self.before_cover[item] <= done
        if item == "taps":
            return self.tapped <= done
        if item in self.disconnects:
            return set(self.pack.covers) | set(self.pack.conductors) <= done and ("taps" in done or not self.pack.taps)
        return True

    def acts(self) -> list[str]:
        """Return every act, in the order of the layout: conductors, taps, covers, disconnects."""
        taps = ["taps"] if self.pack.taps else []
        return [*self.pack.conductors, *taps, *self.pack.covers, *self.disconnects]

    def counts(self, act: str) -> bool:
        """Return whether an act counts in an order's merit: all but a cover over no conductor of the layout."""
        return bool(self.before_cover.get(act, True))

    def kind(self, item: str) -> str:
        """Return the kind of stage an act belongs to."""
        if item in self.pack.covers:
            return "covers"
        if item == "taps":
            return "taps"
        return "disconnect" if item in self.disconnects else "conductors"

    def profile(self, acts: Iterable[str]) -> tuple[list[Span], Merit]:
        """Return the largest section after each act, and the merit of the order without its power."""
        joined, spans, stretches, in_b = self.standing(), [], [], 0
        for act in acts:
            for edge in self.by_part.get(act, ()):
                joined.add(edge)
            spans.append(joined.largest)
            in_b += self.counts(act) and joined.largest.highest_v > CLASS_A_LIMIT_V + 1e-9
            if self.counts(act) and self.kind(act) in ("covers", "disconnect"):
                stretches.append(joined.largest.highest_v)
        return spans, Merit(tuple(stretches), in_b)


def planned_before(pack: Pack) -> dict[str, frozenset[str]]:
    """Return the covers that the layout's own order has on before each thing it puts on; empty where it states none."""
    on: set[str] = set()
    planned: dict[str, frozenset[str]] = {}
    for stage in read_order(pack).stages if pack.order else ():
        if stage.kind == "covers":
            on.update(stage.items)
        elif stage.kind in ("conductors", "taps", "disconnect"):
            for item in ("taps",) if stage.kind == "taps" else stage.items:
                planned.setdefault(item, frozenset(on))
    return planned
