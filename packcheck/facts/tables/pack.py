"""Facts about the pack as a whole and what it is made of: groups, strings, states, sections."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, proof, text
from packcheck.rules.catalogue import SOLVED, Table

PACK = Table(
    "pack",
    "The pack as a whole: one row.",
    "pack",
    (
        text("pack", "name of the layout"),
        number("modules", "", "modules the layout has"),
        number("highest_v", "V", "voltage between the mains with every cell at its highest"),
        number(
            "prospective_a", "A", "current of a short between the mains, solved with every cell at its highest", SOLVED
        ),
        flag("layout_path", "the layout joins main − to main + with everything closed", LAYOUT),
        flag("layout_uses_every_module", "every module of the layout lies on the path between the mains", LAYOUT),
        text("layout_unused", "modules of the layout that lie beside the path"),
        flag(
            "layout_loops_only_in_groups",
            "the layout has no closed loop through a module but its parallel groups and strings",
            LAYOUT,
        ),
        flag("layout_modules_aid", "every module of the layout drives from main − to main +", LAYOUT),
        text("layout_against", "modules the layout has turned against the string"),
        number("layout_chemistries", "", "chemistries of the modules that the layout has in its positions"),
        text("layout_chemistry_names", "these chemistries, each with the positions that have it"),
        flag("has_disconnect", "the layout has a service disconnect or an isolator", LAYOUT),
        flag("has_fuse", "the layout has a fuse in the path", LAYOUT),
        flag("layout_hash_recorded", "the record says which bytes of the layout it was made for", RECORD),
        flag("layout_unchanged", "they are those of the layout it is judged against", BOTH),
        text("layout_sha256", "the first digits of the SHA-256 of the layout"),
        text("recorded_sha256", "the first digits of the one in the record", RECORD),
        flag(
            "path",
            "main − and main + are joined through the fitted parts, everything closed",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        proof(
            "extra_ruled_out",
            "the record states that nothing conducts that it does not list",
            RECORD,
            "the statement `extra: none`",
            "eyes",
        ),
        measured(
            "mains_v",
            "V",
            "main + against main −, everything closed, from the recorded modules and facings",
            "voltage and facing of every module",
            "multimeter",
            SOLVED,
        ),
        measured(
            "mains_read_v",
            "V",
            "reading of main + against main − in a state that joins them",
            "voltage from main + to main −",
            "multimeter",
        ),
        flag(
            "clamped",
            "the stack was brought to its length before the record's joints",
            RECORD,
            "length of the clamped stack",
            "rule",
        ),
        measured("clamp_length_mm", "mm", "length of the clamped stack", "length of the clamped stack", "rule"),
        flag("clamp_length_bare", "the layout states it by one number, without a band", LAYOUT),
        flag("clamp_length_stated", "the layout states the length of the clamped stack", LAYOUT),
        number("clamp_length_low_mm", "mm", "shortest gauge length"),
        number("clamp_length_high_mm", "mm", "longest gauge length"),
        measured("clamp_torque_n_m", "N·m", "torque of the clamp rods", "torque of the clamp rods", "click wrench"),
        flag("clamp_torque_bare", "the layout states it by one number, without a band", LAYOUT),
        flag("clamp_torque_stated", "the layout states the torque of the clamp rods", LAYOUT),
        number("clamp_torque_low_n_m", "N·m", "least torque of the clamp rods"),
        number("clamp_torque_high_n_m", "N·m", "most torque of the clamp rods"),
        proof("tools_counted", "the tools taken out and brought back are counted", RECORD, "tools out and in", "count"),
        proof(
            "isolation_tested",
            "isolation tests of the record, read to the end, lie over the whole pack",
            RECORD,
            "isolation test of the whole pack",
            "multimeter",
        ),
        flag("isolation_asked", "the layout asks for an isolation resistance", LAYOUT),
        number("isolation_ohm_per_v", "Ω/V", "the least isolation that the layout asks for; 0 where it names none"),
        flag("chassis_bonded", "a conductor joins a live part to the chassis, as drawn", LAYOUT),
        flag("conductors_lead_on", "every conductor leads on to a main, an outlet, a load or the chassis", LAYOUT),
        text("idle_conductors", "the conductors that do not, as drawn"),
        flag("tapped", "the layout has two sense taps or more", LAYOUT),
        number("unsensed", "", "modules beyond the first or the last tap of their string, as drawn"),
        text("unsensed_names", "these modules"),
        flag("has_clamp", "the layout has a clamp", LAYOUT),
        flag("stack_known", "the clamp has a length, and every module a size", LAYOUT),
        number("stack_mm", "mm", "length of the modules along the axis nearest to the clamp's length"),
        number("posts_uncovered", "", "posts under no cover and no insulating cap once all is fitted"),
        text("posts_uncovered_names", "their places"),
        text("faces_uncovered", "the faces they lie on"),
        flag("has_vents", "the layout has vent lines", LAYOUT),
        flag("vents_serve_all", "every module is served by a vent line", LAYOUT),
        text("unvented", "the modules that none serves"),
        text("vent_lines", "the vent lines, with what they serve"),
        flag("vents_lead_out", "every vent line leads to an outlet, through other lines or by itself", LAYOUT),
        text("vents_without_outlet", "the lines that lead to none: inside of the pack, or round in a circle"),
    ),
)


GROUP = Table(
    "group",
    "One row per parallel group of two or more modules.",
    "group",
    (
        text("group", "name of the group"),
        number("planned_members", "", "modules in it, as drawn"),
        number("usual_members", "", "modules in most groups of this layout"),
        number(
            "joined_members",
            "",
            "modules of it that share its current, as built",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        measured(
            "spread_v",
            "V",
            "highest less lowest rest voltage in the group, with their signs as built",
            "rest voltage and facing of its modules",
            "multimeter",
        ),
        measured(
            "surge_a",
            "A",
            "largest current between two of its modules at the moment they are joined",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        number("surge_limit_a", "A", "largest current the layout or the shop allows at joining"),
    ),
)


STRING = Table(
    "string",
    "One row per string that is joined in parallel with others.",
    "string",
    (
        text("string", "name of the string"),
        text("peers", "the strings beside it"),
        number("fuses", "", "fuses in it alone, as drawn"),
        flag("fuses_stated", "it and the strings beside it have fuses of their own with a rating", LAYOUT),
        number("fuse_a", "A", "smallest rating of these"),
        number("peer_fuse_a", "A", "smallest rating of the fuses of the strings beside it"),
        number("modules", "", "modules in it, as drawn"),
        number("peer_modules", "", "modules in the strings beside it, as drawn"),
        number(
            "joined_modules",
            "",
            "modules of it that lie in the current path, as built",
            SOLVED,
            "which conductors are fitted",
            "eyes",
        ),
        measured(
            "voltage_v",
            "V",
            "sum of its modules' rest voltages, with their signs as built",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        measured(
            "difference_v",
            "V",
            "largest difference from the strings beside it",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        measured(
            "surge_a",
            "A",
            "largest current into or out of it at the moment the strings are joined",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        number("surge_limit_a", "A", "largest current the layout or the shop allows at joining"),
    ),
)


STATE = Table(
    "state",
    "One row per switching state of the layout.",
    "state",
    (
        text("state", "name of the state"),
        flag("joins_mains", "with its devices closed, main − and main + are joined through the pack", LAYOUT),
        text("live_states", "the states of the layout that join the mains"),
        text("closed", "the devices it closes"),
        text("closed_disconnects", "the service disconnects it closes"),
        flag("named_out", "its name is that of the state with the plug out", LAYOUT),
        flag("named_live", "its name is live", LAYOUT),
        flag("precharges", "its name says that it precharges", LAYOUT),
        text("past_resistor", "devices it closes past the precharge resistor"),
        number("past_resistors", "", "how many these are"),
    ),
)


SECTION = Table(
    "section",
    "Runs of modules that may be turned as a whole: sense blocks, trays, the stack.",
    "section",
    (
        text("section", "name of the section"),
        text("kind", "block, tray or stack"),
        number("modules", "", "modules in it"),
        number("reversed", "", "modules of it recorded against the planned facing, once all are recorded", BOTH),
        flag("facings_known", "the facing of every module of it was recorded", RECORD),
        flag("all_reversed", "every module of it is recorded against the planned facing", BOTH),
    ),
)
