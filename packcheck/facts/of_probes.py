"""Facts about the temperature probes that a record tells of."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.rules.catalogue import Row, Value

NOWHERE = "nothing, not fitted"


def probe_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per temperature probe of which the record says whether and where it sits."""
    record, pack = evidence.record, evidence.pack
    for name, found in record.probes.items() if record else ():
        planned = tuple(map(str, pack.probes[name]["on"]))
        values: dict[str, Value] = {
            "probe": name,
            "planned_on": list_places(planned),
            "on": list_places(found) or NOWHERE,
            "as_drawn": planned == found,
        }
        yield Row(name, values, {}, frozenset((name, *found)), f"temperature probe {name}")
