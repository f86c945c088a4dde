"""Facts about each voltage reading: against what the record predicts, against its like, and where nothing joins it.

One of which the record has the row and not the value has a row as well: nothing about it is known.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from packcheck.facts.checked_readings import Checked, fitted_type, rest_datum
from packcheck.facts.evidence import PATH, SHORT, Evidence
from packcheck.facts.measured_values import measured
from packcheck.facts.open_switches import bridged
from packcheck.facts.peers import Peers, cells_missing, peers_of
from packcheck.facts.slips_of_the_pen import reading_slip
from packcheck.facts.tables.readings import READING
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import CHASSIS
from packcheck.model.record.model import Unread
from packcheck.rules.catalogue import Datum, Row, Value, Without


def reading_rows(
    evidence: Evidence, checked: Sequence[Checked], without: Mapping[str, tuple[Without, ...]]
) -> Iterator[Row]:
    """Yield one row per voltage reading; ``without`` is what each would be without faults that other readings show."""
    kinds = [kind_of(evidence, one) for one in checked]
    sizes: dict[tuple[str, ...], list[float | None]] = defaultdict(list)
    for kind, one in zip(kinds, checked, strict=True):
        if kind:
            sizes[kind].append(abs(one.reading.value_v.value))
    peers = {kind: peers_of(values) for kind, values in sizes.items()}
    for kind, one in zip(kinds, checked, strict=True):
        yield _reading_row(evidence, one, peers.get(kind), without.get(one.reading.name, ()))


def kind_of(evidence: Evidence, one: Checked) -> tuple[str, ...]:
    """Return what makes readings alike: the types and directions of the modules between their leads, in order."""
    found = [step for step in one.walk or () if step.edge.kind == "module"]
    if len(found) == 1:  # as of most readings
        return (f"{fitted_type(evidence, found[0].edge.part).name}+",)
    along = [f"{fitted_type(evidence, edge.part).name}{'+' if forward else '-'}" for edge, forward in found]
    turned = [f"{fitted_type(evidence, edge.part).name}{'-' if forward else '+'}" for edge, forward in found]
    return min(tuple(sorted(along)), tuple(sorted(turned)))


_OF_THE_WAY = (
    "peers", "peer_median_v", "peer_scatter_v", "unlike_v", "cell_v", "cells_missing", "lowest_v", "lowest_known",
    "size_v", "floating", "slipped",
)  # fmt: skip
"""What is known of a reading once it is known what lies between its leads."""
_RECKONED = frozenset({"difference_v", "slipped"})
_FLOATING = _RECKONED | {"value_v"}
"""Where nothing on record joins the two leads, what is read follows from nothing else on record either."""


def _reading_row(evidence: Evidence, one: Checked, peers: Peers | None, without: tuple[Without, ...]) -> Row:
    reading, value = one.reading, one.reading.value_v
    floating = one.walk is None
    values: dict[str, Value] = {
        "reading": reading.name,
        "between": f"{reading.words[0]} and {reading.words[1]}",
        "state": value.state or None,
        "value_v": measured(value),
        "fault_v": 0.0 if floating else one.fault_v(evidence),
        "cells": one.cells(evidence),
        "circulating": one.circulating,
        "floating": None if floating and one.joined_if_fitted else floating,
        "to_chassis": CHASSIS in (reading.plus, reading.minus),
        **expectations(one),
        **_against_like(evidence, one, peers),
        **(_where_nothing_joins(evidence, one) if floating else {}),
    }
    lacking = evidence.fitted_datum
    if not one.joined_if_fitted and (entry := measured(value)) is not None and not entry.fit:
        lacking = Datum("voltage", reading.name, "multimeter")
    if one.lacking:
        lacking = rest_datum(one.lacking)
    missing = dict.fromkeys(("expected_v", "difference_v", "slipped"), lacking)
    missing["floating"] = missing["lowest_known"] = evidence.fitted_datum
    if untold := _untold(evidence, one):
        missing["lowest_known"] = Datum("module type, and post at which + is", list_places(untold), "eyes")
        missing["peers"] = missing["lowest_known"]
    if floating:
        missing |= dict.fromkeys((*_OF_THE_WAY, "difference_v", "expected_v"), one.waits_for or evidence.fitted_datum)
    touches = {reading.name, *(step.edge.part for step in one.walk or ())}
    groups, positions = evidence.pack.groups, evidence.pack.positions
    touches.update(member for edge in one.modules for member in groups[positions[edge.part].group])
    if evidence.is_shorted:
        touches.add(SHORT)
    if floating or any(not step.edge.as_drawn for step in one.walk or ()):
        touches.add(PATH)
    place = f"reading {reading.name}, {reading.words[0]} against {reading.words[1]}, {value.state or 'no state'}"
    if floating:
        without = (*without, Without(frozenset((reading.name,)), {"value_v": 0.0}))
    reckoned = _FLOATING if floating else _RECKONED
    return Row(reading.name, values, missing, frozenset(touches), place, "", value.origin, reckoned, without)


def expectations(one: Checked) -> dict[str, Value]:
    """Return what the record predicts for a reading, how far the reading is from it, and whether it looks a slip."""
    return {"expected_v": one.expected, "difference_v": one.difference, **_slip(one)}


def _slip(one: Checked) -> dict[str, Value]:
    floating = one.walk is None
    if one.expected is None:
        return {"slip": "", "slipped": False if floating and not one.joined_if_fitted else None}
    middle, half = (one.expected.low + one.expected.high) / 2, (one.expected.high - one.expected.low) / 2
    slip = reading_slip(one.reading.value_v.value, middle, one.smallest_module_v / 2, half)
    return {"slip": slip, "slipped": bool(slip)}


def _against_like(evidence: Evidence, one: Checked, peers: Peers | None) -> dict[str, Value]:
    """Return how far a reading stands from the middle of those over as many modules of the same types."""
    kinds = [fitted_type(evidence, edge.part) for edge in one.modules]
    if peers is None or peers.middle is None or not kinds:
        return {"peers": 0, "lowest_known": None if one.joined_if_fitted else False}
    entry = one.reading.value_v
    cell_v = sum(kind.rest_middle_v for kind in kinds) / sum(kind.cells for kind in kinds)
    short = peers.middle - abs(entry.value)
    aligned = len({step.forward for step in one.walk or () if step.edge.kind == "module"}) == 1
    lowest = [kind.lowest_v for kind in kinds if kind.lowest_v is not None]
    return {
        "peers": None if _untold(evidence, one) else peers.number,
        "peer_median_v": peers.middle,
        "peer_scatter_v": peers.scatter,
        "unlike_v": peers.distance(entry._replace(value=abs(entry.value))),
        "cell_v": cell_v,
        "cells_missing": cells_missing(short, cell_v),
        "lowest_v": sum(lowest) if aligned and len(lowest) == len(kinds) else None,
        "lowest_known": None if _untold(evidence, one) else aligned and len(lowest) == len(kinds),
        "size_v": _size(entry.low, entry.high, one),
    }


def _untold(evidence: Evidence, one: Checked) -> list[str]:
    """Return the modules between a reading's leads of which type or facing was not recorded."""
    modules = evidence.record.modules if evidence.record else {}
    found = ((edge.part, modules.get(edge.part)) for edge in one.modules)
    return [name for name, module in found if module is None or module.plus is None or module.type is None]


def _size(low: float, high: float, one: Checked) -> Value:
    """Return a reading without its sign."""
    entry = measured(one.reading.value_v)
    assert entry is not None
    return entry if low >= 0 else entry._replace(low=-high, high=-low) if high <= 0 else entry


def _where_nothing_joins(evidence: Evidence, one: Checked) -> dict[str, Value]:
    """Return the least that a meter would show [V] if what is open in its state were bridged, or leaked too much."""
    past = bridged(evidence, one.reading)
    return {"bridged_v": past.least_v, "meter_ohm": past.meter_ohm}


UNREAD = "the value of the reading"
"""What is to be recorded of a reading of which the record has the row alone."""
_TOLD = frozenset({"reading", "between", "state"})
"""What is told of a reading without a value; everything else about it waits for the value."""


def unread_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield a row of the table ``reading`` for each reading without a value that could be taken with the plug out.

    One that needs a switch closed is asked for by the rules of the gate after that.
    """
    record = evidence.record
    for unread in record.unread if record else ():
        state = evidence.pack.states.get(unread.state)
        if state is None or not state.closed:
            yield _unread_row(unread)


def _unread_row(unread: Unread) -> Row:
    between = " and ".join(unread.words) if any(unread.words) else None
    values: dict[str, Value] = {"reading": unread.name, "between": between, "state": unread.state or None}
    datum = Datum(UNREAD, unread.name, "multimeter")
    place = f"reading {unread.name}, without a value"
    lacking = dict.fromkeys((column.name for column in READING.columns if column.name not in _TOLD), datum)
    return Row(unread.name, values, lacking, frozenset((unread.name,)), place, "", unread.origin)
