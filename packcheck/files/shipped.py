"""Where the rules, layouts and schemas that come with packcheck lie, installed or in a checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]


def shipped_folder(name: str) -> Path:
    """Return the folder ``rules`` or ``layouts``: beside the package in a checkout, inside it when installed.

    A checkout is preferred (an editable install shows edits at once); it is known by its pyproject.toml.
    """
    checkout = _PACKAGE.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    return _PACKAGE / "_data" / name


def schema_folder() -> Path:
    """Return the folder that holds the JSON Schemas of the files people write."""
    return _PACKAGE / "schemas"
