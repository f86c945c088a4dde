"""Facts about temperature probes and vent lines that a record tells of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.model.record.beside import served
from packcheck.rules.catalogue import Row, Value

NOWHERE = "nothing, not fitted"


def attached_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per temperature probe and vent line of which the record says whether and where it sits."""
    record, pack = evidence.record, evidence.pack
    if record is None:
        return
    for name, on in record.probes.items():
        yield _row("temperature probe", name, pack.probes[name]["on"], on)
    for name, over in record.vents.items():
        yield _row("vent line", name, served(pack, name), over)


def _row(kind: str, name: str, planned: Iterable[str], found: Iterable[str]) -> Row:
    planned, found = tuple(planned), tuple(found)
    values: dict[str, Value] = {
        "attached": name,
        "kind": kind,
        "planned_on": list_places(planned),
        "on": list_places(found) or NOWHERE,
        "as_drawn": planned == found,
    }
    return Row(name, values, {}, frozenset((name, *found)), f"{kind} {name}")
