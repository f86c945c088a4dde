"""Isolation as it was read: pole to pole, each pole to the chassis, and the higher of these with a resistor put in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from packcheck.files.fields import Fields
from packcheck.model.record.model import IsolationTest
from packcheck.model.record.sheets import RowRead


def read_isolation(fields: Fields, rows: Iterable[RowRead]) -> Mapping[str, IsolationTest]:
    """Return the tests by name; one without both of its poles is a mistake."""
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
        found[name] = IsolationTest(name, minus[0], plus[0], poles, one, other, resistor, after, tester,
                                    row.taken.state, row.origin)  # fmt: skip
    return found


COLUMNS = ("poles", "minus to chassis", "plus to chassis", "resistor", "resistor in", "tester")
"""The columns of the table that hold what was read, in the order of the fields above."""
