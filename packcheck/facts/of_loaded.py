"""Facts about voltages read while a load was drawn: how far each sagged, against what resistances let it sag."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from statistics import median

from packcheck.facts.checked_readings import Checked, check_loaded, rest_datum
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.of_readings import kind_of
from packcheck.rules.catalogue import Row, Value


def loaded_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per voltage that was read under a load."""
    if evidence.record is None or not evidence.record.loaded:
        return
    from packcheck.diagnosis.worlds import Sight

    sight, checked = Sight(evidence.record), check_loaded(evidence)
    likes = _likes(evidence, checked)
    for one in checked:
        reading, value, rest = one.reading, one.reading.value_v, one.expected
        state = value.state or "no state"
        values: dict[str, Value] = {
            "reading": reading.name,
            "between": f"{reading.words[0]} and {reading.words[1]}",
            "state": value.state or None,
            "load_a": reading.load_a,
            "value_v": measured(value),
            "rest_v": rest,
            "cells": one.cells(evidence),
            "peers": len(like := likes[_like(evidence, one)]),
            "peer_sag_v": median(like) if like else None,
        }
        if rest is not None:
            middle, half = (rest.low + rest.high) / 2, one.half_v
            sag = _sag_v(one) or 0.0
            values["sag_v"] = worked_out(sag - half, sag + half, (value, rest))
            values["rest_size_v"] = abs(middle)
            values["stated_v"] = abs(sight.view(value.state).dropped_v(reading.plus, reading.minus, reading.load_a))
        lacking = rest_datum(one.lacking) if one.lacking else evidence.fitted_datum
        missing = dict.fromkeys(("rest_v", "sag_v"), lacking)
        touches = frozenset({reading.name, *(step.edge.part for step in one.walk or ())})
        place = f"reading {reading.name}, {reading.words[0]} against {reading.words[1]}, {state}, under load"
        yield Row(reading.name, values, missing, touches, place, "", value.origin)


def _sag_v(one: Checked) -> float | None:
    """Return by how much a reading is less than at rest [V]; None where the record does not say what that was."""
    if one.expected is None:
        return None
    middle = (one.expected.low + one.expected.high) / 2
    return abs(middle) - one.reading.value_v.value * (1 if middle >= 0 else -1)


def _like(evidence: Evidence, one: Checked) -> tuple[object, ...]:
    """Return what makes sags alike: the state, the load, and the types and directions of the modules between."""
    return (one.reading.value_v.state, one.reading.load_a, *kind_of(evidence, one))


def _likes(evidence: Evidence, checked: Sequence[Checked]) -> Mapping[tuple[object, ...], list[float]]:
    found: dict[tuple[object, ...], list[float]] = defaultdict(list)
    for one in checked:
        if (sag := _sag_v(one)) is not None and one.modules:
            found[_like(evidence, one)].append(sag)
    return found
