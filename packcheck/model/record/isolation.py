"""Isolation as it was read: pole to pole, each pole to the chassis, and the higher of these with a resistor put in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from packcheck.files.fields import Fields
from packcheck.model.pack.model import Pack
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Instrument
from packcheck.model.record.sheets import RowRead
from packcheck.model.record.taken import LOOSE
from packcheck.model.record.tested import IsolationTest


def read_isolation(
    fields: Fields, rows: Iterable[RowRead], pack: Pack, instruments: Mapping[str, Instrument]
) -> Mapping[str, IsolationTest]:
    """Return the tests by name; one without both of its poles, or over modules that nothing joins, is a mistake."""
    found = {}
    for row in rows:
        minus, plus = row.cells.get("minus at"), row.cells.get("plus at")
        if not minus or not plus:
            if not {"minus at", "plus at"} <= set(row.cells):
                fields.wrong(row.path, key=True, found="an isolation test without its two poles",
                             needed="the place of the negative pole and that of the positive",
                             do="write them under minus at and plus at")  # fmt: skip
            continue
        name = row.subjects[0]
        poles, one, other, resistor, after, tester = (row.cells.get(column) for column in COLUMNS)
        read = (poles, one, other, after, tester)
        state = row.taken.state or next((entry.state for entry in read if entry and entry.state), "")
        if state == LOOSE and pack.part_at(minus[0]) != pack.part_at(plus[0]):
            places = f"{pack.part_at(minus[0])} and {pack.part_at(plus[0])}"
            fields.wrong(row.path, key=True, found=f"an isolation test between {places} with the modules loose",
                         needed="the two posts of one module, or a state in which the modules are joined",
                         why="between two modules that nothing joins there is no voltage to test with",
                         do="write the state in which it was made, or a test for each module")  # fmt: skip
            continue
        meter = instruments.get(after.instrument) if after else None
        volts = (size(poles), size(one), size(other), resistor, size(after))
        found[name] = IsolationTest(name, minus[0], plus[0], *volts, tester, state, row.origin,
                                    meter.input_ohm if meter else None)  # fmt: skip
    return found


def size(volts: Entry | None) -> Entry | None:
    """Return a voltage without its sign [V]: the negative pole reads below the chassis, the positive above it."""
    if volts is None or volts.value >= 0:
        return volts
    return volts._replace(low=-volts.high, high=-volts.low, value=-volts.value)


COLUMNS = ("poles", "minus to chassis", "plus to chassis", "resistor", "resistor in", "tester")
"""The columns of the table that hold what was read, in the order of the fields above."""
