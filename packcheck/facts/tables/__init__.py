"""The catalogue: every fact table that rules, ``packcheck facts`` and the documentation share.

One line per column: name, kind, meaning, where it comes from, unit, and the recorded datum at its root.
"""

from __future__ import annotations

from functools import cache

from packcheck.facts.tables.conductors import CONDUCTOR, DEVICE, DRAWN_LOOP, LOOP, OUTLET
from packcheck.facts.tables.joints import ALIKE, JOINT, JOINT_TYPE, PART, STACK, TOOL
from packcheck.facts.tables.modules import MODULE, MODULE_TYPE, QUANTITY
from packcheck.facts.tables.pack import GROUP, PACK, SECTION, STATE, STRING
from packcheck.facts.tables.places import CAP, COVER, DRAWN_COVER, GAP, PLACED, PROBE, SPAN, VENT
from packcheck.facts.tables.readings import (
    AGAIN,
    CONNECTOR,
    DRAWN_TAP,
    INSTRUMENT,
    LOADED,
    PREDICTED,
    READING,
    REPEAT,
    SEQUENCE,
    SUM,
    TAP,
    TOTAL,
)
from packcheck.facts.tables.since import SINCE
from packcheck.facts.tables.tests import ISOLATION, RECORDED, TEST, TEST_POINT
from packcheck.facts.tables.work import ORDER, STEP, TOLD, WORKED
from packcheck.rules.catalogue import Table

TABLES: tuple[Table, ...] = (
    PACK, MODULE, CONDUCTOR, DEVICE, OUTLET, SECTION, GROUP, STRING, DRAWN_LOOP, LOOP, JOINT, JOINT_TYPE,
    MODULE_TYPE, QUANTITY, PART, TOOL, INSTRUMENT, COVER, CAP, VENT, GAP, STACK, PLACED, SPAN, DRAWN_COVER,
    DRAWN_TAP, CONNECTOR, ORDER, STEP, WORKED, TOLD, READING, LOADED, PREDICTED, SUM, TOTAL, STATE, TAP, PROBE,
    SEQUENCE, AGAIN, REPEAT, ALIKE, ISOLATION, RECORDED, TEST_POINT, TEST, SINCE,
)  # fmt: skip


FOR_PEOPLE = frozenset({"predicted"})
"""Tables that no rule reads and that a check therefore does not fill."""


@cache
def table_by_name() -> dict[str, Table]:
    """Return every fact table by its name."""
    return {table.name: table for table in TABLES}
