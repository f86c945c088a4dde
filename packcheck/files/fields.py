"""Reading typed values out of a document, collecting every problem with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterable, Sequence
from fractions import Fraction
from itertools import islice
from typing import Any, NamedTuple, cast

from packcheck.files.document import Document
from packcheck.files.names import RangeProblem, expand_names, is_range
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.files.quantities import Bounds, Dimension, QuantityProblem, format_quantity, parse_bounds, parse_quantity
from packcheck.files.quantities.bands import Band, band_of, impossible, likely_slip, narrowed
from packcheck.files.suggestions import advice_for

Path = tuple[str | int, ...]


MOST_SUGGESTED = 100
"""How many problems of one file are searched for the name that was meant."""
MOST_PROBLEMS = 1000
"""How many problems of one file are listed."""


class Stated(NamedTuple):
    """A quantity that a layout states: where, in the program's unit, and the band it usually lies in.

    ``expected`` says what else in the layout makes it, where something does.
    """

    name: str
    origin: Origin
    value: float
    band: Band
    dimension: Dimension
    expected: str = ""


class Fields:
    """A document and the problems found in it so far."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []
        self._stated: dict[Path, Stated] = {}
        self._unread: set[str] = set()

    @property
    def stated(self) -> tuple[Stated, ...]:
        """Return the quantities stated so far, each place of the document once, however often it was read."""
        return tuple(self._stated.values())

    def wrong(
        self, path: Sequence[str | int], *, found: str, needed: str, why: str = "", do: str = "", key: bool = False
    ) -> None:
        """Note one problem at a place of the document; beyond a thousand nobody reads on, and neither does this."""
        self.problems.append(self.document.problem(path, found=found, needed=needed, why=why, do=do, key=key))
        if len(self.problems) >= MOST_PROBLEMS:
            found = f"at least {MOST_PROBLEMS} mistakes; the others are not listed"
            many = Problem(Origin(self.document.file), found, "a file without mistakes", "", "correct these first")
            raise InputProblems([*self.problems, many])

    def raise_problems(self) -> None:
        """Raise all problems noted so far, if any."""
        if self.problems:
            raise InputProblems(self.problems)

    def quantity(self, path: Path, value: object, dimension: Dimension, kind: str = "") -> float | None:
        """Return a quantity in the dimension's unit, or None (and a problem) when it is none."""
        exact = self.exact(path, value, dimension, kind)
        return None if exact is None else float(exact)

    def positive(self, path: Path, value: object, dimension: Dimension, kind: str = "") -> float | None:
        """Return a quantity above zero in the dimension's unit, or None (and a problem); ``kind``: of what it is."""
        number = self.quantity(path, value, dimension, kind)
        if number is not None and number <= 0:
            self.wrong(path, found=str(value), needed=f"{dimension.words} above zero", do="correct it")
            return None
        return number

    def exact(self, path: Path, value: object, dimension: Dimension, kind: str = "") -> Fraction | None:
        """Return a quantity exactly, in the dimension's unit."""
        if value is None:
            return None
        try:
            number = parse_quantity(value, dimension)
        except QuantityProblem as problem:
            self.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return None
        return number if self._possible(path, value, dimension, number, kind=kind) else None

    def _possible(
        self, path: Path, value: object, dimension: Dimension, *numbers: Fraction | None, kind: str = ""
    ) -> bool:
        """Note a number that nothing of its kind has; keep others as stated.  Zero and less are refused elsewhere."""
        words = [step for step in path if isinstance(step, str)]
        band = band_of(kind, words[-1]) or band_of(words[0], words[-1])
        known = [number for number in numbers if number is not None and number > 0]
        if band is None or not known:
            return True
        name = " ".join([*words[1:-1], words[-1]]) if len(words) > 2 else " ".join(words)
        worst = max(known, key=lambda number: max(float(number) / band.usual_most, band.usual_least / float(number)))
        if not impossible(worst, band):
            self._stated[path] = Stated(name, self.document.mark(path), float(worst), band, dimension)
            return True
        ends = [format_quantity(end, dimension.unit) for end in (band.least, band.most)]
        slip = likely_slip(float(worst), band, dimension)
        self.wrong(
            path,
            found=f"{value}, which no {words[-1]} of {_one_of(words[0])} is",
            needed=f"{dimension.words} from {ends[0]} to {ends[1]}",
            do=f"write {slip}; else read it again" if slip else "read it again, with its unit",
        )
        return False

    def narrow(self, path: Path, credible_most: float) -> None:
        """Lower what is credible of a quantity stated before, where more is known of its kind."""
        if stated := self._stated.get(path):
            self._stated[path] = stated._replace(band=narrowed(stated.band, credible_most))

    def expect(self, path: Path, least: float, most: float, expected: str) -> None:
        """Take for usual of a quantity stated before what something else in the document makes it."""
        if stated := self._stated.get(path):
            band = stated.band._replace(usual_least=least, usual_most=most)
            self._stated[path] = stated._replace(band=band, expected=expected)

    def bounds(self, path: Path, value: object, dimension: Dimension) -> Bounds:
        """Return a band in the dimension's unit, none of it below zero; empty (and a problem) when it is none."""
        if value is None:
            return Bounds(None, None, None)
        try:
            bounds = parse_bounds(value, dimension)
        except QuantityProblem as problem:
            self.wrong(path, found=problem.found, needed=problem.needed, do=problem.do)
            return Bounds(None, None, None)
        if any(end is not None and end < 0 for end in (bounds.low, bounds.high, bounds.aim)):
            self.wrong(path, found=str(value), needed=f"{dimension.words}, nowhere below zero", do="correct it")
            return Bounds(None, None, None)
        possible = self._possible(path, value, dimension, bounds.low, bounds.high, bounds.aim)
        return bounds if possible else Bounds(None, None, None)

    def names(self, path: Path, value: object, key: bool = False) -> list[str]:
        """Return the names that a word, a range, or a list of words and ranges stands for."""
        words: Sequence[Any] = value if isinstance(value, list) else [value]
        names: list[str] = []
        for word in words:
            try:
                names.extend(expand_names(str(word)))
            except RangeProblem as problem:
                do = "write the first and the last name, as in P01..P24"
                self.wrong(path, found=f"the range '{word}'", needed=str(problem), do=do, key=key)
        return names

    def leave_unread(self, word: str) -> None:
        """Note a name or range that cannot be read; names that begin like it are no mistake of their own then."""
        self._unread.add(re.split(r"\d|\.", word.strip(), maxsplit=1)[0] if is_range(word) else word)

    def is_unread(self, name: str) -> bool:
        """Return whether a name may be one of those that could not be read."""
        return any(name.startswith(beginning) for beginning in self._unread)

    def unknown(
        self, path: Path, name: str, known: Iterable[str], what: str, *, key: bool = False, why: str = ""
    ) -> None:
        """Note that a name is not one of those known, unless it may be one that could not be read."""
        if self.is_unread(name):
            return
        many = len(self.problems) >= MOST_SUGGESTED
        choices = list(islice(known, 7) if many else known)
        some = ", ".join(choices[:6]) + (" ..." if len(choices) > 6 else "")
        do = (
            advice_for(name, choices)
            if not many
            else f"known: {some}"
            if choices
            else "there is none yet: add it first"
        )
        self.wrong(path, found=f"'{name}' is not {what}", needed=f"the name of {what}", why=why, do=do, key=key)

    def no_word(self, path: Path, word: str, words: Sequence[str], what: str) -> None:
        """Note that a word is none of the few that may stand there."""
        near = nearest_name(word, words)
        do = f"did you mean '{near}'?" if near else "write one of these"
        self.wrong(path, found=f"'{word}', which is no {what}", needed=f"one of: {', '.join(words)}", do=do)

    def all_known(
        self,
        path: Path,
        names: Sequence[str],
        known: Container[str],
        what: str,
        *,
        key: bool = False,
        why: str = "",
        choices: Callable[[], Iterable[str]] | None = None,
    ) -> list[str]:
        """Return the names that are known; note the others, all of one range together."""
        strange = [name for name in names if name not in known and not self.is_unread(name)]
        listed = choices or (lambda: cast("Iterable[str]", known))
        if len(strange) == 1:
            self.unknown(path, strange[0], listed(), what, key=key, why=why)
        elif strange:
            some = ", ".join(f"'{name}'" for name in strange[:4])
            some += f" and {len(strange) - 4} more" if len(strange) > 4 else ""
            near = nearest_name(strange[0], listed())
            if near and "." in near and near.rpartition(".")[2] != strange[0].rpartition(".")[2]:
                near = None  # a near name never guesses a pole
            do = f"did you mean '{near}' for the first?" if near else "correct the range or the list"
            found, needed = f"{some}: none of them is {what}", f"each of them the name of {what}"
            self.wrong(path, found=found, needed=needed, why=why, do=do, key=key)
        return [name for name in names if name in known]


def counted(number: int, what: str) -> str:
    """Return ``1 name``, ``2 names``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _one_of(word: str) -> str:
    """Return the word of one where a section is named after many: ``bar`` of ``bars``, but ``harness``."""
    return word if word.endswith("ss") else word.removesuffix("s")


def written(value: object) -> str:
    """Return what stands in the file as a person would name it."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a mapping"
    return "nothing" if value is None else f"'{value}'"


def as_float(value: Fraction | None) -> float | None:
    """Return the nearest float, or None for None."""
    return None if value is None else float(value)
