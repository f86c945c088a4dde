"""What every explanation foretells, against the network built anew with that one thing otherwise, and solved densely.

What is otherwise is read from the explanation's words, not from how the program means to work it out.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise

import pytest
from diagnosed import told_as_drawn
from faulty_builds import Build
from oracle.algebra import Circuit
from oracle.drawing import Part
from workshop import Data, grouped_layout, rack_layout, stick_layout, trayed_layout

from packcheck.diagnosis.answer import hypotheses
from packcheck.diagnosis.hypothesis import Hypothesis
from packcheck.diagnosis.search import observe
from packcheck.diagnosis.switched_network import Probe
from packcheck.diagnosis.worlds import Sight, World
from packcheck.model.record.model import Record
from packcheck.network.graph import network_of_record

SHAPES: dict[str, Data] = {
    "string": stick_layout(6), "groups": grouped_layout(4, 2), "trays": trayed_layout(4), "rack": rack_layout([3, 3]),
}  # fmt: skip
BAR_OHM = 220e-6
"""A bar of 20 µΩ and its two joints of 100 µΩ, where nobody states any [Ω]."""
LOAD_A = 20.0
Parts = dict[str, Part]


@cache
def told(shape: str) -> Record:
    return told_as_drawn(Build(SHAPES[shape]), None, 1)


def conducting(record: Record, state: str, hypothesis: Hypothesis) -> Parts:
    """Return what conducts in a state by the record, with what the explanation opens or closes."""
    closed = set(record.pack.states[state].closed)
    closed |= set(hypothesis.parts) if hypothesis.kind == "device closed" else set()
    edges = network_of_record(record).closed(closed)
    return {e.name: Part(e.name, e.start, e.end, e.resistance_ohm, e.emf_v) for e in edges}


def of_part(parts: Parts, record: Record, name: str) -> list[str]:
    joints = {edge.name for edge in network_of_record(record).edges if edge.part == name}
    return [one for one in parts if one in joints]


def drive(parts: Parts, names: tuple[str, ...], share: Callable[[str], float]) -> None:
    for name in names:
        parts[name] = parts[name]._replace(emf=parts[name].emf * share(name))


def _modules(record: Record, parts: Parts, it: Hypothesis) -> bool:
    def cells(name: str) -> int:
        return record.pack.module_type_at(name).cells

    shares: dict[str, Callable[[str], float]] = {
        "module turned": lambda _: -1, "block turned": lambda _: -1, "stack turned": lambda _: -1,
        "tray turned": lambda _: -1, "string turned": lambda _: -1, "module flat": lambda _: 0,
        "one cell short": lambda n: 1 - 1 / cells(n), "two cells short": lambda n: 1 - 2 / cells(n),
        "one cell reversed": lambda n: 1 - 2 / cells(n), "block bridged": lambda _: 0,
    }  # fmt: skip
    if it.kind in shares:
        drive(parts, it.parts, shares[it.kind])
    elif it.kind == "module bridged":
        gone = parts.pop(it.parts[0])
        parts["bridge"] = Part("bridge", gone.start, gone.end, BAR_OHM)
    elif it.kind == "module open":
        del parts[it.parts[0]]
    elif it.kind == "modules exchanged":
        one, other = (parts[name].emf for name in it.parts)
        parts[it.parts[0]], parts[it.parts[1]] = (
            parts[it.parts[0]]._replace(emf=other), parts[it.parts[1]]._replace(emf=one),
        )  # fmt: skip
    else:
        return False
    return True


def _conductors(record: Record, parts: Parts, it: Hypothesis) -> bool:
    first = it.parts[0] if it.parts else ""
    if not first:
        return True  # nothing is otherwise
    if it.kind in ("joint open", "device open"):
        parts.pop(first, None)
    elif it.kind == "device closed":
        pass  # it conducts already
    elif it.kind == "conductor missing":
        for name in of_part(parts, record, first):
            del parts[name]
    elif it.kind == "conductor stray":
        one, _, other = first.partition(" to ")
        parts["stray"] = Part("stray", one, other, BAR_OHM)
    elif it.kind == "conductor moved" and (there := re.fullmatch(r".* lands on (\S+), not on (\S+)", it.says)):
        (joint,) = (name for name in of_part(parts, record, first) if parts[name].start == there[2])
        parts[joint] = parts[joint]._replace(start=there[1])
    elif it.kind == "conductor moved":
        lands = it.says.partition(", on ")[2].split(" and ")
        for name, node in zip(of_part(parts, record, first), lands, strict=True):
            parts[name] = parts[name]._replace(start=node, ohm=BAR_OHM / 2)
    elif it.kind == "leads exchanged":
        found = re.fullmatch(r"\S+ lands on (\S+) and \S+ on (\S+)", it.says)
        assert found
        ends = [next(n for n in of_part(parts, record, lead) if parts[n].start == found[3 - i])
                for i, lead in enumerate(it.parts, 1)]  # fmt: skip
        for i, name in enumerate(ends, 1):
            parts[name] = parts[name]._replace(start=found[i])
    else:
        return False
    return True


def sits(record: Record, it: Hypothesis) -> dict[str, str] | None:
    """Return where taps really sit by the words of an explanation; None where it is about no tap."""
    at = {name: tap.node for name, tap in record.pack.taps.items()}
    names = list(it.parts)
    if it.kind == "tap on another place":
        return {**at, names[0]: it.says.partition(" sits on ")[2]}
    if it.kind == "taps exchanged":
        return {**at, names[0]: at[names[1]], names[1]: at[names[0]]}
    if it.kind in ("harness mirrored", "connector reversed"):
        return {**at, **dict(zip(names, [at[name] for name in reversed(names)], strict=True))}
    return None


def probes(record: Record) -> list[Probe]:
    """Return neighbouring taps and the ends, in the least and in the most closed state, and the ends under load."""
    states = sorted(record.pack.states, key=lambda name: len(record.pack.states[name].closed))
    pairs = [*((b, a) for a, b in pairwise(record.pack.taps)), (record.pack.outside["main+"], "")]
    live = states[-1]
    ends = (record.pack.outside["main+"], record.pack.outside["main-"])
    return [Probe(plus, minus or ends[1], state, load, "", "")
            for plus, minus in pairs for state, load in ((states[0], 0.0), (live, 0.0), (live, LOAD_A))]  # fmt: skip


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_every_explanation_foretells_what_the_changed_network_shows(shape: str) -> None:
    record = told(shape)
    sight, asked, solved, kinds = Sight(record), probes(record), 0, set()
    for it in hypotheses(sight, observe(record)):
        world, circuits, at = World(sight, it), dict[str, Circuit](), sits(record, it)
        for probe in asked:
            if probe.state not in circuits:
                parts = conducting(record, probe.state, it)
                if at is None and not (_modules(record, parts, it) or _conductors(record, parts, it)):
                    break
                circuits[probe.state] = Circuit(parts.values())
            plus, minus = (_node(record, at, word) for word in probe[:2])
            expected = _shown(circuits[probe.state], plus, minus, probe, sight)
            assert world.shows(probe).volts == pytest.approx(expected, abs=2e-4), (it.says, probe)
            solved += 1
            kinds.add(it.kind)
    assert solved > 1000
    assert {"module turned", "module open", "conductor missing", "conductor moved", "device closed", "device open",
            "taps exchanged", "tap on another place", "conductor stray"} <= kinds  # fmt: skip


def _node(record: Record, at: dict[str, str] | None, word: str) -> str:
    if word in record.pack.taps:
        return at[word] if at else record.pack.taps[word].node
    return word


def _shown(circuit: Circuit, plus: str, minus: str, probe: Probe, sight: Sight) -> float:
    rest = circuit.volts(plus, minus)
    ends = sight.record.pack.outside["main+"], sight.record.pack.outside["main-"]
    if not probe.load_a or not circuit.joins(plus, minus) or not circuit.joins(*ends):
        return rest
    return rest + probe.load_a * circuit.transfer(plus, minus, *ends)


def under(parts: Parts, plus: str, minus: str, probe: Probe, record: Record, more: str) -> float:
    """Return what a volt more shows, or what a load takes away; what circulates in a group at rest is no part of it."""
    if more == "emf":
        return Circuit(parts.values()).volts(plus, minus)
    ends = record.pack.outside["main+"], record.pack.outside["main-"]
    return probe.load_a * Circuit(parts.values()).transfer(plus, minus, *ends) if probe.load_a else 0.0


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_every_free_size_moves_a_reading_as_it_moves_the_network(shape: str) -> None:
    """One volt more in a module, or a millionth of an ohm more in a module or a joint, which only a load shows."""
    record = told(shape)
    sight, moved = Sight(record), 0
    for it in hypotheses(sight, observe(record)):
        if it.free is None or it.free.what not in ("emf", "ohm"):
            continue
        part, world, by = it.free.part, World(sight, it), {"emf": 1.0, "ohm": 1e-6}[it.free.what]
        for probe in probes(record):
            slope, parts = world.shows(probe).slope, conducting(record, probe.state, it)
            plus, minus = (_node(record, None, word) for word in probe[:2])
            if part not in parts or not Circuit(parts.values()).joins(plus, minus):
                assert slope == 0
                continue
            before, old = under(parts, plus, minus, probe, record, it.free.what), parts[part]
            parts[part] = old._replace(emf=old.emf + by) if it.free.what == "emf" else old._replace(ohm=old.ohm + by)
            after = under(parts, plus, minus, probe, record, it.free.what)
            assert slope == pytest.approx((after - before) / by, rel=0.02, abs=2e-3), (it.says, probe)
            moved += abs(slope) > 0.5
    assert moved > 20
