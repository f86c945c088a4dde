"""29 CFR 1926.97 tables E-4 and E-5 (rubber gloves), text of 79 FR 20693, 11 April 2014.

DC use voltages, 1.5 times the AC ones of table E-4: ASTM D120 / IEC 60903, as reprinted by two glove makers.
"""

from __future__ import annotations

import pytest

from packcheck.physics.classes import GLOVE_CLASSES, GLOVE_TEST_MONTHS, GloveClass, glove_class

TABLE = [
    ("00", 500, 750),
    ("0", 1000, 1500),
    ("1", 7500, 11250),
    ("2", 17000, 25500),
    ("3", 26500, 39750),
    ("4", 36000, 54000),
]


@pytest.mark.parametrize(("place", "row"), list(enumerate(TABLE)), ids=[f"class {row[0]}" for row in TABLE])
def test_glove_table_row(place: int, row: tuple[str, int, int]) -> None:
    name, use_ac, use_dc = row
    assert GLOVE_CLASSES[place] == GloveClass(name, use_dc)
    assert use_dc == 1.5 * use_ac
    assert glove_class(use_dc) == GLOVE_CLASSES[place]
    assert glove_class(-use_dc - 0.1) == (GLOVE_CLASSES[place + 1] if place < 5 else None)


def test_table_e5_interval() -> None:
    assert GLOVE_TEST_MONTHS == 6
