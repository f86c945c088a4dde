"""Questions about tests: a number with its unit, or one of the words that the test can find."""

from __future__ import annotations

from packcheck.files.quantities import FACTORS, Dimension
from packcheck.judging.asked import Ask, Asked, Asking
from packcheck.model.pack.asked_tests import SEPARATOR, AskedTest
from packcheck.model.pack.kinds_of_test import NAME

_USUAL = {Dimension.RESISTANCE: ("mΩ", "Ω", "µΩ", "kΩ", "MΩ"), Dimension.TIME: ("s", "min", "h", "ms")}
"""Units that are offered for a quantity, the one that is used most first; of others all that there are."""
MOST_UNITS = 4


def asked_test(a: Asking) -> Asked | None:
    """Ask what a test finds at one point, and its condition where it has one."""
    name, _, point = a.place.partition(SEPARATOR)
    test = a.pack.tests.get(name)
    if test is None:
        return None
    parts = tuple(part for part in (one.part for one in test.points if one.name == point) if part)
    fields = (_found(test), *((_condition(test),) if test.condition else ()))
    return Asked("tests", a.place, fields, f"{name}, {point}", parts=parts or ("",))


def _found(test: AskedTest) -> Ask:
    if test.quantity is not None:
        return Ask("value", "number", test.quantity.words, units_of(test.quantity), target=test.written)
    if test.words:
        return Ask("found", "choice", "what was found", choices=tuple((word, word) for word in test.words), shared=True)
    if test.kind.expects == NAME:
        names = dict.fromkeys(one.part for one in test.points)
        return Ask("found", "choice", "which one answered", choices=tuple((name, name) for name in names))
    return Ask("found", "text", test.kind.name)


def _condition(test: AskedTest) -> Ask:
    assert test.condition is not None
    return Ask("under", "number", f"under which condition: {test.condition.words}", units_of(test.condition),
               target=test.under_written)  # fmt: skip


def units_of(quantity: Dimension) -> tuple[str, ...]:
    """Return the units that are offered for a quantity."""
    return _USUAL.get(quantity, tuple(FACTORS[quantity])[:MOST_UNITS])
