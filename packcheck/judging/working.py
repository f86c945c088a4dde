"""The working."""

from __future__ import annotations


class Working:
    """Nothing yet."""


def workings_of(*_: object) -> tuple[Working, ...]:
    """Return nothing yet."""
    return ()
