"""What a recorded number can be, and what it is likely to be: by kind of test, by condition, beside what is drawn.

Outside what is possible nothing of the kind exists, and the number is refused.  Outside what is likely the instrument,
its leads or the unit were wrong more often than the part: it is taken, and a rule says so.  Only a reading that lies
outside with the whole of its interval is: 0 Ω of a meter that reads to 20 mΩ is a bond of less than 20 mΩ, 0 Ω of one
that reads to 1 µΩ is none.  All ends are common practice, no source, and generous, but for those of nature.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from math import inf
from typing import NamedTuple

from packcheck.files.fields import Fields, Path, written
from packcheck.files.quantities import Dimension
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.record.entry import Entry
from packcheck.physics.probes import ABSOLUTE_ZERO_C

NEVER_NEGATIVE = frozenset(
    {
        Dimension.RESISTANCE,
        Dimension.CAPACITY,
        Dimension.MASS,
        Dimension.LENGTH,
        Dimension.TORQUE,
        Dimension.CURRENT,
        Dimension.DENSITY,
        Dimension.CONDUCTANCE,
        Dimension.TIME,
    }
)
"""Dimensions of which nothing can have less than zero."""
ZERO_MAY_BE_READ = frozenset({"readings", "taps", "tests", "again"})
"""Sections in which a coarse meter may show 0 Ω; a four-terminal reading of a joint or a module never is."""
SIGNED = (("tests", Dimension.CURRENT), ("again", Dimension.CURRENT))
"""Where a current has a sign: a sensor that is read the wrong way round shows less than zero."""


class Likely(NamedTuple):
    """The least and most that is likely, in words too, and that is possible, in the program's unit of the quantity."""

    words: str
    least: float = -inf
    most: float = inf
    possible_least: float = -inf
    possible_most: float = inf

    def has(self, entry: Entry) -> bool:
        """Return whether some of a reading's interval is likely."""
        return entry.high >= self.least and entry.low <= self.most

    def may_have(self, entry: Entry) -> bool:
        """Return whether some of a reading's interval is possible."""
        return entry.high >= self.possible_least and entry.low <= self.possible_most


_SECOND_H = 1 / 3600
OF_TESTS: Mapping[str, Likely] = {
    "sense wire": Likely("2 mΩ or more", 2e-3),
    "probe response": Likely("half a second or more", 0.5 * _SECOND_H),
    "module warmth": Likely("not colder than what is around it by 5 K, nor warmer by 100 K", -5.0, 100.0),
    "module rest time": Likely("six years at the most", most=6 * 365 * 24.0),
    "module thickness": Likely("1 mm or more", 1.0),
    "module mass": Likely("10 g or more", 10.0),
    "load step": Likely("10 µΩ or more", 1e-5),
    "clamp corners": Likely("10 mm or more", 10.0),
    "bond": Likely("5 µΩ or more", 5e-6),
    "fuse body": Likely("10 µΩ or more", 1e-5),
    "coil": Likely("0.1 Ω to 20 kΩ", 0.1, 20e3),
    "resistor": Likely("10 mΩ or more", 1e-2),
    "acid density": Likely("1 g/cm³ to 1.4 g/cm³", 1.0, 1.4, 0.8, 1.9),
    "conductance": Likely("1 S to 50 kS", 1.0, 50e3),
    "humidity": Likely("5 % to 100 %", 5.0, 100.0, 0.0, 100.0),
}
"""By kind of test, in the unit of its quantity; the densest acid there is, pure sulfuric, has 1.83 g/cm³."""
CONDITIONS: Mapping[Dimension, Likely] = {
    Dimension.TEMPERATURE: Likely("−30 °C to 70 °C", -30.0, 70.0, ABSOLUTE_ZERO_C),
    Dimension.CURRENT: Likely("1000 A at the most", most=1000.0),
    Dimension.VOLTAGE: Likely("2000 V at the most", most=2000.0),
}
"""By the quantity of a condition under which a test is taken."""
ANYTHING = Likely("anything")
OF_NATURE: Mapping[Dimension, Likely] = {
    Dimension.TEMPERATURE: Likely("above absolute zero", possible_least=ABSOLUTE_ZERO_C)
}
"""What no test of a layout's own can find either."""
JOINT = Likely("100 nΩ or more", 1e-7)
LOAD = Likely("10 mA to 10 kA", 0.01, 10e3)
RESISTOR_PUT_IN = Likely("100 Ω to 100 MΩ", 100.0, 100e6)
TESTER = Likely("10 TΩ at the most", most=10e12)
LEAST_SHARE, MOST_SHARE = 0.1, 10.0
"""How many times what is drawn a resistance, a capacity or a mass may be before a slip is likelier."""


def likely_in(test: AskedTest, *, condition: bool = False) -> Likely:
    """Return what a test, or the condition under which it is taken, is likely to read."""
    if condition:
        return CONDITIONS.get(test.condition, ANYTHING) if test.condition else ANYTHING
    nature = OF_NATURE.get(test.quantity, ANYTHING) if test.quantity else ANYTHING
    return OF_TESTS.get(test.kind.name, nature)


def refuse_impossible(fields: Fields, path: Path, band: Likely, entry: Entry | None) -> Entry | None:
    """Return a reading, or None (and a problem) where nothing of its kind can be so."""
    if entry is None or band.may_have(entry):
        return entry
    fields.wrong(path, found=f"'{entry.written}'", needed=band.words, why="nothing of its kind can be so",
                 do="read it again; write none for it until then, and put the new reading here")  # fmt: skip
    return None


def may_be(fields: Fields, path: Path, name: str, dimension: Dimension, item: object, number: Decimal) -> bool:
    """Return whether a number at or below zero may be a reading of its kind; note one where nothing reads so."""
    may_be_zero = dimension is Dimension.TORQUE or path[0] in ZERO_MAY_BE_READ
    may_be_less = dimension not in NEVER_NEGATIVE or (path[0], dimension) in SIGNED
    if may_be_less or (number == 0 and may_be_zero):
        return True
    fields.wrong(
        path,
        found=f"{written(item).strip(chr(39))} for {name}",
        needed=f"{dimension.words} {'of zero or more' if may_be_zero else 'above zero'}",
        why="nothing has less than none of it: the leads, the zero of the instrument or the sign were wrong",
        do="read it again; write none for it until then, and put the new reading here",
    )
    return False
