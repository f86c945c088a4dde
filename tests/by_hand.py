"""Things made by hand that a builder of facts looks at: an exact entry, an object with just these parts."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from packcheck.model.record.entry import Entry


def exactly(value: float) -> Entry:
    return Entry(value, value, value)


def thing(**parts: Any) -> Any:
    """Return something that has just these parts, to stand where a builder looks at no others."""
    return SimpleNamespace(**parts)
