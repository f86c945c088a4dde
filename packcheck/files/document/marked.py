"""Mappings and lists that remember where each of their parts stands in the file, and the document made of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from packcheck.files.document.commas import comma_at
from packcheck.files.frozen import dataclass
from packcheck.files.origin import Origin
from packcheck.files.problems import Problem

_EXCERPT_WIDTH = 110
_LONGEST_SAID = 2000


class MarkedMapping(dict[str, Any]):
    """A mapping that knows where it starts and where each key and each value stands."""

    __slots__ = ("key_mark", "mark", "value_mark")

    def __init__(self, mark: Origin) -> None:
        self.mark = mark
        self.key_mark: dict[str, Origin] = {}
        self.value_mark: dict[str, Origin] = {}


class MarkedSequence(list[Any]):
    """A list that knows where it starts and where each item stands."""

    __slots__ = ("item_mark", "mark")

    def __init__(self, mark: Origin) -> None:
        self.mark = mark
        self.item_mark: list[Origin] = []


@dataclass(frozen=True)
class Document:
    """One file that was read: its name as shown to people, its data, its lines, the SHA-256 of the bytes read."""

    file: str
    root: MarkedMapping
    lines: tuple[str, ...]
    sha256: str = ""

    def mark(self, path: Sequence[str | int], key: bool = False) -> Origin:
        """Return where the value at a path of keys and indexes stands, or its key.

        A path that goes on beyond what the file has ends at the last part that exists: an absent key is reported at
        the mapping it is absent from.
        """
        here: Any = self.root
        mark = self.root.mark
        for step in path:
            if type(here) is MarkedMapping and step in here:
                mark = here.key_mark[step] if key else here.value_mark[step]  # type: ignore[index]
            elif type(here) is MarkedSequence and type(step) is int and 0 <= step < len(here):
                mark = here.item_mark[step]
            else:
                break
            here = here[step]
        return mark

    def excerpt(self, mark: Origin) -> str:
        """Return the source line at a mark and, below it, a caret under the column."""
        return excerpt(self.lines, mark)

    def problem(
        self, path: Sequence[str | int], *, found: str, needed: str, why: str = "", do: str = "", key: bool = False
    ) -> Problem:
        """Return a problem at the value of a path (or at its key), with the source line shown.

        Where the value is one half of a number with a decimal comma, that is what is wrong.
        """
        mark = self.mark(path, key)
        line = self.lines[mark.line - 1] if 1 <= mark.line <= len(self.lines) else ""
        item = not key and bool(path) and isinstance(path[-1], int)
        comma = comma_at(line, mark.column, item=item) if "," in line else None
        if comma:
            found, needed, do = f"a decimal comma in {comma.written}", "a decimal point", f"write {comma.pointed}"
            return self.problem_at(mark._replace(column=comma.column), found=found, needed=needed, do=do)
        return self.problem_at(mark, found=found, needed=needed, why=why, do=do)

    def problem_at(self, mark: Origin, *, found: str, needed: str, why: str = "", do: str = "") -> Problem:
        """Return a problem at a mark, with the source line shown."""
        return located_problem(self.lines, mark, found=found, needed=needed, why=why, do=do)


def excerpt(lines: Sequence[str], mark: Origin) -> str:
    """Return the marked line, cut around the mark when long, and a caret below the column."""
    if not 1 <= mark.line <= len(lines):
        return ""
    line = lines[mark.line - 1].replace("\t", " ").rstrip()
    at = min(max(mark.column - 1, 0), len(line))
    start = max(0, at - _EXCERPT_WIDTH * 2 // 3) if len(line) > _EXCERPT_WIDTH else 0
    shown = line[start : start + _EXCERPT_WIDTH]
    before, after = "…" if start else "", "…" if start + _EXCERPT_WIDTH < len(line) else ""
    return f"{before}{shown}{after}\n{' ' * (at - start + len(before))}^"


def located_problem(
    lines: Sequence[str], mark: Origin, *, found: str, needed: str, why: str = "", do: str = ""
) -> Problem:
    """Return a problem at a mark of a file whose lines are at hand; what was found is cut short where it is a book."""
    found, do = (text if len(text) <= _LONGEST_SAID else f"{text[:_LONGEST_SAID]}…" for text in (found, do))
    return Problem(mark, found, needed, why, do, excerpt(lines, mark))
