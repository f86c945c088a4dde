"""Texts and data as YAML in one line, so that ours and other readers take them for what they are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from packcheck.files.document.scalars import ScalarProblem, read_scalar

_PLAIN = re.compile(r"[^\W_](?:[^,\[\]{}#:?\"'\\\n\t]*[^ ,\[\]{}#:?\"'\\\n\t])?")
_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_.+/()-]*(?:(?: by | )[A-Za-z0-9_.+/()-]+)*\Z")
_OTHERS_TAKE_FOR_TRUTH = frozenset({"on", "off", "yes", "no", "y", "n", "true", "false", "null"})


def flow(value: Any) -> str:
    """Return data as YAML in one line.

    Examples
    --------
    >>> flow({"lands": ["P01.A", "P02.A"], "torque": "4.5 N·m", "note": "a, b"})
    '{lands: [P01.A, P02.A], torque: 4.5 N·m, note: "a, b"}'
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(key)}: {flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    return scalar(value)


def scalar(value: Any) -> str:
    """Return one word, text or number as YAML: in quotes where a reader could take it for something else."""
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, int | Decimal):
        return str(value)
    text = str(value)
    time = re.fullmatch(r"\d{4}-\d{2}-\d{2}( \d{2}:\d{2}(:\d{2})?)?", text)
    if time or (_PLAIN.fullmatch(text) and text.lower() not in _OTHERS_TAKE_FOR_TRUTH and _is_text(text)):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t") + '"'


def _is_text(text: str) -> bool:
    try:
        return isinstance(read_scalar(text), str)
    except ScalarProblem:
        return False


def plain(text: str) -> str:
    """Return a text as it can be written, in quotes where YAML would otherwise take it for something else.

    Examples
    --------
    >>> plain("P01..P24"), plain("no"), plain("7: top")
    ('P01..P24', "'no'", "'7: top'")
    """
    bare = _BARE.match(text) and text.casefold() not in _OTHERS_TAKE_FOR_TRUTH | {"none"}
    return text if bare else "'" + text.replace("'", "''") + "'"
