"""What the builders of several tables share."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.facts.evidence import Evidence
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import Entry
from packcheck.rules.catalogue import Measured


def measured(entry: Entry | None, scale: float = 1.0) -> Measured | None:
    """Return an entry as a measured value, divided by ``scale``."""
    if entry is None:
        return None
    return Measured(entry.low / scale, entry.high / scale, entry.fit, entry.unfit_because, entry.instrument)


def worked_out(low: float, high: float, parts: Iterable[Measured | Entry]) -> Measured:
    """Return an interval worked out from several readings: fit only if all of them are."""
    unfit = next((part for part in parts if not part.fit), None)
    if unfit is None:
        return Measured(low, high)
    return Measured(low, high, False, unfit.unfit_because, unfit.instrument)


def source_of(evidence: Evidence, line: int) -> tuple[str, int] | None:
    """Return where in the record something was said."""
    return (evidence.record.file, line) if evidence.record and line else None


def layout_source(pack: Pack, name: str) -> tuple[str, int] | None:
    """Return where in the layout a name was written out."""
    return (pack.file, pack.lines[name]) if name in pack.lines else None


def with_sign(pack: Pack, node: str) -> str:
    """Return a place with the planned polarity beside it, other nodes as they are."""
    sign = pack.polarity_of(node)
    return f"{node} (planned {sign})" if sign else node
