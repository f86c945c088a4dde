"""A first layout from a few answers: whole, so that it can be read and checked, with a TODO on every assumed number.

Voltages by chemistry, torques by thread, sizes and resistances are common practice, no source: they stand there to be
replaced by those of the data sheets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from packcheck.files.problems import WrongUsage
from packcheck.physics.cells import CHEMISTRIES, chemistry_named

MOST = {"modules": 400, "parallel": 20, "strings": 9, "cells": 48}
"""The most of each that a first layout is written for."""
LEAST = {"modules": 2, "parallel": 1, "strings": 1, "cells": 1}
FACES = ("one face", "two faces")
JOINTS = ("stud", "screw")
PLACES = ("middle", "end")

_VOLTS = {
    "NiMH": (1.2, 1.25, 1.4, 1.45), "NiCd": (1.2, 1.25, 1.4, 1.45), "LFP": (3.2, 3.25, 3.35, 3.65),
    "LMFP": (3.8, 3.6, 4.0, 4.2), "LTO": (2.3, 2.2, 2.4, 2.8), "sodium-ion": (3.1, 2.8, 3.3, 3.95),
    "lead-acid": (2.0, 2.1, 2.18, 2.45),
}  # fmt: skip
_LITHIUM = (3.65, 3.5, 3.75, 4.2)
"""Nominal, ends of the rest window, and highest voltage of one cell [V]."""
TORQUES = {"M4": (1.8, 2.2), "M5": (4, 5), "M6": (7, 9), "M8": (11, 14), "M10": (20, 26), "M12": (35, 45)}
"""Torque band [N·m] by thread, of property class 8.8."""
FUSE_VOLTS = (32, 60, 80, 125, 150, 250, 500, 750, 1000)
BREAKS_KA = (2, 5, 10, 20, 50, 100, 200, 300)
CELL_OHM = 0.8e-3
"""Resistance of one cell [Ω] where nothing better is known."""
PITCH, BAR = 40, 16
"""From one module to the next, and width of a bar [mm]."""
MOST_V = 1000
"""The highest voltage [V] a first layout is written for."""
CLASS_A_V = 60
MOST_FUSE_A = 3000


_WORDS = {"posts": FACES, "joint": JOINTS, "thread": tuple(TORQUES), "disconnect": PLACES}
_FIELD = {"posts": "faces", "fuse": "fuse_a"}
"""What holds an answer where that is not called like its option."""


def wrong_answer(option: str, answer: str | int) -> str:
    """Return what is wrong with one answer: what was found and what is needed; "" where nothing is."""
    if option in MOST:
        least, most = LEAST[option], MOST[option]
        return "" if least <= int(answer) <= most else f"found {answer}, needed {least} to {most}"
    if option == "fuse":
        return "" if 1 <= int(answer) <= MOST_FUSE_A else f"found {answer}, needed 1 to {MOST_FUSE_A} amperes"
    if option == "chemistry":
        known: tuple[str, ...] = tuple(kind.name for kind in CHEMISTRIES)
        is_known = chemistry_named(str(answer)) is not None
    else:
        known = _WORDS[option]
        is_known = answer in known
    return "" if is_known else f"found '{answer}', needed one of: {', '.join(known)}"


@dataclass(frozen=True)
class Wanted:
    """What a layout is wanted of: ``modules`` in series in each string, ``parallel`` in each group, and so on.

    ``fuse_a`` is the rated current of the fuse of each string [A]; ``disconnect`` lies in the middle or at the end.
    ``assumed`` are those of these answers that nobody gave.
    """

    name: str
    modules: int
    chemistry: str
    cells: int = 1
    parallel: int = 1
    strings: int = 1
    faces: str = "two faces"
    joint: str = "stud"
    thread: str = "M6"
    disconnect: str = "middle"
    fuse_a: int = 80
    assumed: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        for option in (*MOST, *_WORDS, "chemistry", "fuse"):
            if wrong := wrong_answer(option, getattr(self, _FIELD.get(option, option))):
                raise WrongUsage(f"--{option}: {wrong}")
        if self.highest_v > MOST_V:
            found = f"{self.modules} modules of {self.cells} {self.chemistry}, which reach {self.highest_v:.0f} V"
            raise WrongUsage(f"found {found}; needed at most {MOST_V} V, where the creepage of a first layout is known")

    @cached_property
    def cell_v(self) -> tuple[float, float, float, float]:
        """Return nominal, rest window and highest voltage [V] of one cell."""
        kind = chemistry_named(self.chemistry)
        return _VOLTS.get(kind.name if kind else "", _LITHIUM)

    @property
    def highest_v(self) -> float:
        """Return the voltage [V] between the mains with every cell at its highest."""
        return self.modules * self.cells * self.cell_v[3]

    @property
    def short_a(self) -> float:
        """Return about the current [A] of a short at the mains, from the assumed resistance of a cell."""
        return self.parallel * self.strings * self.cell_v[3] / CELL_OHM

    @property
    def posts(self) -> tuple[str, str]:
        """Return the names of a module's two posts: those of their faces, or front and rear on top."""
        return ("A", "B") if self.faces == "two faces" else ("F", "R")

    @property
    def members(self) -> tuple[str, ...]:
        """Return what is added to the name of a group for each of its members; nothing for a group of one."""
        return tuple("abcdefghijklmnopqrst"[: self.parallel]) if self.parallel > 1 else ()

    @property
    def has_contactors(self) -> bool:
        """Return whether the mains are switched: where the pack passes 60 V."""
        return self.highest_v > CLASS_A_V


class Names:
    """The names of one string's parts: its groups, their + and − posts, its bars."""

    def __init__(self, wanted: Wanted, string: int) -> None:
        self.wanted = wanted
        self.prefix = f"U{string}-" if wanted.strings > 1 else ""
        self.number = string
        self._width = max(2, len(str(wanted.modules)))
        self._letter = "G" if wanted.parallel > 1 else "P"

    def group(self, index: int) -> str:
        """Return the name of a group, the first being 1."""
        return f"{self.prefix}{self._letter}{index:0{self._width}d}"

    def bar(self, index: int) -> str:
        """Return the name of the bar after a group."""
        return f"{self.prefix}B{index:0{self._width}d}"

    def plus(self, index: int) -> list[str]:
        """Return the places of a group where + is planned."""
        return [f"{name}.{self.wanted.posts[(index + 1) % 2]}" for name in self._members(index)]

    def minus(self, index: int) -> list[str]:
        """Return the places of a group where − is planned."""
        return [f"{name}.{self.wanted.posts[index % 2]}" for name in self._members(index)]

    def device(self, name: str) -> str:
        """Return the name of a device that each string has: with its number where there are several."""
        return f"{name}{self.number}" if self.wanted.strings > 1 else name

    def _members(self, index: int) -> list[str]:
        return [f"{self.group(index)}{letter}" for letter in self.wanted.members or ("",)]

    @property
    def all(self) -> str:
        """Return all groups as a range."""
        return f"{self.group(1)}..{self.group(self.wanted.modules)}"


def standard_above(value: float, sizes: tuple[int, ...]) -> int:
    """Return the smallest size that is at least as large, the largest where none is."""
    return next((size for size in sizes if size >= value), sizes[-1])


def names_of(wanted: Wanted) -> Iterator[Names]:
    """Yield the names of each string."""
    return (Names(wanted, number) for number in range(1, wanted.strings + 1))


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
