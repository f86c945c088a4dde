"""Facts about voltages read while a load was drawn: how far each sagged, against what resistances let it sag."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.diagnosis.sight import Sight
from packcheck.facts.common import measured, worked_out
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_readings import check_loaded
from packcheck.files.name_lists import list_places
from packcheck.rules.catalogue import Datum, Row, Value


def loaded_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per voltage that was read under a load."""
    sight = Sight(evidence.record) if evidence.record and evidence.record.loaded else None
    for one in check_loaded(evidence) if sight else ():
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
        }
        if sight and rest is not None:
            middle = (rest.low + rest.high) / 2
            sag, half = abs(middle) - value.value * (1 if middle >= 0 else -1), one.half_v
            values["sag_v"] = worked_out(sag - half, sag + half, (value, rest))
            values["rest_size_v"] = abs(middle)
            values["stated_v"] = abs(sight.view(value.state).dropped_v(reading.plus, reading.minus, reading.load_a))
        lacking = Datum("rest voltage, and post at which + is", list_places(one.lacking), "multimeter")
        missing = dict.fromkeys(("rest_v", "sag_v"), lacking if one.lacking else evidence.fitted_datum)
        touches = frozenset({reading.name, *(step.edge.part for step in one.walk or ())})
        place = f"reading {reading.name}, {reading.words[0]} against {reading.words[1]}, {state}, under load"
        yield Row(reading.name, values, missing, touches, place, "", value.origin)
