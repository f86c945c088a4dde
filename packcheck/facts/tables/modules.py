"""Facts about modules, their types, and the quantities that a layout states."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, proof, text
from packcheck.rules.catalogue import SOLVED, Table

MODULE = Table(
    "module",
    "One row per position of the layout.",
    "position",
    (
        text("position", "name of the position"),
        text("group", "parallel group of the position"),
        flag("fitted", "a module is fitted here", RECORD, "whether a module is fitted", "eyes"),
        text("planned_type", "module type the layout has here"),
        text("type", "module type fitted", RECORD, "module type", "eyes"),
        text("planned_chemistry", "chemistry the layout has here"),
        flag("copper_at_risk", "copper carries the negative electrode of the cells drawn or fitted here", BOTH),
        flag("lead_acid", "the cells drawn or fitted here are lead-acid", BOTH),
        flag("type_in_layout", "the layout names the module type fitted, or none was recorded", BOTH),
        flag("chemistry_as_planned", "the module fitted is of the chemistry drawn", BOTH, "module type", "eyes"),
        text("planned_plus", "post at which the layout has +"),
        text("plus", "post at which + was recorded", RECORD, "post at which + is", "eyes"),
        flag("facing_as_planned", "+ was recorded where the layout has it", BOTH, "post at which + is", "eyes"),
        text(
            "read_plus",
            "post that a voltage reading between the two posts shows as +; empty where none was read",
            RECORD,
            "voltage from post to post, with its sign",
            "multimeter",
        ),
        flag(
            "reading_agrees_with_facing",
            "sign of the voltage between the posts agrees with the recorded +",
            RECORD,
            "voltage from post to post, with its sign",
            "multimeter",
        ),
        proof(
            "facing_confirmed",
            "a reading across this module, sharp enough to show it reversed, agrees with the record",
            BOTH,
            "a voltage reading across the module, with its sign",
            "multimeter",
        ),
        flag(
            "in_current_path",
            "the module lies on a path from main − to main + through fitted parts",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        number(
            "current_share",
            "",
            "current through the module, from its − to its +, when 1 A is pushed from main − to"
            " main +, as built over as drawn",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        number("order_planned", "", "place along the string from main −, in the layout", LAYOUT),
        number(
            "order_built",
            "",
            "place along the string from main −, as built; 0 where it is not reached",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        measured("rest_v", "V", "rest voltage, from − to +", "rest voltage", "multimeter"),
        flag("rest_age_known", "its rest voltage and a reading of the pack have their times", RECORD),
        number("rest_age_h", "h", "time from the rest voltage to the last reading of the pack", RECORD),
        number("rest_low_v", "V", "lowest rest voltage the layout accepts"),
        number("rest_high_v", "V", "highest rest voltage the layout accepts"),
        measured(
            "rest_cell_v",
            "V",
            "rest voltage per cell in series, whichever way the leads lay",
            "rest voltage",
            "multimeter",
        ),
        text(
            "rest_slip",
            "a slip of point, unit or sign that would bring the rest voltage into its window, in words",
            RECORD,
            "rest voltage",
            "multimeter",
        ),
        flag(
            "rest_slipped",
            "the rest voltage fits its window after a slip of point, unit or sign, and not before",
            RECORD,
            "rest voltage",
            "multimeter",
        ),
        number("peers", "", "modules of its type read in its string, this one included", RECORD),
        number("peer_median_v", "V", "the middle one of their rest voltages", RECORD),
        number("peer_scatter_v", "V", "how far they scatter, as a standard deviation", RECORD),
        measured("unlike_v", "V", "by how much it stands off their middle", "rest voltage", "multimeter"),
        number("cells", "", "cells in series in the module"),
        text("cells_missing", "what is missing against their middle, in cells, in words", RECORD),
        text("serial", "serial number fitted", RECORD, "serial number", "eyes"),
        flag("serial_once", "this serial stands at no other position", RECORD, "serial number", "eyes"),
        text("serial_also_at", "other position with the same serial", RECORD),
        flag("shelf_told", "the record has a shelf: modules as tested before it was decided which go where", RECORD),
        text(
            "set_aside",
            "why the module of this serial was set aside on the shelf; empty where it was not",
            RECORD,
            "serial number",
            "eyes",
        ),
        flag("stand_told", "the shelf says what the module of this serial lost while it stood", RECORD),
        measured(
            "stand_lost_v", "V", "voltage it lost while it stood", "voltage before and after a stand", "multimeter"
        ),
        number("stood_h", "h", "how long it stood", RECORD, "hours between the two readings", "eyes"),
        text("planned_serial", "serial the plan has here"),
        flag("serial_as_planned", "the fitted serial is the planned one", BOTH, "serial number", "eyes"),
        flag("resistance_asked", "its row has a cell for the internal resistance, or most modules have theirs", RECORD),
        measured("resistance_ohm", "Ω", "internal resistance", "internal resistance", "load tester"),
        number("drawn_resistance_ohm", "Ω", "internal resistance of its type, as drawn"),
        number("peer_resistance_ohm", "Ω", "the middle of those of its type, or the drawn where few were read", BOTH),
        flag("capacity_asked", "its row has a cell for the capacity, or most modules have theirs", RECORD),
        measured("capacity_ah", "Ah", "capacity", "capacity", "cycler"),
        number(
            "drawn_capacity_ah", "Ah", "capacity of its type, as drawn; where none is, the middle of its type", BOTH
        ),
        number("peer_capacity_ah", "Ah", "the middle of those of its type, or the drawn where few were read", BOTH),
    ),
)


MODULE_TYPE = Table(
    "module_type",
    "One row per module type of the layout.",
    "module_type",
    (
        text("module_type", "name of the module type"),
        text("chemistry", "its chemistry"),
        number("cells", "", "cells in series"),
        number("nominal_cell_v", "V", "nominal voltage per cell, as drawn"),
        number("rest_low_cell_v", "V", "lowest rest voltage per cell, as drawn"),
        number("rest_high_cell_v", "V", "highest rest voltage per cell, as drawn"),
        number("highest_cell_v", "V", "highest voltage per cell, as drawn"),
        number("nominal_least_v", "V", "least nominal voltage a cell of this chemistry has"),
        number("nominal_most_v", "V", "most nominal voltage a cell of this chemistry has"),
        number("rest_least_v", "V", "least voltage a usable cell of this chemistry rests at"),
        number("rest_most_v", "V", "most voltage a cell of this chemistry rests at"),
        number("highest_least_v", "V", "least voltage at which a cell of this chemistry is full"),
        number("highest_most_v", "V", "most voltage a cell of this chemistry is charged to"),
        flag("size_known", "its size is drawn", LAYOUT),
        number("post_outside_mm", "mm", "how far its furthest post lies outside its size"),
        number("post_outside_share", "", "the same as a share of the size that way, at the post where it is largest"),
        text("post_outside", "that post, where it is, and the size"),
    ),
)


QUANTITY = Table(
    "quantity",
    "One row per quantity of the layout that has a usual size.",
    "quantity",
    (
        text("quantity", "what is stated, and of what"),
        flag("usual", "it has a size that most of its kind have", LAYOUT),
        flag("credible", "currents may be worked out from it: it is no larger than a pack could have", LAYOUT),
        text("credible_most", "the most that is credible, in words"),
        text("value", "the value, in words"),
        text("usual_band", "what most of its kind have, in words"),
        text("slip", "a slip of unit or point that would make it usual, in words"),
    ),
)
