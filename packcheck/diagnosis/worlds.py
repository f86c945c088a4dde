"""The recorded pack in all its switching states, and the pack as one hypothesis has it: what any probe would show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from packcheck.diagnosis.hypothesis import NOTHING, Hypothesis
from packcheck.diagnosis.switched_network import (
    DRIFT_V,
    LEAST_A,
    LOOSE_SHARE,
    READ_SPREAD_SHARE,
    SMALL_V,
    SPREAD_SHARE,
    Probe,
    Seen,
    View,
    ghost,
    unstated,
)
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.model import Record
from packcheck.network.factored import Factored
from packcheck.network.graph import DEVICE_OHM, Edge, network_of_record
from packcheck.network.updates import Put, Updated


@dataclass(eq=False)
class Sight:
    """All views of one record; parts that nobody recorded count as fitted as drawn."""

    record: Record

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Return the edges of the recorded network."""
        return network_of_record(self.record).edges

    @cached_property
    def modules(self) -> dict[str, Edge]:
        """Return the module edges by position."""
        return {edge.name: edge for edge in self.edges if edge.kind == "module"}

    @cached_property
    def half_v(self) -> dict[str, float]:
        """Return how far each module's voltage is left open [V]: what was read of it, and drift."""
        found = {}
        for name, edge in self.modules.items():
            module = self.record.modules.get(name)
            rest = self.record.pack.module_type_at(name).rest_v
            if module is None or module.rest_v is None:
                window = (rest.high - rest.low) / 2 if rest.high and rest.low else 0.1 * abs(edge.emf_v)
                found[name] = window
            else:
                found[name] = (edge.half_v or unstated(edge.emf_v)) + DRIFT_V
        return found

    @cached_property
    def widest_share(self) -> float:
        """Return how far the least certain module's voltage is left open, as a share of it [1]."""
        return max((self.half_v[n] / abs(e.emf_v) for n, e in self.modules.items() if e.emf_v), default=0.0)

    @cached_property
    def _views(self) -> dict[str, View]:
        return {}

    def view(self, state: str) -> View:
        """Return the network in a state of the layout; in the state ``loose`` nothing but modules is joined."""
        if state not in self._views:
            pack = self.record.pack
            closed = pack.states[state].closed if state in pack.states else frozenset()
            network = network_of_record(self.record)
            edges = list(self.modules.values()) if state == LOOSE else network.closed(closed, possibly=True)
            ends = (pack.outside.get("main+", ""), pack.outside.get("main-", ""))
            nodes = {node for edge in self.edges for node in edge[:2]} | set(pack.nodes) | set(ends) - {""}
            factored = Factored(edges, sorted(nodes))
            read = all(module.resistance_ohm for module in self.record.modules.values())
            spread = READ_SPREAD_SHARE if read else SPREAD_SHARE
            self._views[state] = View(factored, self.half_v, ends if all(ends) else None, spread=spread)
        return self._views[state]

    def node(self, word: str, world: Hypothesis = NOTHING) -> str:
        """Return the node that a written place means, a tap where it really sits; "" for one that is open."""
        if word in world.taps:
            return world.taps[word]
        return self.record.taps.get(word) or self.record.pack.node_of(word) or word


def least_state(states: Sequence[str], sight: Sight) -> str:
    """Return the state of the layout in which the fewest devices are closed."""
    known = sight.record.pack.states
    return min(known, key=lambda name: (len(known[name].closed), name not in states), default="")


class World:
    """The pack as one hypothesis has it: what any probe would show."""

    def __init__(self, sight: Sight, hypothesis: Hypothesis) -> None:
        self.sight, self.hypothesis = sight, hypothesis
        self._updated: dict[tuple[str, float], Updated] = {}

    def written(self, probe: Probe, probes: dict[str, Probe]) -> Seen:
        """Return what would have been written down for a reading, slips and the meter's own faults included."""
        if probe.less:
            rest, load = self.written(probes[probe.less], probes), self.written(probe._replace(less=""), probes)
            half = self.sight.view(probe.state).spread * abs(rest.volts - load.volts)
            return Seen(load.volts - rest.volts, half, load.slope - rest.slope)
        slip = self.hypothesis.slips.get(probe.reading)
        if slip is None:
            return self._by_meter(probe)
        of = self._by_meter(probes[slip.of] if slip.of else probe)
        return Seen(of.volts * slip.factor + slip.more_v, of.half * abs(slip.factor), of.slope * slip.factor)

    def _by_meter(self, probe: Probe) -> Seen:
        seen, factor = self.shows(probe), self.hypothesis.meters.get(probe.instrument, 1.0)
        free = self.hypothesis.free
        if free and free.what == "scale" and free.part == probe.instrument:
            return seen._replace(slope=seen.volts)
        return seen if factor == 1.0 else Seen(seen.volts * factor, seen.half * abs(factor), seen.slope * factor)

    def shows(self, probe: Probe) -> Seen:
        """Return what a good meter shows."""
        plus, minus = (self.sight.node(word, self.hypothesis) for word in (probe.plus, probe.minus))
        if not plus or not minus:
            return self._open_tap(probe, plus, minus)
        view, hypothesis = self.sight.view(probe.state), self.hypothesis
        seen = view.base(plus, minus)
        if hypothesis.is_structural:
            seen = self._structural(view, probe, plus, minus, seen)
        elif hypothesis.emf_by and seen.joined:
            shares = view.driven_by(plus, minus)
            at = [(by, shares.get(name, 0.0)) for name, by in hypothesis.emf_by.items()]
            moved = sum(by * share for by, share in at)
            loose = LOOSE_SHARE * sum(abs(by * share) * max(0.0, 1 - abs(share)) for by, share in at)
            seen = seen._replace(volts=seen.volts + moved, half=seen.half + loose)
        if probe.load_a and seen.joined and not hypothesis.is_structural:
            drop = view.dropped_v(plus, minus, probe.load_a)
            seen = Seen(seen.volts - drop, seen.half + view.spread * abs(drop))
        return self._with_free(view, probe, plus, minus, seen)

    def _with_free(self, view: View, probe: Probe, plus: str, minus: str, seen: Seen) -> Seen:
        free = self.hypothesis.free
        if free is None or free.what not in ("emf", "ohm") or not seen.joined:
            return seen
        if free.what == "emf":
            return seen._replace(slope=view.driven_by(plus, minus).get(free.part, 0.0))
        if not probe.load_a or view.load is None:
            return seen
        share = view.slope(*view.load, free.part)  # of the load's current, from end to start of the edge
        return seen._replace(slope=-view.slope(plus, minus, free.part) * share * probe.load_a)

    def _structural(self, view: View, probe: Probe, plus: str, minus: str, base: Seen) -> Seen:
        updated = self.updated(view, probe)
        volts, joined = updated.voltage_v(plus, minus)
        if not joined:
            return ghost(volts)
        widest = self.sight.widest_share
        net = view.factored
        rest = net.potential[net.index[plus]] - net.potential[net.index[minus]]
        drop = LOOSE_SHARE * abs(volts - rest) if updated.circulating_a > LEAST_A else 0.0
        return Seen(volts, max(base.half if base.joined else 0.0, widest * abs(volts) + SMALL_V) + drop)

    def updated(self, view: View, probe: Probe) -> Updated:
        """Return the network of a view with what the hypothesis changes in it, for the load of a probe."""
        key = (probe.state, probe.load_a)
        if key not in self._updated:
            hypothesis, net = self.hypothesis, view.factored
            devices = self.sight.record.pack.devices
            welded = [Put(*devices[name].ends, devices[name].resistance_ohm or DEVICE_OHM)
                      for name in hypothesis.welded if name not in net.edge_index]  # fmt: skip
            load_a = probe.load_a * view.drop_share
            put = (*hypothesis.put, *welded)
            made = Updated(net, hypothesis.out, put, hypothesis.emf_by, view.load, load_a)
            if made.broken:
                made = Updated(net, hypothesis.out, put, hypothesis.emf_by)
            self._updated[key] = made
        return self._updated[key]

    def _open_tap(self, probe: Probe, plus: str, minus: str) -> Seen:
        """Return what a meter shows at a sense wire that is open: a free voltage, or next to nothing."""
        planned = self.sight.view(probe.state).base(self.sight.node(probe.plus), self.sight.node(probe.minus))
        free = self.hypothesis.free
        if free and free.what == "tap" and (plus or minus):
            return planned._replace(slope=1.0 if minus else -1.0)
        return ghost(planned.volts)
