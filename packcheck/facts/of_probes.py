"""Facts about the temperature probes that a record tells of."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import measured
from packcheck.files.name_lists import list_places
from packcheck.model.pack.test_limits import probes_named
from packcheck.physics.probes import probe_band_ohm
from packcheck.rules.catalogue import Row, Value

NOWHERE = "nothing, not fitted"
ROOM_C = (0.0, 45.0)
"""Between which temperatures packs are put together [°C]; common practice, no source."""


def probe_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per temperature probe of which the record says whether and where it sits, or what it reads."""
    record, pack = evidence.record, evidence.pack
    if record is None:
        return
    for name in dict.fromkeys((*record.probes, *record.probe_ohms)):
        planned, found = tuple(map(str, pack.probes[name]["on"])), record.probes.get(name)
        kind = str(pack.probes[name].get("kind", ""))
        values: dict[str, Value] = {
            "probe": name,
            "planned_on": list_places(planned),
            "on": list_places(found or ()) or NOWHERE,
            "place_told": found is not None,
            "as_drawn": None if found is None else planned == found,
            "kind": kind,
            "resistance_ohm": measured(record.probe_ohms.get(name)),
            **_in_a_room(kind, name in record.probe_ohms),
        }
        yield Row(name, values, {}, frozenset((name, *(found or ()))), f"temperature probe {name}")


def _in_a_room(kind: str, was_read: bool) -> dict[str, Value]:
    """Return what a kind of probe may read in any room, and whether there is anything to be held against it."""
    bands = [probe_band_ohm(probe, *ROOM_C) for probe in probes_named(kind)]
    return {
        "resistance_judged": was_read and bool(bands),
        "resistance_least_ohm": min((low for low, _ in bands), default=None),
        "resistance_most_ohm": max((high for _, high in bands), default=None),
    }
