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


@dataclass(frozen=True)
class GloveClass:
    """A class of rubber gloves and its greatest DC voltage of use [V]."""

    name: str
    use_dc_v: float


GLOVE_CLASSES = (
    GloveClass("00", 750),
    GloveClass("0", 1500),
    GloveClass("1", 11250),
    GloveClass("2", 25500),
    GloveClass("3", 39750),
    GloveClass("4", 54000),
)
"""From the weakest up: ASTM D120 / IEC 60903, as reprinted by glove makers: 1.5 times the AC voltage of use of 29 CFR
1926.97 table E-4, which gives no DC limit."""


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
