"""The question about isolation: what is read from pole to pole and from each pole to the chassis."""

from __future__ import annotations

from packcheck.judging.asked import UNITS, Ask, Asked, Asking
from packcheck.judging.asked_readings import asked_isolation

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
