"""Creepage distances and clearances of IEC 60664-1."""

from __future__ import annotations

from collections.abc import Sequence

CREEPAGE_MM = (
    (50, 0.18, 0.60, 0.85, 1.20, 1.50, 1.70, 1.90),
    (63, 0.20, 0.63, 0.90, 1.25, 1.60, 1.80, 2.00),
    (80, 0.22, 0.67, 0.95, 1.30, 1.70, 1.90, 2.10),
    (100, 0.25, 0.71, 1.00, 1.40, 1.80, 2.00, 2.20),
    (125, 0.28, 0.75, 1.05, 1.50, 1.90, 2.10, 2.40),
    (160, 0.32, 0.80, 1.10, 1.60, 2.00, 2.20, 2.50),
    (200, 0.42, 1.00, 1.40, 2.00, 2.50, 2.80, 3.20),
    (250, 0.56, 1.25, 1.80, 2.50, 3.20, 3.60, 4.00),
    (320, 0.75, 1.60, 2.20, 3.20, 4.00, 4.50, 5.00),
    (400, 1.0, 2.0, 2.8, 4.0, 5.0, 5.6, 6.3),
    (500, 1.3, 2.5, 3.6, 5.0, 6.3, 7.1, 8.0),
    (630, 1.8, 3.2, 4.5, 6.3, 8.0, 9.0, 10.0),
    (800, 2.4, 4.0, 5.6, 8.0, 10.0, 11.0, 12.5),
    (1000, 3.2, 5.0, 7.1, 10.0, 12.5, 14.0, 16.0),
    (1250, 4.2, 6.3, 9.0, 12.5, 16.0, 18.0, 20.0),
)
"""Rows of voltage [V rms or DC] and creepage [mm], columns as in ``COLUMNS``.

IEC 60664-1 table F.4, equipment (not printed wiring), as reprinted in a terminal-block maker's catalogue.
"""

COLUMNS = ((1, ""), (2, "I"), (2, "II"), (2, "III"), (3, "I"), (3, "II"), (3, "III"))
"""Pollution degree and material group of each column; in degree 1 the material does not matter."""

CLEARANCE_MM = (
    (1.0, 0.2),
    (1.2, 0.25),
    (1.5, 0.5),
    (2.0, 1.0),
    (2.5, 1.5),
    (3.0, 2.0),
    (4.0, 3.0),
    (5.0, 4.0),
    (6.0, 5.5),
    (8.0, 8.0),
    (10.0, 11.0),
    (12.0, 14.0),
)
"""Impulse voltage [kV] and clearance [mm]: IEC 60664-1 table F.2, case A, pollution degree 2, from memory."""

LEAST_CLEARANCE_MM = {1: 0.2, 2: 0.2, 3: 0.8}
"""Least clearance [mm] for a pollution degree, whatever the impulse: IEC 60664-1 table F.2, case A, from memory.

For degree 1 the table allows less below 1.5 kV; the value of degree 2 is kept there, which asks for more.
"""

ALTITUDE_FACTOR = ((2000, 1.00), (3000, 1.14), (4000, 1.29), (5000, 1.48))
"""Altitude [m] and factor on clearances: IEC 60664-1 table A.2, from memory."""


def creepage_mm(voltage_v: float, pollution_degree: int, material_group: str) -> float | None:
    """Return the least creepage distance [mm] for a working voltage; None outside the table.

    Parameters
    ----------
    voltage_v : working voltage [V], rms or DC, any sign.
    pollution_degree : 1, 2 or 3.
    material_group : ``I``, ``II``, ``III``, ``IIIa`` or ``IIIb`` (the last two share one column).

    Notes
    -----
    IEC 60664-1 table F.4, basic insulation, up to 1250 V; the next higher row, where the table permits a straight line
    between the rows.  Below 50 V the 50 V row is used, which asks for more than
    the standard's own lower rows.  Reinforced insulation takes twice the distance.  The standard advises against group
    IIIb in pollution degree 3 above 630 V (from memory).
    """
    group = "" if pollution_degree == 1 else material_group.rstrip("ab")
    if (pollution_degree, group) not in COLUMNS or material_group not in ("I", "II", "III", "IIIa", "IIIb"):
        return None
    column = 1 + COLUMNS.index((pollution_degree, group))
    rows = [(float(row[0]), row[column]) for row in CREEPAGE_MM]
    return _next_higher_row(rows, abs(voltage_v))


def clearance_mm(impulse_kv: float, pollution_degree: int, altitude_m: float = 2000.0) -> float | None:
    """Return the least clearance [mm] for an impulse voltage [kV] at an altitude [m]; None outside the tables.

    Parameters
    ----------
    impulse_kv : rated impulse voltage [kV], up to 12.
    pollution_degree : 1, 2 or 3.
    altitude_m : height above the sea [m], up to 5000.

    Notes
    -----
    IEC 60664-1 tables F.2 (case A, inhomogeneous field) and A.2, both from memory; next higher row in each.
    """
    distance = _next_higher_row(CLEARANCE_MM, abs(impulse_kv))
    factor, least = altitude_factor(altitude_m), LEAST_CLEARANCE_MM.get(pollution_degree)
    if distance is None or factor is None or least is None:
        return None
    return max(distance, least) * factor


def altitude_factor(altitude_m: float) -> float | None:
    """Return the factor on clearances at an altitude [m], next higher row; None above 5000 m (table A.2)."""
    return _next_higher_row(ALTITUDE_FACTOR, altitude_m)


def _next_higher_row(rows: Sequence[tuple[float, float]], wanted: float) -> float | None:
    return next((value for limit, value in rows if wanted <= limit), None)
