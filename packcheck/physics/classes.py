"""Voltage classes of electric road vehicles and classes of rubber insulating gloves."""

from __future__ import annotations

from dataclasses import dataclass

CLASS_A_LIMIT_V = 60.0
CLASS_B_LIMIT_V = 1500.0
"""Upper DC limits [V] of voltage classes A and B (ISO 6469-3 table 1, from memory; 60 V also in 49 CFR 571.305).

Rules about the work have 60 V as a limit of their own, which a shop may lower.  Where sections are counted and orders
of work proposed it is this constant: both ask for as few joins above it as there can be, and a count has no margin.
"""

GLOVE_TEST_MONTHS = 6
"""Gloves are tested before first issue and every 6 months after (29 CFR 1926.97 table E-5).

What a plan asks for; the rule about gloves worn has it as a limit, which a shop may lower.
"""

STORED_GLOVE_MONTHS = 12
"""Stored gloves must have been tested within 12 months before issue (29 CFR 1926.97 table E-5 note 1)."""


@dataclass(frozen=True)
class GloveClass:
    """A class of rubber gloves: greatest voltage of use, AC rms and DC, and proof-test voltages, AC rms and DC [V]."""

    name: str
    use_ac_v: float
    use_dc_v: float
    proof_ac_v: float
    proof_dc_v: float


GLOVE_CLASSES = (
    GloveClass("00", 500, 750, 2500, 10000),
    GloveClass("0", 1000, 1500, 5000, 20000),
    GloveClass("1", 7500, 11250, 10000, 40000),
    GloveClass("2", 17000, 25500, 20000, 50000),
    GloveClass("3", 26500, 39750, 30000, 60000),
    GloveClass("4", 36000, 54000, 40000, 70000),
)
"""From the weakest up: AC use and proof voltages 29 CFR 1926.97 tables E-1, E-2 and E-4 (1910.137 is consistent);
DC use ASTM D120 / IEC 60903, as reprinted by glove makers (1.5 times the AC value; OSHA gives no DC limit)."""


def voltage_class(voltage_v: float) -> str | None:
    """Return ``A`` up to 60 V DC, ``B`` above and up to 1500 V DC, None beyond, for a voltage [V] of either sign.

    ISO 6469-3 table 1 (from memory).  A class of electric shock only: below 60 V burns and arcs remain.
    """
    if abs(voltage_v) <= CLASS_A_LIMIT_V:
        return "A"
    return "B" if abs(voltage_v) <= CLASS_B_LIMIT_V else None


def glove_class(voltage_v: float) -> GloveClass | None:
    """Return the weakest glove class whose DC use voltage covers a voltage [V] of either sign; None beyond class 4."""
    return next((row for row in GLOVE_CLASSES if abs(voltage_v) <= row.use_dc_v), None)
