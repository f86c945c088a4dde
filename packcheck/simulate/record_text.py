"""Data -> the YAML of a record: tables in blocks, rows in one line each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from packcheck.simulate.meters import Figure

_TREACHEROUS = set("0123456789-+.[]{}\"'#&*!|>%@`?:,")
_WORDS = {"", "none", "true", "false", "on", "off", "yes", "no", "null", "~"}


def record_text(record: Mapping[str, Any]) -> str:
    """Return a record as the text of its file; a line lies between its tables."""
    blocks = [_block(str(key), value) for key, value in record.items()]
    head = [block for block in blocks if "\n" not in block.rstrip("\n")]
    tables = [block for block in blocks if block not in head]
    return "".join(head) + "".join("\n" + table for table in tables)


def _block(key: str, value: Any) -> str:
    if isinstance(value, Mapping) and key not in ("of", "clamp", "people"):
        rows = [f"  {scalar(name)}: {flow(item)}\n" for name, item in value.items()]
        return f"{key}:\n" + "".join(rows)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"{key}:\n" + "".join(f"  - {flow(item)}\n" for item in value)
    return f"{key}: {flow(value)}\n"


def flow(item: Any) -> str:
    """Return data in one line."""
    if isinstance(item, list | tuple):
        return "[" + ", ".join(map(flow, item)) + "]"
    if isinstance(item, str) or item is None or not isinstance(item, Mapping):
        return scalar(item)
    return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in item.items()) + "}"


def scalar(item: Any) -> str:
    """Return one scalar, quoted where a reader could take it for something else."""
    if item is None:
        return "none"
    if isinstance(item, Figure) or not isinstance(item, str):
        return str(item)
    return _text(item)


@lru_cache(maxsize=4096)
def _text(item: str) -> str:
    harmless = item not in _WORDS and item[0] not in _TREACHEROUS
    plain = harmless and not any(mark in item for mark in (": ", ", ", "{", "}", "[", "]", " #", '"'))
    return item if plain and not item.endswith(":") else '"' + item.replace('"', "'") + '"'
