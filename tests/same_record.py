"""Whether two records tell the same, wherever in their files it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from packcheck.files.origin import Origin
from packcheck.model.record.model import Record

LEFT_OUT = frozenset({"pack", "file", "written"})
"""What is not compared: the pack is given, and 7.90 V and 7.9 V are written in two ways and mean the same."""


def told(value: Any) -> Any:
    """Return what a record tells as plain data, without origins, in the order of names."""
    if isinstance(value, Origin):
        return None
    if hasattr(value, "_asdict"):
        return {key: told(item) for key, item in value._asdict().items() if key not in LEFT_OUT}
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: told(getattr(value, f.name)) for f in fields(value) if f.name not in LEFT_OUT}
    if isinstance(value, Mapping):
        return {key: told(value[key]) for key in sorted(value)}
    if isinstance(value, list | tuple):
        items = [told(item) for item in value]
        return sorted(items, key=repr) if value and hasattr(value[0], "words") else items
    return sorted(value, key=repr) if isinstance(value, frozenset) else value


def same(one: Record, other: Record) -> bool:
    """Return whether two records tell the same."""
    return told(one) == told(other)
