"""One reading as it was written down, with the interval that its instrument allows."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from packcheck.files.origin import Origin


class Entry(NamedTuple):
    """One reading in the column's unit: what was written down, and the interval its instrument allows.

    ``fit`` is False when the instrument cannot prove anything met; ``unfit_because`` says why.  ``share`` is the part
    of the half width that grows with the reading, as a share of it: one meter has it in common in all it reads.
    ``written`` is the number with its unit as it stands in the record.
    """

    low: float
    high: float
    value: float
    instrument: str = ""
    at: datetime | None = None
    by: str = ""
    state: str = ""
    fit: bool = True
    unfit_because: str = ""
    origin: Origin | None = None
    share: float = 0.0
    written: str = ""

    @property
    def own_half(self) -> float:
        """Return the part of the half width that is the same whatever the size of the reading, in its unit."""
        return max(0.0, (self.high - self.low) / 2 - self.share * abs(self.value))
