"""Facts about readings, the instruments that took them, and when."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, RECORD, flag, measured, number, text
from packcheck.rules.catalogue import SOLVED, Table

READING = Table(
    "reading",
    "One row per voltage reading between two nodes of the pack.",
    "reading",
    (
        text("reading", "name of the reading"),
        text("between", "where the two leads were", RECORD),
        text("state", "switching state", RECORD, "switching state of the reading", "eyes"),
        measured("value_v", "V", "the reading", "voltage", "multimeter"),
        measured(
            "expected_v",
            "V",
            "what the recorded modules and conductors give there",
            "rest voltage and facing of the modules between",
            "multimeter",
            SOLVED,
        ),
        measured(
            "difference_v", "V", "reading less expectation", "voltage, and those of the modules between", "multimeter"
        ),
        flag("circulating", "something shorted drives a current through the way between the leads", BOTH),
        number("fault_v", "V", "the least change that one module missing or turned round on the way makes"),
        number("cells", "", "cells in series between the two leads"),
        number("cell_v", "V", "rest voltage of one of these cells, middle of the window"),
        number("peers", "", "readings over as many modules of the same types, this one included", RECORD),
        number("peer_median_v", "V", "the middle one of these readings, without its sign", RECORD),
        number("peer_scatter_v", "V", "how far these readings scatter, as a standard deviation", RECORD),
        measured("unlike_v", "V", "by how much it stands off their middle", "voltage", "multimeter"),
        text("cells_missing", "what is missing against their middle, in cells, in words", RECORD),
        flag("lowest_known", "all modules on the way point one way, and the layout states their lowest voltage"),
        number("lowest_v", "V", "the lowest working voltage of the modules between the leads"),
        measured("size_v", "V", "the reading without its sign", "voltage", "multimeter"),
        flag(
            "floating",
            "the two leads were on parts that nothing joins in that state",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        number("meter_ohm", "Ω", "input resistance of the meter that read two floating places", RECORD),
        number("bridged_v", "V", "the least it shows if they are bridged, or leak more than isolation allows", SOLVED),
        text("slip", "a decimal or sign slip that would explain the reading, in words", RECORD),
        flag(
            "slipped", "the reading fits after a decimal or sign slip, and not before", RECORD, "voltage", "multimeter"
        ),
    ),
)


SUM = Table(
    "sum",
    "Readings that another reading should equal the sum of.",
    "sum",
    (
        text("sum", "the reading that spans the others", RECORD),
        text("parts", "the readings along it", RECORD),
        measured("total_v", "V", "the spanning reading", "voltage", "multimeter"),
        measured("parts_v", "V", "sum of the readings along it", "voltages along it", "multimeter"),
        measured("difference_v", "V", "spanning reading less the sum", "voltages along it", "multimeter"),
        number("cells", "", "cells in series that the spanning reading lies over"),
    ),
)


TAP = Table(
    "tap",
    "One row per sense tap.",
    "tap",
    (
        text("tap", "name of the tap"),
        text("planned_on", "where the layout has it"),
        flag("as_drawn", "it was recorded where the layout has it", BOTH, "where the tap sits", "eyes"),
        text("on", "where it was recorded", RECORD, "where the tap sits", "eyes"),
    ),
)


INSTRUMENT = Table(
    "instrument",
    "One row per instrument the record names.",
    "instrument",
    (
        text("instrument", "name of the instrument", RECORD),
        text("kind", "kind of instrument", RECORD, "kind of the instrument", "eyes"),
        flag("described", "the record describes it", RECORD),
        text("due", "date its calibration is due", RECORD, "date its calibration is due", "eyes"),
        text("last_used", "last date it was used on this pack", RECORD, "date of the readings", "clock"),
        flag(
            "in_calibration",
            "its calibration was valid on every date it was used",
            RECORD,
            "date its calibration is due, and the dates of its readings",
            "eyes",
        ),
        flag("accuracy_stated", "the record states its accuracy", RECORD),
        flag("is_torque_tool", "it applied torque", RECORD),
        number("cycles", "", "tightenings since its calibration", RECORD, "tightenings since its calibration", "count"),
    ),
)


SEQUENCE = Table(
    "sequence",
    "One row per kind and time of acts that stand before what must come first; all other acts of a kind in one row.",
    "pair",
    (
        text("pair", "what the two acts are about, and both of them with their times", RECORD),
        text("about", "what the two acts are about", RECORD),
        text("first", "the act that must come first"),
        text("first_at", "its time", RECORD),
        text("second", "the act that must come after it"),
        text("second_at", "its time", RECORD),
        number("gap_h", "h", "time from the first to the second, the most that the two entries allow", RECORD),
        text("reason", "why the one must come first"),
    ),
)
