"""IEC 60664-1 table F.4 (creepage, equipment), as reprinted by a terminal-block maker; F.2 and A.2 from memory.

Columns: voltage; pollution degree 1; degree 2 with material group I, II, III; degree 3 with I, II, III.
"""

from __future__ import annotations

import itertools

import pytest

from packcheck.physics.creepage import altitude_factor, clearance_mm, creepage_mm

TABLE_F4 = """
50 0.18 0.60 0.85 1.20 1.50 1.70 1.90
63 0.20 0.63 0.90 1.25 1.60 1.80 2.00
80 0.22 0.67 0.95 1.30 1.70 1.90 2.10
100 0.25 0.71 1.00 1.40 1.80 2.00 2.20
125 0.28 0.75 1.05 1.50 1.90 2.10 2.40
160 0.32 0.80 1.10 1.60 2.00 2.20 2.50
200 0.42 1.00 1.40 2.00 2.50 2.80 3.20
250 0.56 1.25 1.80 2.50 3.20 3.60 4.00
320 0.75 1.60 2.20 3.20 4.00 4.50 5.00
400 1.0 2.0 2.8 4.0 5.0 5.6 6.3
500 1.3 2.5 3.6 5.0 6.3 7.1 8.0
630 1.8 3.2 4.5 6.3 8.0 9.0 10.0
800 2.4 4.0 5.6 8.0 10.0 11.0 12.5
1000 3.2 5.0 7.1 10.0 12.5 14.0 16.0
1250 4.2 6.3 9.0 12.5 16.0 18.0 20.0
"""
ROWS = [tuple(map(float, line.split())) for line in TABLE_F4.strip().splitlines()]
PLACES = [(1, "I"), (2, "I"), (2, "II"), (2, "III"), (3, "I"), (3, "II"), (3, "III")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:g} V")
def test_table_f4_row(row: tuple[float, ...]) -> None:
    for (degree, group), printed in zip(PLACES, row[1:], strict=True):
        assert creepage_mm(row[0], degree, group) == printed
        assert creepage_mm(-row[0], degree, group) == printed


@pytest.mark.parametrize(("below", "above"), list(itertools.pairwise(ROWS)), ids=lambda row: f"{row[0]:g} V")
def test_between_rows_the_higher_row_counts(below: tuple[float, ...], above: tuple[float, ...]) -> None:
    between = (below[0] + above[0]) / 2
    for column, (degree, group) in enumerate(PLACES, start=1):
        assert creepage_mm(between, degree, group) == above[column]


def test_pattern_of_degree_2() -> None:
    """From 200 V up, group III needs V/100 mm and group I V/200 mm (630 V rounded to 3.2 mm)."""
    for voltage in (200, 250, 320, 400, 500, 630, 800, 1000, 1250):
        assert creepage_mm(voltage, 2, "III") == voltage / 100
        assert creepage_mm(voltage, 2, "I") == pytest.approx(voltage / 200, abs=0.051)


@pytest.mark.parametrize("degree", [1, 2, 3])
def test_groups_iiia_and_iiib_share_the_column_of_iii(degree: int) -> None:
    for row in ROWS:
        assert (
            creepage_mm(row[0], degree, "IIIa")
            == creepage_mm(row[0], degree, "IIIb")
            == creepage_mm(row[0], degree, "III")
        )


def test_outside_the_table_nothing_is_claimed() -> None:
    assert creepage_mm(1250.1, 2, "I") is None
    assert creepage_mm(100, 4, "I") is None
    assert creepage_mm(100, 2, "IV") is None
    assert creepage_mm(12, 2, "I") == 0.60
    assert clearance_mm(12.1, 2) is None
    assert clearance_mm(1.0, 2, 5001) is None
    assert clearance_mm(1.0, 4) is None


@pytest.mark.parametrize(
    ("impulse_kv", "distance_mm"),
    [(0.33, 0.2), (1.0, 0.2), (1.2, 0.25), (1.5, 0.5), (2.0, 1.0), (2.5, 1.5), (3.0, 2.0), (4.0, 3.0), (5.0, 4.0),
     (6.0, 5.5), (8.0, 8.0), (10, 11), (12, 14), (3.1, 3.0)],
)  # fmt: skip
def test_table_f2_row(impulse_kv: float, distance_mm: float) -> None:
    assert clearance_mm(impulse_kv, 2) == distance_mm


@pytest.mark.parametrize(
    ("altitude_m", "factor"), [(0, 1.0), (2000, 1.0), (2001, 1.14), (3000, 1.14), (4000, 1.29), (5000, 1.48)]
)
def test_table_a2_row(altitude_m: float, factor: float) -> None:
    assert altitude_factor(altitude_m) == factor
    assert clearance_mm(4.0, 2, altitude_m) == pytest.approx(3.0 * factor)


@pytest.mark.parametrize(
    ("impulse_kv", "degree", "distance_mm"), [(0.8, 2, 0.2), (0.8, 3, 0.8), (1.5, 3, 0.8), (2.0, 3, 1.0), (4.0, 3, 3.0)]
)
def test_table_f2_least_clearance_of_a_pollution_degree(impulse_kv: float, degree: int, distance_mm: float) -> None:
    assert clearance_mm(impulse_kv, degree) == distance_mm
