"""Hypotheses about modules: turned, exchanged, short of cells, weak, of another type, left out, of high resistance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from packcheck.diagnosis.hypothesis import BRIDGE_OHM, Free, Hypothesis
from packcheck.diagnosis.worlds import Sight
from packcheck.files.name_lists import list_places
from packcheck.network.graph import Edge
from packcheck.network.updates import Put

WEAKEST = 0.4
"""The largest share of its voltage that a weak module lacks; one that gives nothing at all is flat."""
HIGHEST_OHM = 100.0
"""Most that a module or a joint is thought to have beyond its own resistance [ohm]; more is an open one."""


def module_hypotheses(sight: Sight) -> Iterator[Hypothesis]:
    """Yield what may be otherwise about each module, and about each run of modules that is fitted as one."""
    for name, edge in sight.modules.items():
        yield from _of_one(sight, name, edge)
    for one, other in pairwise(sight.modules.values()):
        yield from _exchanged(sight, one, other)
    yield from _runs(sight)
    yield from _everywhere(sight)


def _of_one(sight: Sight, name: str, edge: Edge) -> Iterator[Hypothesis]:
    kind, volts = sight.record.pack.module_type_at(name), edge.emf_v
    yield Hypothesis("module turned", (name,), f"{name} stands turned, its + where its − is recorded", 2.0,
                     {name: -2 * volts})  # fmt: skip
    if kind.cells > 1:
        cell = volts / kind.cells
        yield Hypothesis("one cell short", (name,), f"one cell of {name} gives nothing", 2.5, {name: -cell},
                         traits={("load", name): "less sag", ("stand", name): "falls again"})  # fmt: skip
        if kind.cells > 2:
            yield Hypothesis("two cells short", (name,), f"two cells of {name} give nothing", 3.5, {name: -2 * cell},
                             traits={("load", name): "much less sag", ("stand", name): "falls again"})  # fmt: skip
        yield Hypothesis("one cell reversed", (name,), f"one cell of {name} is built in the other way round", 3.6,
                         {name: -2 * cell}, traits={("stand", name): "stays low"})  # fmt: skip
    for other in sight.record.pack.module_types.values():
        if other.rest_middle_v != kind.rest_middle_v:  # so it is another one
            by = volts / kind.cells * other.cells if other.chemistry == kind.chemistry else other.rest_middle_v
            yield Hypothesis("module of another type", (name,), f"{name} is of type {other.name}", 3.0,
                             {name: by - volts}, traits={("label", name): other.name, ("load", name): "less sag"},
                             )  # fmt: skip
    yield Hypothesis("module flat", (name,), f"{name} gives nothing", 4.2, {name: -volts},
                     traits={("stand", name): "recovers"})  # fmt: skip
    yield Hypothesis("module weak", (name,), f"{name} has another voltage than was read of it", 3.2,
                     traits={("stand", name): "recovers"},
                     free=Free("emf", name, -WEAKEST * abs(volts), abs(volts) / 4))  # fmt: skip
    yield Hypothesis("module bridged", (name,), f"{name} is left out, and a bar carries the current past it", 4.0,
                     out=(name,), put=(Put(edge.start, edge.end, BRIDGE_OHM),),
                     traits={("load", name): "no sag", ("seen", name): "a bar in its place"},
                     )  # fmt: skip
    yield Hypothesis("module open", (name,), f"{name} is left out, or open inside", 3.5, out=(name,),
                     traits={("load", name): "no current"})  # fmt: skip
    yield Hypothesis("module resistance high", (name,), f"{name} has a high resistance", 2.6,
                     free=Free("ohm", name, 0.0, HIGHEST_OHM), traits={("load", name): "more sag"})  # fmt: skip


def _exchanged(sight: Sight, one: Edge, other: Edge) -> Iterator[Hypothesis]:
    by = other.emf_v - one.emf_v
    if abs(by) > sight.half_v[one.name] + sight.half_v[other.name]:
        yield Hypothesis("modules exchanged", (one.name, other.name),
                         f"{one.name} and {other.name} stand in each other's places", 3.0,
                         {one.name: by, other.name: -by}, traits={("label", one.name): f"what {other.name} should say"},
                         )  # fmt: skip


def _runs(sight: Sight) -> Iterator[Hypothesis]:
    """Yield what is done to several modules at once: blocks between taps, trays and strings, the whole stack."""
    seen: set[frozenset[str]] = set()
    for what, names in [*_blocks(sight), ("stack", list(sight.modules)), *_trays(sight)]:
        if len(names) < 2 or frozenset(names) in seen:
            continue
        seen.add(frozenset(names))
        turned = {name: -2 * sight.modules[name].emf_v for name in names}
        label = f"the whole {what}" if what == "stack" else f"the {what} {list_places(names)}"
        yield Hypothesis(f"{what} turned", tuple(names), f"{label} stands turned", 3.0, turned)
        if what == "block":
            gone = {name: -sight.modules[name].emf_v for name in names}
            yield Hypothesis("block bridged", tuple(names), f"{label} is left out, and a bar carries the current past",
                             4.5, gone, traits={("load", names[0]): "no sag", ("seen", names[0]): "a bar in its place"},
                             )  # fmt: skip


def _blocks(sight: Sight) -> Iterator[tuple[str, Sequence[str]]]:
    """Yield the modules between every two neighbouring taps of a connector, or of the layout where it has none."""
    view = sight.view(max(sight.record.pack.states, key=lambda s: len(sight.record.pack.states[s].closed), default=""))
    for one, other in pairwise(sight.record.pack.taps.values()):
        between = view.driven_by(other.node, one.node) if view.base(other.node, one.node).joined else {}
        yield "block", [name for name, share in between.items() if abs(share) > 0.99]


def _trays(sight: Sight) -> Iterator[tuple[str, Sequence[str]]]:
    positions = sight.record.pack.positions.values()
    for tray in dict.fromkeys(position.tray for position in positions):
        yield "tray", [p.name for p in positions if p.tray == tray and p.name in sight.modules]
    groups = sight.record.pack.groups
    for string in sight.record.pack.strings.values():
        yield "string", [name for group in string.groups for name in groups[group] if name in sight.modules]


def _everywhere(sight: Sight) -> Iterator[Hypothesis]:
    """Yield one cell less in one module of every block: nothing stands out, and every block is low alike."""
    lower: dict[str, float] = {}
    for _, names in _blocks(sight):
        kind = sight.record.pack.module_type_at(names[0]) if names else None
        if kind and kind.cells > 1:
            lower[names[0]] = -sight.modules[names[0]].emf_v / kind.cells
    if len(lower) > 2:
        yield Hypothesis("one cell short in every block", ("every block",), "one cell of every block gives nothing",
                         6.0, lower)  # fmt: skip
