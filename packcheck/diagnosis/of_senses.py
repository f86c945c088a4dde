"""Hypotheses about what reads: sense wires and their connectors, slips of the pen, and the meter."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from itertools import combinations, pairwise

from packcheck.diagnosis.hypothesis import Free, Hypothesis, Slip, Test
from packcheck.diagnosis.of_conductors import Beside
from packcheck.diagnosis.switched_network import Probe
from packcheck.diagnosis.worlds import Sight
from packcheck.model.pack.model import Tap

FARTHEST_TAP_V = 60.0
"""How far an open sense wire is thought to float from its place [V]."""
LEAST_SCALE, MOST_SCALE = 0.5, 2.0
"""By what factor a meter that shows wrongly is thought to do so."""
LEAST_SLIP_V = 0.1
"""Readings below this are about nothing, and no slip of theirs is looked for [V]."""
DECIMALS = (0.001, 0.01, 0.1, 10.0, 100.0, 1000.0)


def sense_hypotheses(sight: Sight) -> Iterator[Hypothesis]:
    """Yield what may be otherwise about each tap and each connector of the harness."""
    beside, connectors = Beside(sight), dict[str, list[Tap]]()
    for tap in sight.record.pack.taps.values():
        connectors.setdefault(tap.connector, []).append(tap)
        yield from _of_one(sight, tap, beside)
    for taps in connectors.values():
        for distance in (1, 2):
            for one, other in zip(taps, taps[distance:], strict=False):
                yield _moved("taps exchanged", (one, other), (other.node, one.node), 2.5 + 1.5 * (distance - 1),
                             f"the sense wires of {one.name} and {other.name} have changed places")  # fmt: skip
        for step in (1, -1):
            yield from _one_off(taps, step)
    yield from _of_connectors({name: taps for name, taps in connectors.items() if name})
    every = list(sight.record.pack.taps.values())
    if len(every) > 2:
        yield _moved("harness mirrored", every, [tap.node for tap in reversed(every)], 3.5,
                     "the sense harness is mirrored, its last tap first")  # fmt: skip


def _moved(kind: str, taps: Sequence[Tap], nodes: Sequence[str], cost: float, says: str,
           traits: dict[Test, str] | None = None) -> Hypothesis:  # fmt: skip
    at = {tap.name: node for tap, node in zip(taps, nodes, strict=True)}
    found = traits or {("tap", taps[0].name): f"on {nodes[0]}" if nodes[0] else "open"}
    return Hypothesis(kind, tuple(tap.name for tap in taps), says, cost, taps=at, traits=found)


def _of_one(sight: Sight, tap: Tap, beside: Beside) -> Iterator[Hypothesis]:
    open_ = {("tap", tap.name): "open"}
    says = f"the sense wire of {tap.name} is open: broken, off its pin, or its fuse blown"
    free = Free("tap", tap.name, -FARTHEST_TAP_V, FARTHEST_TAP_V)
    yield Hypothesis("tap open", (tap.name,), says, 3.0, taps={tap.name: ""}, free=free, traits=open_)
    yield Hypothesis("tap open", (tap.name,), says, 3.0, taps={tap.name: ""}, traits=open_)
    for node in _near(sight, tap, beside):
        yield _moved("tap on another place", (tap,), (node,), 3.0, f"the tap {tap.name} sits on {node}")


def _near(sight: Sight, tap: Tap, beside: Beside) -> Iterator[str]:
    """Yield the places one or two modules off: the next posts of a post, the next conductors of a conductor."""
    if tap.node in sight.record.pack.places:
        found = [beside.other_post(tap.node, 0), *(beside.other_post(tap.node, step) for step in (-1, 1))]
        found += [beside.node(tap.node, step) for step in (-2, -1, 1, 2)]
        yield from dict.fromkeys(node for node in found if node)
        return
    bodies = [name for name, c in sight.record.pack.conductors.items() if c.kind == "bar"]
    if tap.node in bodies:
        at = bodies.index(tap.node)
        yield from (bodies[i] for i in (at - 2, at - 1, at + 1, at + 2) if 0 <= i < len(bodies))


def _one_off(taps: Sequence[Tap], step: int) -> Iterator[Hypothesis]:
    """Yield the wires of a connector all one pin along; the last one is left without a wire."""
    if len(taps) > 2:
        nodes = [tap.node for tap in taps]
        shifted = [*nodes[1:], ""] if step > 0 else ["", *nodes[:-1]]
        name = taps[0].connector or "the harness"
        yield _moved("wires one pin off", taps, shifted, 4.0, f"the sense wires of {name} are all one pin along",
                     {("tap", tap.name): f"on {node}" if node else "open" for tap, node in zip(taps, shifted,
                                                                                               strict=True)},
                     )  # fmt: skip


def _of_connectors(connectors: dict[str, list[Tap]]) -> Iterator[Hypothesis]:
    for name, taps in connectors.items():
        unplugged = {tap.name: "" for tap in taps}
        yield Hypothesis("connector unplugged", (name,), f"the connector {name} is unplugged", 2.5, taps=unplugged,
                         traits={("plug", name): "out"})  # fmt: skip
        yield _moved("connector reversed", taps, [tap.node for tap in reversed(taps)], 3.5,
                     f"the connector {name} is wired in the reverse order")  # fmt: skip
    for (one, these), (other, those) in combinations(connectors.items(), 2):
        if len(these) == len(those):
            nodes = [tap.node for tap in (*those, *these)]
            yield _moved("connectors exchanged", (*these, *those), nodes, 3.0,
                         f"the connectors {one} and {other} are in each other's places",
                         {("unplug", one): f"the readings of {other} go"})  # fmt: skip


def paper_hypotheses(probes: Sequence[Probe], values: Sequence[float], taps: Container[str]) -> Iterator[Hypothesis]:
    """Yield slips of the pen at each reading, and faults of each meter and of how it was held."""
    for probe, value in zip(probes, values, strict=True):
        name = probe.reading
        if abs(value) < LEAST_SLIP_V:
            continue
        yield Hypothesis("sign or leads", (name,), f"the sign of {name} is lost, or its leads were the other way round",
                         2.0, slips={name: Slip(-1.0)})  # fmt: skip
        for factor in DECIMALS:
            yield Hypothesis("decimal slip", (name,), f"the decimal point of {name} is off, by {factor:g}", 2.2,
                             slips={name: Slip(factor)})  # fmt: skip
    for (one, first), (other, second) in pairwise(zip(probes, values, strict=True)):
        if first == second and first:
            for copy, of in ((other.reading, one.reading), (one.reading, other.reading)):
                yield Hypothesis("reading copied", (copy,), f"{copy} is a copy of {of}", 3.5,
                                 slips={copy: Slip(1.0, of)})  # fmt: skip
    at_taps = [probe.reading for probe in probes if probe.plus in taps and probe.minus in taps]
    if 1 < len(at_taps) < len(probes):
        yield Hypothesis("leads reversed at the taps", tuple(at_taps), "the leads were reversed at every tap",
                         3.4, slips=dict.fromkeys(at_taps, Slip(-1.0)),
                         )  # fmt: skip
    yield from _meters(probes)


def digit_hypotheses(probe: Probe, value: float) -> Iterator[Hypothesis]:
    """Yield one digit of a reading otherwise, and two neighbouring digits exchanged."""
    written = f"{abs(value):.2f}"
    places = [i for i, sign in enumerate(written) if sign.isdigit()]
    meant = [written[:i] + digit + written[i + 1 :] for i in places for digit in "0123456789" if digit != written[i]]
    says = f"one digit of {probe.reading} is not the one read"
    yield from (_digits(probe, value, text, says, "one digit otherwise") for text in meant)
    for i, j in pairwise(places):
        if written[i] != written[j]:
            text = written[:i] + written[j] + written[i + 1 : j] + written[i] + written[j + 1 :]
            says = f"two digits of {probe.reading} have changed places"
            yield _digits(probe, value, text, says, "two digits exchanged")


def _digits(probe: Probe, value: float, meant: str, says: str, kind: str) -> Hypothesis:
    sign = -1.0 if value < 0 else 1.0
    slip = Slip(1.0, more_v=value - sign * float(meant))
    return Hypothesis(kind, (probe.reading,), f"{says}: {meant} V", 8.5, slips={probe.reading: slip})


def _meters(probes: Sequence[Probe]) -> Iterator[Hypothesis]:
    for meter in dict.fromkeys(probe.instrument for probe in probes):
        if meter:
            check: dict[Test, str] = {("known source", meter): "negative"}
            yield Hypothesis("meter leads reversed", (meter,), f"the leads of {meter} were the other way round"
                             " throughout", 2.5, meters={meter: -1.0}, traits=check)  # fmt: skip
            yield Hypothesis("meter shows wrongly", (meter,), f"{meter} shows all voltages by one factor off", 4.0,
                             free=Free("scale", meter, LEAST_SCALE - 1, MOST_SCALE - 1),
                             traits={("known source", meter): "by that factor off"})  # fmt: skip
            for factor in DECIMALS:
                yield Hypothesis("meter on another range", (meter,), f"{meter} was on another range: {factor:g} times",
                                 3.0, meters={meter: factor}, traits={("known source", meter): "right"})  # fmt: skip
