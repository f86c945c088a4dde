"""Reading typed values out of a document, collecting every problem with its place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from packcheck.document import Document
from packcheck.errors import InputProblems, Problem, nearest_name
from packcheck.names import RangeProblem, expand_names
from packcheck.quantities import Bounds, Dimension, QuantityProblem, parse_bounds, parse_quantity

Path = tuple[str | int, ...]


class Fields:
    """A document and the problems found in it so far."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def wrong(
        self, path: Sequence[str | int], *, found: str, needed: str, why: str = "", do: str = "", key: bool = False
    ) -> None:
        """Note one problem at a place of the document."""
        self.problems.append(self.document.problem(path, found=found, needed=needed, why=why, do=do, key=key))

    def raise_problems(self) -> None:
        """Raise all problems noted so far, if any."""
        if self.problems:
            raise InputProblems(self.problems)

    def quantity(self, path: Path, value: object, dimension: Dimension) -> float | None:
        """Return a quantity in the dimension's unit, or None (and a problem) when it is none."""
        exact = self.exact(path, value, dimension)
        return None if exact is None else float(exact)

    def exact(self, path: Path, value: object, dimension: Dimension) -> Fraction | None:
        """Return a quantity exactly, in the dimension's unit."""
        if value is None:
            return None
        try:
            return parse_quantity(value, dimension)
        except QuantityProblem as problem:
            self.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return None

    def bounds(self, path: Path, value: object, dimension: Dimension) -> Bounds:
        """Return a band in the dimension's unit; empty (and a problem) when it is none."""
        if value is None:
            return Bounds(None, None, None)
        try:
            return parse_bounds(value, dimension)
        except QuantityProblem as problem:
            self.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return Bounds(None, None, None)

    def names(self, path: Path, value: object, key: bool = False) -> list[str]:
        """Return the names that a word, a range, or a list of words and ranges stands for."""
        words: Iterable[Any] = value if isinstance(value, list) else [value]
        names: list[str] = []
        for word in words:
            try:
                names.extend(expand_names(str(word)))
            except RangeProblem as problem:
                self.wrong(path, found=f"the range '{word}'", needed=str(problem), key=key)
        return names

    def unknown(
        self, path: Path, name: str, known: Iterable[str], what: str, *, key: bool = False, why: str = ""
    ) -> None:
        """Note that a name is not one of those known."""
        choices = list(known)
        near = nearest_name(name, choices)
        some = ", ".join(choices[:6]) + (" ..." if len(choices) > 6 else "")
        do = f"did you mean '{near}'?" if near else (f"known: {some}" if choices else f"there is no {what} to name")
        self.wrong(path, found=f"'{name}' is not {what}", needed=f"the name of {what}", why=why, do=do, key=key)


def as_float(value: Fraction | None) -> float | None:
    """Return the nearest float, or None for None."""
    return None if value is None else float(value)
