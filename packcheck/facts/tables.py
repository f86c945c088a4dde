"""The catalogue: every fact table that rules, ``packcheck facts`` and the documentation share.

One line per column: name, kind, meaning, where it comes from, unit, and the recorded datum at its root.
"""

from __future__ import annotations

from functools import cache

from packcheck.rules.catalogue import SOLVED, Column, Table

LAYOUT = "layout"
RECORD = "record"
BOTH = "layout and record"


def _text(name: str, meaning: str, source: str = LAYOUT, datum: str = "", instrument: str = "") -> Column:
    return Column(name, "text", meaning, source, "", datum, instrument)


def _flag(name: str, meaning: str, source: str = BOTH, datum: str = "", instrument: str = "") -> Column:
    return Column(name, "flag", meaning, source, "", datum, instrument)


def _number(name: str, unit: str, meaning: str, source: str = LAYOUT, datum: str = "", instrument: str = "") -> Column:
    return Column(name, "number", meaning, source, unit, datum, instrument)


def _measured(name: str, unit: str, meaning: str, datum: str, instrument: str, source: str = RECORD) -> Column:
    return Column(name, "measured", meaning, source, unit, datum, instrument)


PACK = Table(
    "pack",
    "The pack as a whole: one row.",
    "pack",
    (
        _text("pack", "name of the layout"),
        _number("modules", "", "modules the layout has"),
        _number("highest_v", "V", "voltage between the mains with every cell at its highest"),
        _number(
            "prospective_a", "A", "current of a short between the mains, solved with every cell at its highest", SOLVED
        ),
        _flag("layout_path", "the layout joins main − to main + with everything closed", LAYOUT),
        _flag("layout_uses_every_module", "every module of the layout lies on the path between the mains", LAYOUT),
        _text("layout_unused", "modules of the layout that lie beside the path"),
        _flag(
            "layout_loops_only_in_groups",
            "the layout has no closed loop through a module but its parallel groups and strings",
            LAYOUT,
        ),
        _flag("layout_modules_aid", "every module of the layout drives from main − to main +", LAYOUT),
        _text("layout_against", "modules the layout has turned against the string"),
        _number("layout_chemistries", "", "chemistries of the modules that the layout has in its positions"),
        _text("layout_chemistry_names", "these chemistries, each with the positions that have it"),
        _flag("has_disconnect", "the layout has a service disconnect or an isolator", LAYOUT),
        _flag("has_fuse", "the layout has a fuse in the path", LAYOUT),
        _flag(
            "path",
            "main − and main + are joined through the fitted parts, everything closed",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        _flag(
            "extra_ruled_out",
            "the record states that nothing conducts that it does not list",
            RECORD,
            "the statement `extra: none`",
            "eyes",
        ),
        _measured(
            "mains_v",
            "V",
            "main + against main −, everything closed, from the recorded modules and facings",
            "voltage and facing of every module",
            "multimeter",
            SOLVED,
        ),
        _measured(
            "mains_read_v",
            "V",
            "reading of main + against main − in a state that joins them",
            "voltage from main + to main −",
            "multimeter",
        ),
        _flag(
            "clamped",
            "the stack was brought to its length before the record's joints",
            RECORD,
            "length of the clamped stack",
            "rule",
        ),
        _measured("clamp_length_mm", "mm", "length of the clamped stack", "length of the clamped stack", "rule"),
        _number("clamp_length_low_mm", "mm", "shortest gauge length"),
        _number("clamp_length_high_mm", "mm", "longest gauge length"),
        _measured("clamp_torque_n_m", "N·m", "torque of the clamp rods", "torque of the clamp rods", "click wrench"),
        _number("clamp_torque_low_n_m", "N·m", "least torque of the clamp rods"),
        _number("clamp_torque_high_n_m", "N·m", "most torque of the clamp rods"),
        _flag(
            "tools_counted", "the tools taken out and brought back were counted", RECORD, "tools out and in", "count"
        ),
        _flag("has_clamp", "the layout has a clamp", LAYOUT),
        _flag("stack_known", "the clamp has a length, and every module a size", LAYOUT),
        _number("stack_mm", "mm", "length of the modules along the axis nearest to the clamp's length"),
        _flag("has_vents", "the layout has vent lines", LAYOUT),
        _flag("vents_serve_all", "every module is served by a vent line", LAYOUT),
        _text("unvented", "the modules that none serves"),
        _text("vent_lines", "the vent lines, with what they serve"),
    ),
)

MODULE = Table(
    "module",
    "One row per position of the layout.",
    "position",
    (
        _text("position", "name of the position"),
        _text("group", "parallel group of the position"),
        _flag("fitted", "a module is fitted here", RECORD, "whether a module is fitted", "eyes"),
        _text("planned_type", "module type the layout has here"),
        _text("type", "module type fitted", RECORD, "module type", "eyes"),
        _text("planned_chemistry", "chemistry the layout has here"),
        _flag("copper_at_risk", "copper carries the negative electrode of the cells drawn or fitted here", BOTH),
        _flag("lead_acid", "the cells drawn or fitted here are lead-acid", BOTH),
        _flag("type_in_layout", "the layout names the module type fitted, or none was recorded", BOTH),
        _flag("chemistry_as_planned", "the module fitted is of the chemistry drawn", BOTH, "module type", "eyes"),
        _text("planned_plus", "post at which the layout has +"),
        _text("plus", "post at which + was recorded", RECORD, "post at which + is", "eyes"),
        _flag("facing_as_planned", "+ was recorded where the layout has it", BOTH, "post at which + is", "eyes"),
        _text(
            "read_plus",
            "post that a voltage reading between the two posts shows as +; empty where none was read",
            RECORD,
            "voltage from post to post, with its sign",
            "multimeter",
        ),
        _flag(
            "reading_agrees_with_facing",
            "sign of the voltage between the posts agrees with the recorded +",
            RECORD,
            "voltage from post to post, with its sign",
            "multimeter",
        ),
        _flag(
            "facing_confirmed",
            "a reading across this module, sharp enough to show it reversed, agrees with the record",
            BOTH,
            "a voltage reading across the module, with its sign",
            "multimeter",
        ),
        _flag(
            "in_current_path",
            "the module lies on a path from main − to main + through fitted parts",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        _number(
            "current_share",
            "",
            "current through the module, from its − to its +, when 1 A is pushed from main − to"
            " main +, as built over as drawn",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        _number("order_planned", "", "place along the string from main −, in the layout", LAYOUT),
        _number(
            "order_built",
            "",
            "place along the string from main −, as built; 0 where it is not reached",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        _measured("rest_v", "V", "rest voltage, from − to +", "rest voltage", "multimeter"),
        _number("rest_low_v", "V", "lowest rest voltage the layout accepts"),
        _number("rest_high_v", "V", "highest rest voltage the layout accepts"),
        _measured("rest_cell_v", "V", "rest voltage per cell in series", "rest voltage", "multimeter"),
        _text(
            "rest_slip",
            "a decimal or unit slip that would bring the rest voltage into its window, in words",
            RECORD,
            "rest voltage",
            "multimeter",
        ),
        _flag(
            "rest_slipped",
            "the rest voltage fits its window after a decimal or unit slip, and not before",
            RECORD,
            "rest voltage",
            "multimeter",
        ),
        _number("peers", "", "modules of its type read in its string, this one included", RECORD),
        _number("peer_median_v", "V", "the middle one of their rest voltages", RECORD),
        _number("peer_scatter_v", "V", "how far they scatter, as a standard deviation", RECORD),
        _measured("unlike_v", "V", "by how much it stands off their middle", "rest voltage", "multimeter"),
        _number("cells", "", "cells in series in the module"),
        _text("cells_missing", "what is missing against their middle, in cells, in words", RECORD),
        _text("serial", "serial number fitted", RECORD, "serial number", "eyes"),
        _flag("serial_once", "this serial stands at no other position", RECORD, "serial number", "eyes"),
        _text("serial_also_at", "other position with the same serial", RECORD),
        _text("planned_serial", "serial the plan has here"),
        _flag("serial_as_planned", "the fitted serial is the planned one", BOTH, "serial number", "eyes"),
        _measured("resistance_ohm", "Ω", "internal resistance", "internal resistance", "load tester"),
        _measured("capacity_ah", "Ah", "capacity", "capacity", "cycler"),
    ),
)

CONDUCTOR = Table(
    "conductor",
    "One row per bar, link or lead: of the layout, or fitted beyond it.",
    "conductor",
    (
        _text("conductor", "name of the conductor"),
        _text("kind", "bar, link or lead"),
        _flag("planned", "the layout has this conductor", LAYOUT),
        _flag("fitted", "the conductor is fitted", RECORD, "whether it is fitted", "eyes"),
        _text("planned_lands", "where the layout lands it"),
        _text("lands", "where it was recorded to land", RECORD, "where it lands", "eyes"),
        _flag("lands_as_drawn", "it lands exactly where the layout has it", BOTH, "where it lands", "eyes"),
        _flag(
            "posts_as_drawn",
            "it joins + and − posts as the layout does, by the facings recorded",
            BOTH,
            "where + is on the modules it joins",
            "eyes",
        ),
        _flag(
            "joins_like_posts",
            "it joins posts of one sign only, where the layout joins + to −",
            BOTH,
            "where + is on the modules it joins",
            "eyes",
        ),
        _flag(
            "doubles_another",
            "it joins only nodes that another fitted conductor already joins",
            BOTH,
            "where it lands",
            "eyes",
        ),
        _text("doubles", "the conductor it doubles", RECORD),
        _flag("bypasses_disconnect", "it joins the two sides of an open disconnect", BOTH, "where it lands", "eyes"),
        _flag("carries_pack_current", "in the layout the pack's current runs through it", LAYOUT),
        _flag(
            "confirmable",
            "a reading can run across it and a module with every switch open, and no other conductor lies beside it",
            LAYOUT,
        ),
        _flag(
            "in_current_path",
            "it lies on a path from main − to main + through fitted parts",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        _flag(
            "confirmed",
            "a reading across it, sharp enough to show it missing, agrees with the record",
            BOTH,
            "a voltage reading across the conductor",
            "multimeter",
        ),
        _text("planned_part", "part number the layout has here"),
        _text("part", "part number fitted", RECORD, "part number", "eyes"),
        _flag("part_as_drawn", "the part fitted is the one drawn", BOTH, "part number", "eyes"),
        _flag("inspected", "its condition was recorded", RECORD),
        _text("condition", "condition found: sound, cracked, bent, thin, corroded", RECORD, "condition", "eyes"),
    ),
)

DEVICE = Table(
    "device",
    "One row per device of the layout.",
    "device",
    (
        _text("device", "name of the device"),
        _text("kind", "service disconnect, fuse, main contactor, isolator, precharge resistor or shunt"),
        _flag("fitted", "the device is fitted", RECORD, "whether it is fitted", "eyes"),
        _flag("directed", "the layout states a direction for it", LAYOUT),
        _flag("direction_as_drawn", "its arrow points as the layout has it", BOTH, "direction of its arrow", "eyes"),
        _flag(
            "interrupts",
            "with every switch open, nothing joins its two sides",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        _flag("acts_in_layout", "drawn on a path between the mains, with no conductor past it", LAYOUT),
        _flag("interrupts_in_layout", "the same, as drawn", LAYOUT),
        _text("bypassed_by", "the fitted conductors, not in the layout, that join its two sides", RECORD),
        _number("volts_v", "V", "DC voltage it is rated for, as drawn"),
        _number("rating_a", "A", "rated current, as drawn"),
        _number("resistance_ohm", "Ω", "its resistance, as drawn"),
        _number("breaks_a", "A", "breaking capacity, as drawn"),
        _number(
            "highest_v", "V", "largest voltage it may have to break: that of its string at the highest cell voltage"
        ),
        _number("prospective_a", "A", "short-circuit current through it at the highest cell voltage", SOLVED),
        _flag("switches", "it is drawn to part the pack's current path, and its DC voltage is stated", LAYOUT),
        _flag("current_stated", "its rated current is stated, and that of a fuse in series with it", LAYOUT),
        _number("fuse_a", "A", "smallest rating of the fuses in series with it, as drawn"),
        _text("planned_part", "part number the layout has here"),
        _text("part", "part number fitted", RECORD, "part number", "eyes"),
        _number(
            "fitted_volts_v", "V", "DC voltage printed on the fitted part", RECORD, "DC voltage printed on it", "eyes"
        ),
        _number(
            "fitted_rating_a", "A", "current printed on the fitted part", RECORD, "rated current printed on it", "eyes"
        ),
        _number(
            "fitted_breaks_a",
            "A",
            "breaking capacity printed on the fitted part",
            RECORD,
            "breaking capacity printed on it",
            "eyes",
        ),
    ),
)

SECTION = Table(
    "section",
    "Runs of modules that may be turned as a whole: sense blocks, trays, the stack.",
    "section",
    (
        _text("section", "name of the section"),
        _text("kind", "block, tray or stack"),
        _number("modules", "", "modules in it"),
        _number(
            "reversed", "", "modules of it recorded against the planned facing", BOTH, "post at which + is", "eyes"
        ),
        _flag("facings_known", "the facing of every module of it was recorded", RECORD),
        _flag(
            "all_reversed",
            "every module of it is recorded against the planned facing",
            BOTH,
            "post at which + is",
            "eyes",
        ),
    ),
)

GROUP = Table(
    "group",
    "One row per parallel group of two or more modules.",
    "group",
    (
        _text("group", "name of the group"),
        _number("planned_members", "", "modules in it, as drawn"),
        _number("usual_members", "", "modules in most groups of this layout"),
        _number(
            "joined_members",
            "",
            "modules of it that share its current, as built",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        _measured(
            "spread_v",
            "V",
            "highest less lowest rest voltage in the group, with their signs as built",
            "rest voltage and facing of its modules",
            "multimeter",
        ),
        _measured(
            "surge_a",
            "A",
            "largest current between two of its modules at the moment they are joined",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        _number("surge_limit_a", "A", "largest current the layout or the shop allows at joining"),
    ),
)

STRING = Table(
    "string",
    "One row per string that is joined in parallel with others.",
    "string",
    (
        _text("string", "name of the string"),
        _text("peers", "the strings beside it"),
        _number("fuses", "", "fuses in it alone, as drawn"),
        _flag("fuses_stated", "it and the strings beside it have fuses of their own with a rating", LAYOUT),
        _number("fuse_a", "A", "smallest rating of these"),
        _number("peer_fuse_a", "A", "smallest rating of the fuses of the strings beside it"),
        _number("modules", "", "modules in it, as drawn"),
        _number("peer_modules", "", "modules in the strings beside it, as drawn"),
        _number(
            "joined_modules",
            "",
            "modules of it that lie in the current path, as built",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        _measured(
            "voltage_v",
            "V",
            "sum of its modules' rest voltages, with their signs as built",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        _measured(
            "difference_v",
            "V",
            "largest difference from the strings beside it",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        _measured(
            "surge_a",
            "A",
            "largest current into or out of it at the moment the strings are joined",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        _number("surge_limit_a", "A", "largest current the layout or the shop allows at joining"),
    ),
)


def _ring_columns(source: str) -> tuple[Column, ...]:
    """Return the columns that rings of the drawing and of the build share."""
    return (
        _text("loop", "name of the loop"),
        _text("closed_by", "the conductors that close it"),
        _text("through", "the modules it runs through"),
        _number("modules", "", "modules in the loop"),
        _flag("flows_now", "it is closed with every switch open", source),
        _text("flows", "when the current flows, in words"),
        _number("module_v", "V", "the greatest voltage of one module in it"),
        _number("resistance_ohm", "Ω", "resistance of the loop", SOLVED),
    )


DRAWN_LOOP = Table(
    "drawn_loop",
    "Loops of the layout, through modules, that their voltages drive a current around: one row per part of the pack.",
    "loop",
    (
        *_ring_columns(LAYOUT),
        _number("driving_v", "V", "driving voltage: the sum of the voltages around the loop, modules at rest", SOLVED),
        _number("current_a", "A", "current in it with nothing connected outside", SOLVED),
        _number("power_w", "W", "power turned into heat in the loop", SOLVED),
    ),
)

LOOP = Table(
    "loop",
    "Loops of the build, through modules, that are driven or that a part not as drawn closes.",
    "loop",
    (
        *_ring_columns(BOTH),
        _measured(
            "driving_v",
            "V",
            "driving voltage: the sum of the voltages around the loop",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        _number(
            "current_a", "A", "prospective current", SOLVED, "rest voltage and facing of its modules", "multimeter"
        ),
        _number(
            "power_w",
            "W",
            "power turned into heat in the loop",
            SOLVED,
            "rest voltage and facing of its modules",
            "multimeter",
        ),
    ),
)

JOINT = Table(
    "joint",
    "One row per joint of the layout whose joint type has a thread.",
    "joint",
    (
        _text("joint", "name of the joint: conductor/landing"),
        _text("joint_type", "joint type"),
        _flag("fitted", "the conductor of this joint is fitted", RECORD, "whether it is fitted", "eyes"),
        _flag("carries_pack_current", "in the layout the pack's current runs through it", LAYOUT),
        _flag("band_stated", "the layout states a torque band for it", LAYOUT),
        _text("band_from", "where the torque band comes from: the layout, or the shop profile's default"),
        _number(
            "torque_low_n_m",
            "N·m",
            "least torque",
            LAYOUT,
            "a torque band with two ends in the layout or the shop profile",
        ),
        _number(
            "torque_high_n_m",
            "N·m",
            "most torque",
            LAYOUT,
            "a torque band with two ends in the layout or the shop profile",
        ),
        _measured("torque_n_m", "N·m", "torque applied", "torque", "click wrench"),
        _flag("torque_written", "a torque was written down for it", RECORD),
        _text(
            "torque_slip",
            "a unit or decimal slip that would bring the torque into its band, in words",
            RECORD,
            "torque",
            "click wrench",
        ),
        _flag(
            "torque_slipped",
            "the torque fits its band after a unit or decimal slip, and not before",
            RECORD,
            "torque",
            "click wrench",
        ),
        _text("tool_kind", "kind of tool the torque was applied with", RECORD, "which tool applied the torque", "eyes"),
        _number("torque_read_n_m", "N·m", "torque as written down", RECORD, "torque", "click wrench"),
        _number("tool_low_n_m", "N·m", "lowest torque the tool is fit for", RECORD, "range of the torque tool", "eyes"),
        _number(
            "tool_high_n_m", "N·m", "highest torque the tool is fit for", RECORD, "range of the torque tool", "eyes"
        ),
        _flag(
            "torqued_after_clamp",
            "the torque was applied after the stack was clamped",
            RECORD,
            "when the stack was clamped and when the joint was torqued",
            "clock",
        ),
        _measured("resistance_ohm", "Ω", "resistance across the joint", "joint resistance", "micro-ohmmeter"),
        _number("resistance_high_ohm", "Ω", "most resistance the layout accepts"),
        _measured(
            "peer_median_ohm",
            "Ω",
            "median resistance of the joints of its type",
            "resistance of the joints beside it",
            "micro-ohmmeter",
        ),
        _measured(
            "above_peers_ohm",
            "Ω",
            "by how much it reads above that median, one meter's scale error counted once",
            "resistance",
            "micro-ohmmeter",
        ),
        _number("peers", "", "joints of its type whose resistance was read", RECORD),
        _text("recheck", "what the re-check found: held or moved", RECORD, "re-check", "click wrench"),
        _number("recheck_after_h", "h", "time between torque and re-check that the layout asks for"),
        _number(
            "recheck_waited_h",
            "h",
            "time between torque and re-check",
            RECORD,
            "when the joint was torqued and when re-checked",
            "clock",
        ),
        _flag("recheck_asked", "the layout asks for a re-check", LAYOUT),
        _text("mark", "colour of the paint mark, none where there is none", RECORD, "paint mark", "eyes"),
        _flag("marked", "a paint mark was put on", RECORD, "paint mark", "eyes"),
    ),
)

JOINT_TYPE = Table(
    "joint_type",
    "One row per joint type of the layout that has a thread.",
    "joint_type",
    (
        _text("joint_type", "name of the joint type"),
        _text("thread", "thread"),
        _text("strength_class", "property class of the thread's bolt or stud"),
        _flag("band_stated", "the layout states a torque band", LAYOUT),
        _text("band_from", "where the torque band comes from: the layout, the shop profile's default, or nowhere"),
        _number("torque_low_n_m", "N·m", "least torque", LAYOUT, "a torque band in the layout or the shop profile"),
        _number("torque_high_n_m", "N·m", "most torque", LAYOUT, "a torque band in the layout or the shop profile"),
        _flag("class_known", "thread and class are in the tables of proof loads", LAYOUT),
        _number(
            "proof_load_n",
            "N",
            "proof load of thread and class",
            "ISO 898-1, ISO 3506-1",
            "thread and property class in the layout",
        ),
        _number(
            "clamp_load_at_high_n",
            "N",
            "clamp load at the most torque, middle nut factor",
            "T = K F d",
            "thread and torque band in the layout",
        ),
        _number(
            "clamp_fraction",
            "",
            "clamp load at the most torque over proof load, middle nut factor",
            "T = K F d",
            "thread, class and torque band in the layout",
        ),
        _number(
            "stress_fraction",
            "",
            "combined thread stress while tightening at the most torque over proof stress",
            "tension and torsion",
            "thread, class and torque band in the layout",
        ),
    ),
)

MODULE_TYPE = Table(
    "module_type",
    "One row per module type that stands in a position of the layout.",
    "module_type",
    (
        _text("module_type", "name of the module type"),
        _text("chemistry", "its chemistry"),
        _number("cells", "", "cells in series"),
        _number("nominal_cell_v", "V", "nominal voltage per cell, as drawn"),
        _number("rest_low_cell_v", "V", "lowest rest voltage per cell, as drawn"),
        _number("rest_high_cell_v", "V", "highest rest voltage per cell, as drawn"),
        _number("highest_cell_v", "V", "highest voltage per cell, as drawn"),
        _number("nominal_least_v", "V", "least nominal voltage a cell of this chemistry has"),
        _number("nominal_most_v", "V", "most nominal voltage a cell of this chemistry has"),
        _number("rest_least_v", "V", "least voltage a usable cell of this chemistry rests at"),
        _number("rest_most_v", "V", "most voltage a cell of this chemistry rests at"),
        _number("highest_least_v", "V", "least voltage at which a cell of this chemistry is full"),
        _number("highest_most_v", "V", "most voltage a cell of this chemistry is charged to"),
        _flag("size_known", "its size is drawn", LAYOUT),
        _number("post_outside_mm", "mm", "how far its furthest post lies outside its size"),
        _text("post_outside", "that post, where it is, and the size"),
    ),
)

QUANTITY = Table(
    "quantity",
    "One row per quantity of the layout that has a usual size.",
    "quantity",
    (
        _text("quantity", "what is stated, and of what"),
        _flag("usual", "it has a size that most of its kind have", LAYOUT),
        _flag("credible", "currents may be worked out from it: it is no larger than a pack could have", LAYOUT),
        _text("credible_most", "the most that is credible, in words"),
        _text("value", "the value, in words"),
        _text("usual_band", "what most of its kind have, in words"),
        _text("slip", "a slip of unit or point that would make it usual, in words"),
    ),
)

PART = Table(
    "part",
    "The hardware ledger: one row per kind of loose part.",
    "part",
    (
        _text("part", "name of the part"),
        _flag("in_layout", "the layout uses this part", LAYOUT),
        _number("needed", "", "how many the layout needs"),
        _number("issued", "", "how many were issued", RECORD, "number issued", "count"),
        _number("fitted", "", "how many were fitted", RECORD, "number fitted", "count"),
        _number("returned", "", "how many were returned", RECORD, "number returned", "count"),
        _number("scrapped", "", "how many were scrapped", RECORD, "number scrapped", "count"),
        _number(
            "unaccounted",
            "",
            "issued less fitted, returned and scrapped",
            RECORD,
            "numbers issued, fitted, returned, scrapped",
            "count",
        ),
        _number("largest_mm", "mm", "its largest dimension"),
        _flag("conducts", "it conducts", LAYOUT),
        _text("could_bridge", "where a missing one could bridge two conductors, in words"),
    ),
)

TOOL = Table(
    "tool",
    "One row per tool taken to the pack.",
    "tool",
    (
        _text("tool", "name of the tool", RECORD),
        _number("out", "", "how many were taken out", RECORD, "number taken out", "count"),
        _number("back", "", "how many came back", RECORD, "number that came back", "count"),
    ),
)

INSTRUMENT = Table(
    "instrument",
    "One row per instrument the record names.",
    "instrument",
    (
        _text("instrument", "name of the instrument", RECORD),
        _text("kind", "kind of instrument", RECORD, "kind of the instrument", "eyes"),
        _flag("described", "the record describes it", RECORD),
        _text("due", "date its calibration is due", RECORD, "date its calibration is due", "eyes"),
        _text("last_used", "last date it was used on this pack", RECORD, "date of the readings", "clock"),
        _flag(
            "in_calibration",
            "its calibration was valid on every date it was used",
            RECORD,
            "date its calibration is due, and the dates of its readings",
            "eyes",
        ),
        _flag("accuracy_stated", "the record states its accuracy", RECORD),
        _flag("is_torque_tool", "it applied torque", RECORD),
        _number(
            "cycles", "", "tightenings since its calibration", RECORD, "tightenings since its calibration", "count"
        ),
    ),
)

COVER = Table(
    "cover",
    "One row per cover of the layout.",
    "cover",
    (
        _text("cover", "name of the cover"),
        _text("over", "what it lies over"),
        _flag("fitted", "it is fitted", RECORD, "whether it is fitted", "eyes"),
        _number("screws_planned", "", "screws that hold it"),
        _number("screws", "", "screws fitted", RECORD, "screws fitted", "count"),
    ),
)

CAP = Table(
    "cap",
    "One row per place whose joint stack ends in a cap.",
    "place",
    (
        _text("place", "the place"),
        _flag("capped", "the cap is on", RECORD, "whether its cap is on", "eyes"),
    ),
)

GAP = Table(
    "gap",
    "Neighbouring bare conductors of the layout: one row per kind of gap on a face, the worst of it.",
    "gap",
    (
        _text("gap", "the two conductors"),
        _text("face", "face they lie on"),
        _number("gap_mm", "mm", "shortest distance between them"),
        _number(
            "voltage_v", "V", "voltage between them at the highest cell voltage, everything fitted and closed", SOLVED
        ),
        _flag("creepage_known", "the layout states pollution degree and material group", LAYOUT),
        _number(
            "creepage_mm",
            "mm",
            "creepage distance: as stated, or no less than the gap",
            LAYOUT,
            "pollution degree and material group, or the creepage distance, in the layout",
        ),
        _number(
            "creepage_needed_mm",
            "mm",
            "creepage distance needed",
            "IEC 60664-1 Table F.4",
            "pollution degree and material group in the layout",
        ),
        _number(
            "clearance_needed_mm",
            "mm",
            "clearance needed",
            "IEC 60664-1 Table F.2",
            "impulse voltage and pollution degree in the layout",
        ),
        _flag("clearance_asked", "the layout states an impulse voltage", LAYOUT),
        _number(
            "hardware_mm",
            "mm",
            "largest conducting part of the joints on the face; bars and lugs, which are larger, apart",
        ),
        _text("hardware", "that part"),
        _flag("touching", "they touch or cross: nothing lies between them as drawn", LAYOUT),
        _flag("shape_known", "both are straight, so that the drawing shows where their metal is", LAYOUT),
        _text("pairs", "every pair of conductors on this face that is alike"),
    ),
)

ORDER = Table(
    "order",
    "The order of work that a layout states: one row, none where it states no order.",
    "order",
    (
        _text("order", "name of the order"),
        _number("left_out", "", "conductors, covers and disconnects that no step names, leads of named devices apart"),
        _text("left_out_names", "their names"),
        _number("unknown", "", "words of the order that name nothing in the layout"),
        _text("unknown_words", "these words, with their step"),
        _flag("clamp_first", "the stack is clamped before the first bar or link goes on, or no step clamps it", LAYOUT),
        _text("before_clamp", "the bars and links that go on before it, with their steps"),
        _number("joins_in_class_b", "", "acts that join two sections with modules into one above 60 V"),
        _number(
            "sections_needed",
            "",
            "fewest runs within 60 V, at the highest cell voltage, that the modules between the mains can be cut into",
        ),
        _number("least_joins", "", "fewest joins above 60 V that any order has: one less than the sections needed"),
    ),
)

STEP = Table(
    "step",
    "One row per step of the layout's order that fits conductors or a disconnect; a step of several kinds has parts.",
    "step",
    (
        _text("step", "number of the step and what it fits"),
        _text("work", "what it fits"),
        _flag("is_disconnect", "it puts a disconnect in", LAYOUT),
        _number("joins_in_class_b", "", "acts of this step that join two sections with modules into one above 60 V"),
        _number("rest_v", "V", "voltage of the largest section after it, modules at the middle of their rest window"),
        _number("highest_v", "V", "voltage of the largest section after it, modules at their highest"),
        _number("covers_off", "", "covers of the layout that are not on yet"),
        _text("covers_off_names", "their names"),
        _number("faces_open", "", "faces on which a fitted bar or link is not covered"),
        _text("faces_open_names", "their names"),
        _number("bare_beside", "", "fitted bars and links, not those of this step, that no cover lies over"),
        _text("bare_beside_names", "their names"),
    ),
)

STACK = Table(
    "stack",
    "One row per joint type in use whose stack the layout states.",
    "joint_type",
    (
        _text("joint_type", "name of the joint type"),
        _text("stack", "parts of the stack, from the post outwards"),
        _flag("has_conductor", "a bar or lug is one of them", LAYOUT),
        _flag("conductor_on_post", "nothing lies between the post and the first bar or lug", LAYOUT),
        _text("under", "what lies between"),
        _flag("has_fastener", "a nut, bolt or screw is one of them", LAYOUT),
        _flag("has_washer", "a washer or flange lies over the conductor", LAYOUT),
        _text("thread", "thread of the joint type"),
        _flag("sizes_fit", "every part with a size in its name or standard has that of the thread", LAYOUT),
        _text("misfits", "the parts that have another"),
        _flag("all_described", "every part of the stack is described under parts", LAYOUT),
        _text("undescribed", "the parts that are not"),
    ),
)

PLACED = Table(
    "placed",
    "One row per position that shares room with one before it; all others in one row.",
    "position",
    (
        _text("position", "name of the position, or how many there are"),
        _flag("apart", "its module shares no room with one before it", LAYOUT),
        _text("other", "the module it shares room with"),
        _number("shared_mm", "mm", "how deep they lie in each other"),
        _text("axis", "along which axis"),
        _text("steps", "how far apart they start, and their sizes"),
    ),
)

SPAN = Table(
    "span",
    "One row per conductor too short for two drawn places that it joins; all that are long enough in one row.",
    "conductor",
    (
        _text("conductor", "name of the conductor, or how many there are and the one with least to spare"),
        _text("kind", "bar, link or lead"),
        _text("lands", "where it lands"),
        _number("length_mm", "mm", "its length: the largest of a bar's three sizes, or a lead's length"),
        _number(
            "needed_mm",
            "mm",
            "least length: straight between its landings; of a bar along one axis, half a thread beyond each hole",
        ),
    ),
)

DRAWN_COVER = Table(
    "drawn_cover",
    "One row per cover of the layout, as drawn.",
    "cover",
    (
        _text("cover", "name of the cover"),
        _text("over", "what the layout says it lies over"),
        _flag("known", "the word means a face, tray, group, position, conductor, device or side", LAYOUT),
        _flag("over_posts", "the word means something that has posts", LAYOUT),
        _number("posts", "", "posts that lie under it"),
        _text("words", "faces and trays that it could name"),
    ),
)

READING = Table(
    "reading",
    "One row per voltage reading between two nodes of the pack.",
    "reading",
    (
        _text("reading", "name of the reading"),
        _text("between", "where the two leads were", RECORD),
        _text("state", "switching state", RECORD, "switching state of the reading", "eyes"),
        _measured("value_v", "V", "the reading", "voltage", "multimeter"),
        _measured(
            "expected_v",
            "V",
            "what the recorded modules and conductors give there",
            "rest voltage and facing of the modules between",
            "multimeter",
            SOLVED,
        ),
        _measured(
            "difference_v", "V", "reading less expectation", "voltage, and those of the modules between", "multimeter"
        ),
        _flag("circulating", "something shorted drives a current through the way between the leads", BOTH),
        _number("fault_v", "V", "the least change that one module missing or turned round on the way makes"),
        _number("cells", "", "cells in series between the two leads"),
        _number("cell_v", "V", "rest voltage of one of these cells, middle of the window"),
        _number("peers", "", "readings over as many modules of the same types, this one included", RECORD),
        _number("peer_median_v", "V", "the middle one of these readings, without its sign", RECORD),
        _number("peer_scatter_v", "V", "how far these readings scatter, as a standard deviation", RECORD),
        _measured("unlike_v", "V", "by how much it stands off their middle", "voltage", "multimeter"),
        _text("cells_missing", "what is missing against their middle, in cells, in words", RECORD),
        _flag("lowest_known", "all modules on the way point one way, and the layout states their lowest voltage"),
        _number("lowest_v", "V", "the lowest working voltage of the modules between the leads"),
        _measured("size_v", "V", "the reading without its sign", "voltage", "multimeter"),
        _flag(
            "floating",
            "the two leads were on parts that nothing joins in that state",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        _number("meter_ohm", "Ω", "input resistance of the meter that read two floating places", RECORD),
        _number("bridged_v", "V", "the least it shows if they are bridged, or leak more than isolation allows", SOLVED),
        _text("slip", "a decimal or sign slip that would explain the reading, in words", RECORD),
        _flag(
            "slipped", "the reading fits after a decimal or sign slip, and not before", RECORD, "voltage", "multimeter"
        ),
    ),
)

SUM = Table(
    "sum",
    "Readings that another reading should equal the sum of.",
    "sum",
    (
        _text("sum", "the reading that spans the others", RECORD),
        _text("parts", "the readings along it", RECORD),
        _measured("total_v", "V", "the spanning reading", "voltage", "multimeter"),
        _measured("parts_v", "V", "sum of the readings along it", "voltages along it", "multimeter"),
        _measured("difference_v", "V", "spanning reading less the sum", "voltages along it", "multimeter"),
        _number("cells", "", "cells in series that the spanning reading lies over"),
    ),
)

STATE = Table(
    "state",
    "One row per switching state of the layout.",
    "state",
    (
        _text("state", "name of the state"),
        _flag("joins_mains", "with its devices closed, main − and main + are joined through the pack", LAYOUT),
        _text("live_states", "the states of the layout that join the mains"),
        _text("closed", "the devices it closes"),
        _text("closed_disconnects", "the service disconnects it closes"),
        _flag("named_out", "its name is that of the state with the plug out", LAYOUT),
        _flag("named_live", "its name is live", LAYOUT),
        _flag("precharges", "its name says that it precharges", LAYOUT),
        _text("past_resistor", "devices it closes past the precharge resistor"),
        _number("past_resistors", "", "how many these are"),
    ),
)

TAP = Table(
    "tap",
    "One row per sense tap.",
    "tap",
    (
        _text("tap", "name of the tap"),
        _text("planned_on", "where the layout has it"),
        _flag("as_drawn", "it was recorded where the layout has it", BOTH, "where the tap sits", "eyes"),
        _text("on", "where it was recorded", RECORD, "where the tap sits", "eyes"),
    ),
)

SEQUENCE = Table(
    "sequence",
    "One row per kind and time of acts that stand before what must come first; all other acts of a kind in one row.",
    "pair",
    (
        _text("pair", "what the two acts are about, and both of them with their times", RECORD),
        _text("about", "what the two acts are about", RECORD),
        _text("first", "the act that must come first"),
        _text("first_at", "its time", RECORD),
        _text("second", "the act that must come after it"),
        _text("second_at", "its time", RECORD),
        _number("gap_h", "h", "time from the first to the second, the most that the two entries allow", RECORD),
        _text("reason", "why the one must come first"),
    ),
)

TABLES: tuple[Table, ...] = (
    PACK,
    MODULE,
    CONDUCTOR,
    DEVICE,
    SECTION,
    GROUP,
    STRING,
    DRAWN_LOOP,
    LOOP,
    JOINT,
    JOINT_TYPE,
    MODULE_TYPE,
    QUANTITY,
    PART,
    TOOL,
    INSTRUMENT,
    COVER,
    CAP,
    GAP,
    STACK,
    PLACED,
    SPAN,
    DRAWN_COVER,
    ORDER,
    STEP,
    READING,
    SUM,
    STATE,
    TAP,
    SEQUENCE,
)


@cache
def table_by_name() -> dict[str, Table]:
    """Return every fact table by its name."""
    return {table.name: table for table in TABLES}
