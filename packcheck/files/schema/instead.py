"""What to do about a value that is no slip of the pen, where an example of the schema would lead astray."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

_UNTRUE: dict[tuple[str | int, ...], str] = {
    ("extra",): "write what was found under bars:, with where it lands, or under notes: once it is out of the pack;"
    " leave extra: out until somebody has looked and there is nothing",
}
"""By the way to it, what to do where the one value that may stand there would be untrue."""

_NAMES = frozenset({"pack", "serial", "part", "by", "second"})
"""What holds a name that may well be a number."""


def instead_of_example(error: Any, path: Sequence[str | int]) -> str:
    """Return what to do about a value; "" where an example of the schema, or the usual words, serve."""
    value = error.instance
    is_number = isinstance(value, (int, float, Decimal)) and not isinstance(value, bool)
    if error.validator == "type" and error.validator_value == "string" and is_number and path[-1] in _NAMES:
        return f'write "{value}", in quotes, if that is what it is called'
    return _UNTRUE.get(tuple(path), "")
