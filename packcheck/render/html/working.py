"""The working."""

from __future__ import annotations

from packcheck.render.html.subject import Section, Subject


def working(subject: Subject) -> Section | None:
    """Return nothing yet."""
    return None if subject else None
