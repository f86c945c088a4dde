"""When a thing was first seen or read, before anybody looked again."""

from __future__ import annotations

from datetime import datetime

from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.model import Record


def read_loose(record: Record, position: str) -> datetime | None:
    """Return when the module of a position was read on the bench."""
    read = record.modules[position].rest_v if position in record.modules else None
    return read.at if read and read.state == LOOSE else None


def was_on_before(record: Record, conductor: str, moment: datetime) -> bool:
    """Return whether a look at a conductor is older: then that look already contradicts what was read later."""
    seen = record.conductors.get(conductor)
    return seen is not None and seen.at is not None and seen.at < moment


def first_seen_on(record: Record, cover: str) -> datetime | None:
    """Return when a cover was first seen on; None where a look at it has no time, since nobody can say then."""
    seen = record.covers.get(cover)
    looks = [one.first_at for one in record.amended if one.subject == cover and one.first != "not fitted"]
    if seen is None or not seen.fitted or seen.at is None or None in looks:
        return None
    return min(at for at in (seen.at, *looks) if at)
