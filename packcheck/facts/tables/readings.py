"""Facts about readings, the instruments that took them, and when."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, text
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
        flag("to_chassis", "one of the leads is at the chassis, which insulation alone parts from the pack", RECORD),
        number("bridged_v", "V", "the least it shows if they are bridged, or leak more than isolation allows", SOLVED),
        text("slip", "a decimal or sign slip that would explain the reading, in words", RECORD),
        flag(
            "slipped", "the reading fits after a decimal or sign slip, and not before", RECORD, "voltage", "multimeter"
        ),
    ),
)


LOADED = Table(
    "loaded",
    "One row per voltage reading that was taken while a load was drawn from the mains.",
    "reading",
    (
        text("reading", "name of the reading"),
        text("between", "where the two leads were", RECORD),
        text("state", "switching state", RECORD, "switching state of the reading", "eyes"),
        number("load_a", "A", "current drawn meanwhile", RECORD),
        measured("value_v", "V", "the reading", "voltage", "multimeter"),
        measured(
            "rest_v",
            "V",
            "what the recorded modules and conductors give there at rest",
            "rest voltage and facing of the modules between",
            "multimeter",
            SOLVED,
        ),
        number("rest_size_v", "V", "the same without its sign, in the middle", SOLVED),
        measured(
            "sag_v",
            "V",
            "by how much it read less than at rest",
            "voltage, and those of the modules between",
            "multimeter",
            SOLVED,
        ),
        number("stated_v", "V", "by how much the stated resistances let it sag", SOLVED),
        number("cells", "", "cells in series between the two leads"),
        number(
            "peers",
            "",
            "readings under the same load over as many modules of the same types, this one included",
            RECORD,
        ),
        number("peer_sag_v", "V", "the middle one of their sags", RECORD),
    ),
)


PREDICTED = Table(
    "predicted",
    "For people, read by no rule: one row per tap, block, half and for the total, in the least switching state that"
    " joins it, where it was read, and under each load that the record tells of; only the command facts fills it.",
    "predicted",
    (
        text("predicted", "what, where, in which state and under which load"),
        text("what", "tap, block, half or total"),
        text("between", "the two places"),
        text("state", "switching state"),
        number("load_a", "A", "current drawn meanwhile; 0 at rest", RECORD),
        flag("joined", "something joins the two places in that state", BOTH),
        measured("predicted_v", "V", "what the recorded modules and conductors give there, with drift since they were"
                 " read", "rest voltage and facing of the modules between", "multimeter", SOLVED),
        text("reading", "the reading taken there, empty for none", RECORD),
        measured("value_v", "V", "that reading", "voltage", "multimeter"),
        flag("fits", "the reading lies within what is predicted", BOTH),
    ),
)  # fmt: skip


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


TOTAL = Table(
    "total",
    "One row per reading between the mains with the disconnect in, of a pack that is one string; one where none was"
    " taken.",
    "total",
    (
        text("total", "the reading between the mains", RECORD),
        text("parts", "other readings, whatever was switched, that lie end to end along it and agree best", RECORD),
        measured("total_v", "V", "the reading between the mains", "voltage between the mains", "multimeter"),
        measured("parts_v", "V", "sum of the readings along it", "voltages along it", "multimeter"),
        measured("difference_v", "V", "reading between the mains less the sum", "voltages along it", "multimeter"),
        number("cells", "", "cells in series that the reading between the mains lies over"),
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
    "One row per instrument that the record describes.",
    "instrument",
    (
        text("instrument", "name of the instrument", RECORD),
        text("kind", "kind of instrument", RECORD, "kind of the instrument", "eyes"),
        flag("kind_known", "one knows from its kind what it reads", RECORD, "kind of the instrument", "eyes"),
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
        flag("was_used", "something was read with it", RECORD),
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
        number(
            "gap_h",
            "h",
            "time from the first to the second, the most that the two entries allow",
            RECORD,
            "when the first of them was",
            "clock",
        ),
        text("reason", "why the one must come first"),
    ),
)


AGAIN = Table(
    "again",
    "One row per first reading that a later one stands in for: it is not erased.",
    "about",
    (
        text("about", "what was read again, and of what", RECORD),
        text("what", "column of the record: torque, resistance, rest, value, capacity, mass", RECORD),
        text("first", "the first reading, in words", RECORD),
        text("later", "the last reading that stands in for it, in words", RECORD),
        number("gap_h", "h", "time from the first to the last", RECORD, "when it was first read", "clock"),
        flag("replaced", "a new fastener, or another module by its serial, was put in between the two", RECORD),
        measured(
            "torque_n_m",
            "N·m",
            "the first torque",
            "a torque on new hardware, with `replaced: fastener` beside it",
            "click wrench",
        ),
        number("torque_high_n_m", "N·m", "most torque of the joint", LAYOUT, "the upper end of its torque band"),
        flag(
            "torque_slipped",
            "the first torque fits its band after a slip of unit or point, and its tool could not give it as written",
            RECORD,
        ),
        measured("rest_cell_v", "V", "first rest voltage per cell", "rest voltage", "multimeter"),
        flag("rest_slipped", "the first rest voltage fits its window after a slip of point or sign", RECORD),
        flag("copper_at_risk", "copper carries the negative electrode of the cells drawn or fitted here", BOTH),
        measured("apart_v", "V", "how far the first and the last voltage are apart", "voltage", "multimeter"),
        measured("lost_v", "V", "first rest voltage less the last one", "rest voltage", "multimeter"),
        flag("turned", "the first and the last voltage surely have opposite signs", RECORD),
        flag("confirmed", "a further reading, of another person or instrument, agrees with the last one", RECORD),
        number("cells", "", "cells in series that the voltage lies over"),
        number("cell_v", "V", "rest voltage of one of these cells, middle of the window"),
    ),
)


REPEAT = Table(
    "repeat",
    "One row per kind of row of which a run stands twice, digit by digit, where chance writes it less than once.",
    "repeat",
    (
        text("repeat", "what was written, and where the two runs stand", RECORD),
        text("what", "what was written: readings of the modules, resistances of the joints, voltages", RECORD),
        text("first", "the rows of the first run", RECORD),
        text("second", "the rows of the second run", RECORD),
        number("rows", "", "rows of each run", RECORD),
        number("one_in", "", "of how many such packs chance writes it in one", RECORD),
    ),
)

DRAWN_TAP = Table(
    "drawn_tap",
    "A sense tap as drawn.",
    "tap",
    (
        text("tap", "name of the tap"),
        text("on", "the place or conductor it sits on"),
        text("connector", "its connector"),
        number("twins", "", "other taps of its connector on the same place or conductor"),
        text("twin_names", "these taps"),
        flag("in_order", "its voltage goes on the way the pins of its connector run along the string", LAYOUT),
        text("neighbour", "the tap at the pin before it, where it does not"),
    ),
)

CONNECTOR = Table(
    "connector",
    "A sense connector as drawn.",
    "connector",
    (
        text("connector", "its name"),
        number("taps", "", "taps at its pins"),
        number("others", "", "other connectors whose pins run as those of most do"),
        text("other_names", "their names"),
        flag("with_others", "its voltages climb from pin to pin where those of most connectors climb", LAYOUT),
    ),
)
