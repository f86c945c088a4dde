"""ISO 6469-3 table 1 (voltage classes), from memory; 60 V DC also in 49 CFR 571.305 S4."""

from __future__ import annotations

import pytest

from packcheck.physics.classes import voltage_class


@pytest.mark.parametrize(
    ("voltage_v", "expected"),
    [(0, "A"), (60, "A"), (-60, "A"), (60.01, "B"), (-60.01, "B"), (1500, "B"), (1500.1, None)],
)
def test_table_1(voltage_v: float, expected: str | None) -> None:
    assert voltage_class(voltage_v) == expected
