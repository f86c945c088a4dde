"""A page of plain text: wrapped to a width, with labels, lists and at most a little colour."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

NARROWEST = 40
USUAL_WIDTH = 80
WIDEST = 120

_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
_INKS = {"stop": "1;37;41", "hold": "1;30;43", "strong": "1"}
_LABEL = 10
_NO_BREAK = "\u00a0"
_UNITS = "µΩ|mΩ|kΩ|MΩ|Ω/V|Ω|mV|V|mA|kA|A|Ah|N·m|N|mm|MPa|kW|W|h|g|°C|%"
_QUANTITY = re.compile(rf"(?<=[0-9]) (?=±|(?:{_UNITS})(?![\w·/]))|(?<=±) (?=[0-9])")
"""The blank between a number and its unit, where no line may end."""


def printable(text: str) -> str:
    """Return the text with line ends as spaces and control characters spelled out: no file may steer a terminal.

    Examples
    --------
    >>> printable("P01" + chr(27) + "[2J")
    'P01<1B>[2J'
    """
    return text if text.isprintable() else _UNPRINTABLE.sub(lambda match: _spell(match[0]), text)


def _spell(character: str) -> str:
    return " " if character in "\n\r\t" else f"<{ord(character):02X}>"


def unbroken(text: str) -> str:
    """Return the text with no-break blanks between each number and its unit.

    Examples
    --------
    >>> unbroken("at 1 mm or 2 mm") == "at 1" + chr(160) + "mm or 2" + chr(160) + "mm"
    True
    """
    return _QUANTITY.sub(_NO_BREAK, text)


def plural(count: int, noun: str) -> str:
    """Return the count with its noun: ``1 joint``, ``2 joints``.

    Examples
    --------
    >>> plural(1, "joint"), plural(4000, "joint"), plural(2, "box"), plural(2, "entry")
    ('1 joint', '4,000 joints', '2 boxes', '2 entries')
    """
    if count != 1 and noun.endswith("ry"):
        return f"{count:,} {noun[:-1]}ies"
    ending = "" if count == 1 else "es" if noun.endswith(("s", "x", "ch", "sh")) else "s"
    return f"{count:,} {noun}{ending}"


class Page:
    """Lines of text in the making; ``width`` counts characters and is never below 40."""

    def __init__(self, width: int = USUAL_WIDTH, *, colour: bool = False) -> None:
        self.width = min(WIDEST, max(NARROWEST, width))
        self.colour = colour
        self._lines: list[str] = []

    def text(self) -> str:
        """Return the page, each line without trailing blanks, ending with one line end."""
        return "\n".join(self._lines).rstrip("\n") + "\n"

    def gap(self) -> None:
        """Leave one line empty, never two."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def banner(self, text: str, ink: str) -> None:
        """Write the line that must be read first; the ink only underlines what the words say."""
        for line in self._wrapped(text, "", ""):
            self._lines.append(self._inked(line, ink))

    def heading(self, text: str) -> None:
        """Begin a section."""
        self.gap()
        for line in self._wrapped(text, "", ""):
            self._lines.append(self._inked(line, "strong"))

    def say(self, text: str, indent: int = 0) -> None:
        """Write a paragraph."""
        self._lines.extend(self._wrapped(text, " " * indent, " " * indent))

    @property
    def height(self) -> int:
        """Return how many lines have been written."""
        return len(self._lines)

    def item(self, text: str, mark: str = "-", indent: int = 2, most: int | None = None) -> None:
        """Write one entry of a list, cut after so many lines if that is asked."""
        lead = f"{' ' * indent}{mark} "
        lines = self._wrapped(text, lead, " " * len(lead))
        if most is not None and len(lines) > most:
            lines = [*lines[: most - 1], f"{lines[most - 1][: self.width - 2].rstrip(' ,;')} …"]
        self._lines.extend(lines)

    def field(self, label: str, texts: str | Iterable[str], indent: int = 3) -> None:
        """Write a label and what belongs to it, every line of it in one column; nothing if there is nothing."""
        entries = [texts] if isinstance(texts, str) else list(texts)
        lead = f"{' ' * indent}{label:<{_LABEL}}"
        blank = " " * len(lead)
        for entry in filter(None, entries):
            self._lines.extend(self._wrapped(entry, lead, blank))
            lead = blank

    def verbatim(self, text: str, indent: int = 0) -> None:
        """Write one line as it is, not wrapped: a line of a file, a row of a table."""
        self._lines.append((" " * indent + printable(text)).rstrip())

    def _inked(self, line: str, ink: str) -> str:
        return f"\x1b[{_INKS[ink]}m{line}\x1b[0m" if self.colour and ink in _INKS else line

    def _wrapped(self, text: str, first: str, rest: str) -> list[str]:
        lines = textwrap.wrap(
            unbroken(printable(text)),
            self.width,
            initial_indent=first,
            subsequent_indent=rest,
            break_long_words=True,
            break_on_hyphens=False,
        )
        return [line.replace(_NO_BREAK, " ") for line in lines] or [first.rstrip()]
