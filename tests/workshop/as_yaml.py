"""Data as the YAML that a person would write: the outer two levels in blocks, rows in one line each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

Data = dict[str, Any]


def to_yaml(value: Any, indent: int = 0) -> str:
    """Return data as YAML: the outer two levels in blocks, rows in one line each."""
    lines = []
    for key, item in value.items():
        head = " " * indent + scalar(key) + ":"
        if isinstance(item, dict) and indent < 2 and item:
            lines += [head, to_yaml(item, indent + 2)]
        else:
            lines.append(f"{head} {flow(item)}")
    return "\n".join(lines) + ("\n" if indent == 0 else "")


def flow(item: Any) -> str:
    """Return data as YAML in one line."""
    if isinstance(item, dict):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in item.items()) + "}"
    if isinstance(item, list | tuple):
        return "[" + ", ".join(flow(v) for v in item) + "]"
    return scalar(item)


def scalar(item: Any) -> str:
    """Return one scalar, quoted where a reader could take it for something else."""
    if item is None:
        return "none"
    if isinstance(item, bool):
        return "true" if item else "false"
    text = str(item)
    if isinstance(item, str) and (not text or (text[0] in "0123456789-+.{[\"'#&*!|>%@" and _is_number(text))):
        return f'"{text}"'
    return f'"{text}"' if any(mark in text for mark in (": ", ", ", "{", "}", "[", "]", " #")) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def write(path: Path, data: Data) -> Path:
    """Write data as YAML and return the path."""
    path.write_text(to_yaml(data), encoding="utf-8")
    return path
