"""Questions about tests: those that a layout asks for, isolation of the whole pack, air blown into vent lines."""

from __future__ import annotations

from packcheck.facts.tables.places import FELT
from packcheck.files.quantities import FACTORS, Dimension
from packcheck.judging.asked import UNITS, Ask, Asked, Asking
from packcheck.judging.readings_to_take import asked_isolation
from packcheck.model.pack.asked_tests import SEPARATOR, AskedTest
from packcheck.model.pack.kinds_of_test import NAME
from packcheck.model.record.sheets import AS_DRAWN, IS, NOT_FITTED
from packcheck.model.record.vents import INSIDE, NOWHERE, drawn_words, outlets_of

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


ISOLATION_TEST = "isolation test of the whole pack"
WHOLE = "whole pack"
"""The name under which a record has that test, where nobody has given it another one."""
_FIELDS = (
    ("poles", "from pole to pole"), ("minus to chassis", "from the negative pole to the chassis"),
    ("plus to chassis", "from the positive pole to the chassis"), ("resistor", "the known resistor"),
    ("resistor in", "the higher of the two once more, the resistor from that pole to the chassis"),
)  # fmt: skip


def asked_isolation_test(a: Asking) -> Asked | None:
    """Ask all readings of an isolation test of the whole pack at one go."""
    poles = asked_isolation(a.pack)
    if poles is None:
        return None
    fields = tuple(
        Ask(column, "number", label, ("kΩ", "MΩ", "Ω") if column == "resistor" else UNITS["value"])
        for column, label in _FIELDS
    )  # fmt: skip
    fixed = (("minus at", poles.minus), ("plus at", poles.plus))
    parts = tuple(a.pack.node_of(node) or node for node in (poles.minus, poles.plus))
    return Asked("isolation", WHOLE, fields, "isolation of the whole pack", poles.state, fixed, parts)


def asked_vent(a: Asking) -> Asked | None:
    """Ask where a vent line runs, or where the air was felt."""
    if a.place not in a.pack.vents:
        return None
    outlets = outlets_of(a.pack)
    if a.words[0] == FELT:
        felt = tuple((word, word) for word in (*outlets, INSIDE, NOWHERE))
        return Asked("vents", a.place, (Ask("felt at", "choice", "where the air comes out", choices=felt),))
    words = ((AS_DRAWN, f"as drawn: {drawn_words(a.pack, a.place)}"), (NOT_FITTED, "not fitted"))
    ends = tuple((word, word) for word in (*outlets, *(name for name in a.pack.vents if name != a.place), INSIDE))
    runs = Ask(IS, "choice", "where it runs", choices=words)
    return Asked("vents", a.place, (runs, Ask("to", "choice", "it ends elsewhere", choices=ends, optional=True)))
