"""Characters that no file of ours may hold, since people cannot see them."""

from __future__ import annotations

import re

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # control characters, save tab and line ends
    "\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\uffff"  # zero width, direction, line signs
    "\ud800-\udfff]"  # half characters
)


def unprintable(text: str, start: int = 0) -> str:
    """Return the first character of the text that a reader cannot see, as ``U+200B``, or an empty text."""
    match = _UNPRINTABLE.search(text, start)
    return f"U+{ord(match[0]):04X}" if match else ""


def unprintable_places(text: str, most: int) -> list[int]:
    """Return the indexes of the first such characters, at most so many."""
    places: list[int] = []
    for match in _UNPRINTABLE.finditer(text):
        places.append(match.start())
        if len(places) == most:
            break
    return places
