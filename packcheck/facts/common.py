"""What the builders of several tables share."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.model.pack.model import Pack
from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Measured


def measured(entry: Entry | None, scale: float = 1.0) -> Measured | None:
    """Return an entry as a measured value, divided by ``scale``."""
    if entry is None:
        return None
    written = entry.written if scale == 1.0 else ""
    return Measured(entry.low / scale, entry.high / scale, entry.fit, entry.unfit_because, entry.instrument, written)


def worked_out(low: float, high: float, parts: Iterable[Measured | Entry]) -> Measured:
    """Return an interval worked out from several readings: fit only if all of them are."""
    unfit = next((part for part in parts if not part.fit), None)
    if unfit is None:
        return Measured(low, high)
    return Measured(low, high, False, unfit.unfit_because, unfit.instrument)


def with_sign(pack: Pack, node: str) -> str:
    """Return a place with the planned polarity beside it, other nodes as they are."""
    sign = pack.polarity_of(node)
    return f"{node} (planned {sign})" if sign else node
