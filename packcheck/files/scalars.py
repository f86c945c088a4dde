"""A text as YAML that reads back as the same text, wherever in a list or a table it stands."""

from __future__ import annotations

import re

_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_.+/()-]*(?:(?: by | )[A-Za-z0-9_.+/()-]+)*\Z")
_WORDS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null", "none"})


def plain(text: str) -> str:
    """Return a text as it can be written, in quotes where YAML would otherwise take it for something else.

    Examples
    --------
    >>> plain("P01..P24"), plain("no"), plain("7: top")
    ('P01..P24', "'no'", "'7: top'")
    """
    bare = _BARE.match(text) and text.casefold() not in _WORDS
    return text if bare else "'" + text.replace("'", "''") + "'"
