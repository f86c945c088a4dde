"""Take keys out of a document that people wrote, gathering every problem with its place."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import TypeVar

from packcheck.files.document import Document, MarkedMapping, MarkedSequence
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.files.quantities import Dimension, QuantityProblem, parse_quantity

Path = tuple[str | int, ...]
FOR_EDITORS = frozenset({"$schema"})
"""Keys that tell an editor where to look, and this program nothing."""
_Word = TypeVar("_Word", bound=Enum)


class Keys:
    """One document and the problems found in it so far."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def wrong(self, path: Path, found: str, needed: str, why: str = "", do: str = "", key: bool = False) -> None:
        """Note one problem at the value of a path, or at its key."""
        self.problems.append(self.document.problem(path, found=found, needed=needed, why=why, do=do, key=key))

    def raise_problems(self) -> None:
        """Raise the problems noted so far, if there are any."""
        if self.problems:
            raise InputProblems(self.problems)

    def mapping(self, path: Path, value: object, needed: str = "keys with values") -> MarkedMapping | None:
        """Return the value if it is a mapping."""
        if isinstance(value, MarkedMapping):
            return value
        self.wrong(path, shown(value), needed, do="Write name: value, one to a line.")
        return None

    def items(self, path: Path, value: object, needed: str = "a list") -> MarkedSequence | None:
        """Return the value if it is a list."""
        if isinstance(value, MarkedSequence):
            return value
        self.wrong(path, shown(value), needed, do="Write it in brackets: [a, b].")
        return None

    def check_keys(
        self,
        path: Path,
        mapping: MarkedMapping,
        needed: Sequence[str],
        may: Sequence[str] = (),
        silent: Collection[str] = (),
    ) -> None:
        """Note every key that is not known, and every one that is lacking; ``silent`` ones may stand there unread."""
        known = [*needed, *may]
        for key in mapping:
            if key not in known and key not in silent:
                near = nearest_name(key, known)
                do = f"Did you mean {near}?" if near else f"The keys here are: {', '.join(known)}."
                self.wrong((*path, key), f"the key {key}", "a known key", do=do, key=True)
        meant = {nearest_name(key, known) for key in mapping if key not in known}
        for key in needed:
            if key not in mapping and key not in meant:
                self.wrong(path, f"no key {key}", f"the keys {', '.join(needed)}", do=f"Add {key}.")

    def text(self, path: Path, mapping: MarkedMapping, key: str) -> str:
        """Return a text, or "" (and a problem) when it is none; an absent key has been noted already."""
        if key not in mapping:
            return ""
        value = mapping[key]
        if isinstance(value, str) and value.strip():
            return " ".join(value.split())
        do = "Put it in quotes if it is meant as text." if value is not None else ""
        self.wrong((*path, key), shown(value), "a text", do=do)
        return ""

    def word(self, path: Path, mapping: MarkedMapping, key: str, words: type[_Word]) -> _Word | None:
        """Return one of a closed list of words."""
        text = self.text(path, mapping, key)
        for word in words:
            if word.value == text:
                return word
        if text:
            self.unknown((*path, key), text, [str(word.value) for word in words], "word")
        return None

    def unknown(self, path: Path, name: str, known: Collection[str], what: str, key: bool = False) -> None:
        """Note a name that nothing is known by."""
        near = nearest_name(name, known)
        listed = ", ".join(list(known)[:12]) + (" ..." if len(known) > 12 else "")
        do = f"Did you mean {near}?" if near else f"Known: {listed}." if known else ""
        self.wrong(path, f"the {what} {name}", f"a known {what}", do=do, key=key)

    def quantity(self, path: Path, value: object) -> tuple[Fraction, str] | None:
        """Return a plain number, or a number with any accepted unit, exactly and in the program's unit."""
        if isinstance(value, int | Decimal) and not isinstance(value, bool):
            return Fraction(value), ""
        if isinstance(value, str):
            for dimension in Dimension:
                try:
                    return parse_quantity(value, dimension), dimension.unit
                except QuantityProblem:
                    continue
        needed = "a number, or a number with its unit"
        self.wrong(path, shown(value), needed, do="Write it as 0.3 mm, with a unit that packcheck reads.")
        return None


def shown(value: object) -> str:
    """Return what stands in the file, in few words."""
    if value is None:
        return "nothing"
    if isinstance(value, dict | list):
        return "a mapping" if isinstance(value, dict) else "a list"
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."
