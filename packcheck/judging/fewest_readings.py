"""The fewest readings that prove the same: one across a sense block, or a whole section, instead of one a part.

A voltage between two places shows every module and every joint on the way between them, so long as it is read as
closely as that; whether it was is judged when it has been read.  Blocks come first for modules, because a tap is there
to be read and a block tells which module is wrong; what lies between the blocks is read over the whole section.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import pairwise

from packcheck.facts.checked_readings import REST_DATUM
from packcheck.facts.of_readings import UNREAD
from packcheck.files.names import RangeProblem, expand_names
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Record
from packcheck.network.graph import network_of_layout
from packcheck.network.topology import Forest, Step, spanning_forest
from packcheck.rules.catalogue import Datum

Sparing = Callable[[Datum], Iterable[Datum]]
"""What to record in place of a datum that a rule lacks."""
ACROSS = "voltage across it"
"""How the words of a datum begin that one reading further apart can serve as well."""
WHAT = "voltage with its sign, red lead on the first"


def as_asked(datum: Datum) -> Iterable[Datum]:
    """Return a datum as it was asked for."""
    return (datum,)


def spare_readings(pack: Pack, record: Record) -> Sparing:
    """Return what to record in place of a datum: what is asked for together one by one, what is known not again.

    A voltage across one part is read across its block or section.  A part across which something was read that looks
    right, and which that did not prove, is read by itself; it is not read at all while only the voltage or the facing
    of a module beside it is lacking.
    """
    across = cache(lambda: _Across(pack, record))  # worked out once a voltage across something is asked for

    def sparing(datum: Datum) -> Iterable[Datum]:
        if datum.what == REST_DATUM:
            return _one_by_one(record, datum)
        return across().instead_of(datum) if datum.what.startswith(ACROSS) else (datum,)

    return sparing


class _Across:
    """What to read in place of a voltage across one part."""

    def __init__(self, pack: Pack, record: Record) -> None:
        network = network_of_layout(pack)
        forest, everywhere = spanning_forest(network.closed(())), spanning_forest(network.all_closed())
        self._in_vain, self._waiting = _read_already(pack, record, everywhere)
        state = next((name for name, state in pack.states.items() if not state.closed), "every switch open")
        self._instead: dict[str, Datum] = {}
        begun = {(unread.words, unread.state): unread.name for unread in record.unread}
        for plus, minus, parts in (*_blocks(pack, forest), *_sections(pack, forest, everywhere)):
            datum = Datum(f"{WHAT}, {state}", f"{plus} to {minus}", "multimeter")
            if name := begun.get(((plus, minus), state)):
                datum = Datum(UNREAD, name, "multimeter")
            for part in parts:
                self._instead.setdefault(part, datum)

    def instead_of(self, datum: Datum) -> Iterable[Datum]:
        """Return what to read; nothing while only the voltage or the facing of a module beside it is lacking."""
        if datum.place in self._waiting:
            return ()
        return (datum if datum.place in self._in_vain else self._instead.get(datum.place, datum),)


def _one_by_one(record: Record, datum: Datum) -> Iterator[Datum]:
    """Yield the rest voltage and the facing of each module of a list, as far as they are lacking."""
    try:
        places = [name for word in datum.place.split(", ") for name in expand_names(word)]
    except RangeProblem:
        places = []
    for place in places:
        module = record.modules.get(place)
        if module is None or module.rest_v is None:
            yield Datum("rest voltage", place, "multimeter", datum.face)
        if module is None or module.plus is None:
            yield Datum("post at which + is", place, "eyes", datum.face)


def _read_already(pack: Pack, record: Record, everywhere: Forest) -> tuple[set[str], set[str]]:
    """Return the parts read across as they should be and not proved, and those for which a module's datum lacks."""
    in_vain: set[str] = set()
    waiting: set[str] = set()
    for reading in record.readings:
        walk = everywhere.walk(reading.minus, reading.plus) or []
        modules = [step for step in walk if step.edge.kind == "module"]
        expected = sum(step.edge.emf_v if step.forward else -step.edge.emf_v for step in modules)
        least = min((step.edge.emf_v for step in modules), default=0.0)
        if abs(reading.value_v.value - expected) < least / 2:
            lacking = any(_lacks(record, step.edge.part) for step in modules)
            (waiting if lacking else in_vain).update(_parts(pack, walk))
    return in_vain, waiting - in_vain


def _lacks(record: Record, position: str) -> bool:
    module = record.modules.get(position)
    return module is None or module.rest_v is None or module.plus is None


def _blocks(pack: Pack, forest: Forest) -> Iterator[tuple[str, str, Iterator[str]]]:
    """Yield each sense block: the upper tap, the lower one, and the parts between them."""
    for lower, upper in pairwise(pack.taps.values()):
        walk = forest.walk(lower.node, upper.node)
        module = next((step for step in walk or () if step.edge.kind == "module"), None)
        if module:
            plus, minus = (upper, lower) if module.forward else (lower, upper)
            yield plus.name, minus.name, _parts(pack, walk)


def _sections(pack: Pack, forest: Forest, everywhere: Forest) -> Iterator[tuple[str, str, Iterator[str]]]:
    """Yield each part of the way between the mains that hangs together with every switch open."""
    steps = everywhere.walk(pack.outside["main-"], pack.outside["main+"]) or []
    run: list[Step] = []
    for step in [*steps, None]:
        if step is not None and forest.joined(step.edge.start, step.edge.end):
            run.append(step)
            continue
        if any(one.edge.kind == "module" for one in run):
            yield _end(run[-1]), _start(run[0]), _parts(pack, tuple(run))
        run = []


def _start(step: Step) -> str:
    return step.edge.start if step.forward else step.edge.end


def _end(step: Step) -> str:
    return step.edge.end if step.forward else step.edge.start


def _parts(pack: Pack, walk: Sequence[Step] | None) -> Iterator[str]:
    """Yield the modules on a way, with those in parallel to them, and the conductors it crosses from side to side."""
    crossed: dict[str, set[str]] = {}
    for step in walk or ():
        if step.edge.kind == "module":
            yield from pack.groups[pack.positions[step.edge.part].group]
        elif step.edge.kind == "joint":
            crossed.setdefault(step.edge.part, set()).add(_side(pack, step.edge.start))
    for name, sides in crossed.items():
        if {_side(pack, landing.node) for landing in pack.conductors[name].lands} <= sides:
            yield name


def _side(pack: Pack, node: str) -> str:
    """Return a name for a place that all places on one side of its parallel group share: no voltage is between them."""
    position = pack.positions.get(pack.part_at(node))
    return node if position is None else position.group + pack.polarity_of(node)
