"""29 CFR 1926.97 tables E-1, E-2, E-4 and E-5 (rubber gloves), text of 79 FR 20693, 11 April 2014.

DC use voltages: ASTM D120 / IEC 60903, as reprinted by two glove makers.
"""

from __future__ import annotations

import pytest

from packcheck.physics.classes import GLOVE_CLASSES, GLOVE_TEST_MONTHS, STORED_GLOVE_MONTHS, GloveClass, glove_class

TABLE = [
    ("00", 500, 2500, 10000, 750),
    ("0", 1000, 5000, 20000, 1500),
    ("1", 7500, 10000, 40000, 11250),
    ("2", 17000, 20000, 50000, 25500),
    ("3", 26500, 30000, 60000, 39750),
    ("4", 36000, 40000, 70000, 54000),
]


@pytest.mark.parametrize(("place", "row"), list(enumerate(TABLE)), ids=[f"class {row[0]}" for row in TABLE])
def test_glove_table_row(place: int, row: tuple[str, int, int, int, int]) -> None:
    name, use_ac, proof_ac, proof_dc, use_dc = row
    assert GLOVE_CLASSES[place] == GloveClass(name, use_ac, use_dc, proof_ac, proof_dc)
    assert use_dc == 1.5 * use_ac
    assert glove_class(use_dc) == GLOVE_CLASSES[place]
    assert glove_class(-use_dc - 0.1) == (GLOVE_CLASSES[place + 1] if place < 5 else None)


def test_table_e5_intervals() -> None:
    assert (GLOVE_TEST_MONTHS, STORED_GLOVE_MONTHS) == (6, 12)
