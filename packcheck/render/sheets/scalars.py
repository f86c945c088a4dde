"""Values of a record as YAML in one line, quoted where YAML would take them for something else."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from packcheck.files.document.scalars import ScalarProblem, read_scalar

_PLAIN_START = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`=]|-(?=[^\s])")
_TROUBLE = re.compile(r": |:$| #|[\[\]{},\n\t\"']|^(---|\.\.\.)|^\s|\s$")


def flow(value: Any) -> str:
    """Return a value as YAML in one line.

    Examples
    --------
    >>> flow({"is": "4.5 N·m", "by": "TO"}), flow(["P12.B", "a, b"]), flow("7.92")
    ('{is: 4.5 N·m, by: TO}', '[P12.B, "a, b"]', '"7.92"')
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{flow(str(key))}: {flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | Decimal):
        return f"{value:f}" if isinstance(value, Decimal) else str(value)
    return _text(str(value))


def _text(text: str) -> str:
    plain = bool(_PLAIN_START.match(text)) and not _TROUBLE.search(text) and text not in ("<<", "=")
    if plain:
        try:
            plain = isinstance(read_scalar(text), str)
        except ScalarProblem:
            plain = False
    if plain:
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t") + '"'
