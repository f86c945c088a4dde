"""Lines of a first layout: those with an assumed number carry a TODO."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

TODO_AT = 66
"""Where the TODO of a line begins, where the line is not longer."""
_LONGEST = 110


def todo(line: str, what: str) -> str:
    """Return a line with the comment that its numbers are assumed, and where the true ones are found."""
    return f"{line:<{TODO_AT}} # TODO {what}"


def number(value: float) -> str:
    """Return a number without the noise of arithmetic."""
    return f"{value:.6g}"


def wrapped(lead: str, words: Iterable[str]) -> Iterator[str]:
    """Yield a list of words behind its key, in as many lines as it takes."""
    line = lead
    for word in words:
        if len(line) + len(word) > _LONGEST:
            yield line.rstrip()
            line = "    "
        line += f"{word}, "
    yield line.removesuffix(", ") + "]"
