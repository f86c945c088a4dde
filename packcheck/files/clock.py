"""The clock that dates of a record are held against; a module of its own, so that tests can set it."""

from __future__ import annotations

from datetime import datetime


def now() -> datetime:
    """Return the local time, without a zone."""
    return datetime.now()
