"""Facts about conductors and devices, and the rings they close."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, proof, text
from packcheck.rules.catalogue import SOLVED, Column, Table

CONDUCTOR = Table(
    "conductor",
    "One row per bar, link or lead: of the layout, or fitted beyond it.",
    "conductor",
    (
        text("conductor", "name of the conductor"),
        text("kind", "bar, link or lead"),
        flag("planned", "the layout has this conductor", LAYOUT),
        flag("fitted", "the conductor is fitted", RECORD, "whether it is fitted", "eyes"),
        text("planned_lands", "where the layout lands it"),
        text("lands", "where it was recorded to land", RECORD, "where it lands", "eyes"),
        flag("lands_as_drawn", "it lands exactly where the layout has it", BOTH, "where it lands", "eyes"),
        flag(
            "posts_as_drawn",
            "it joins + and − posts as the layout does, by the facings recorded",
            BOTH,
            "where + is on the modules it joins",
            "eyes",
        ),
        flag(
            "joins_like_posts",
            "it joins posts of one sign only, where the layout joins + to −",
            BOTH,
            "where + is on the modules it joins",
            "eyes",
        ),
        flag(
            "doubles_another",
            "it joins only nodes that another fitted conductor already joins",
            BOTH,
            "where it lands",
            "eyes",
        ),
        text("doubles", "the conductor it doubles", RECORD),
        flag("joins_anew", "it is recorded as fitted where no other conductor joins the same nodes", RECORD),
        flag("bypasses_disconnect", "it joins the two sides of an open disconnect", BOTH, "where it lands", "eyes"),
        flag("carries_pack_current", "in the layout the pack's current runs through it", LAYOUT),
        flag("serves_branch", "in the layout it leads to an outlet, a load or the chassis, beside the path", LAYOUT),
        flag(
            "in_branch",
            "it lies on the way between two of mains, outlets, loads and chassis, through fitted parts",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        flag(
            "confirmable",
            "a reading can run across it and a module with every switch open, and no other conductor lies beside it",
            LAYOUT,
        ),
        flag(
            "in_current_path",
            "it lies on a path from main − to main + through fitted parts",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        proof(
            "confirmed",
            "a reading across it, sharp enough to show it missing, agrees with the record",
            BOTH,
            "a voltage reading across the conductor",
            "multimeter",
        ),
        text("planned_part", "part number the layout has here"),
        text("part", "part number fitted", RECORD, "part number", "eyes"),
        flag("part_as_drawn", "the part fitted is the one drawn", BOTH, "part number", "eyes"),
        flag("inspected", "its condition was recorded", RECORD),
        proof("condition_recorded", "its condition was recorded", RECORD, "condition", "eyes"),
        text("condition", "condition found: sound, cracked, bent, thin, corroded", RECORD),
        text("first_condition", "how it was found at an earlier look, unless that was sound too; else empty", RECORD),
        flag(
            "second_opinion",
            "after that another was put in, or a second person found it sound",
            RECORD,
            "who looked at it",
            "eyes",
        ),
    ),
)


OUTLET = Table(
    "outlet",
    "One row per outlet of the layout: where anything but the mains meets the pack.",
    "outlet",
    (
        text("outlet", "name of the outlet"),
        text("ends", "the nodes of its ends"),
        flag("fed_by_pack", "its voltage comes from the pack, not from outside as that of an interlock loop", LAYOUT),
        flag("at_pack", "with every switch closed, something joins it to the modules", LAYOUT),
        flag("two_ended", "it has a positive and a negative end", LAYOUT),
        flag("joined", "modules stand between its ends, or its end and a main, with every switch closed", LAYOUT),
        number("voltage_v", "V", "voltage there, every switch closed and every cell at its highest", SOLVED),
        number("prospective_a", "A", "current of a short there, every cell at its highest", SOLVED),
        flag("fused", "no way to it, with every switch closed, leads round all fuses", LAYOUT),
        number("fuse_a", "A", "smallest rating of the fuses that a short there runs through"),
        number("rating_a", "A", "current that its leads, and what it feeds, are made for"),
        flag("rated", "its rating is stated, and that of a fuse before it", LAYOUT),
        number("open_v", "V", "voltage at it, to any terminal or the chassis, with every switch open", SOLVED),
        text("state_out", "the state of the layout that is called plug out"),
        flag("closed_out", "that state closes a switch", LAYOUT),
        text("closes_out", "the switches that it closes"),
        number("out_v", "V", "voltage at it, to any terminal or the chassis, in that state", SOLVED),
    ),
)


DEVICE = Table(
    "device",
    "One row per device of the layout.",
    "device",
    (
        text("device", "name of the device"),
        text("kind", "what the device is, as the layout has it: fuse, main contactor, heater and the like"),
        flag("fitted", "the device is fitted", RECORD, "whether it is fitted", "eyes"),
        text("seen", "how it was seen before the first bar: open or closed; empty where nobody said", RECORD),
        text("stands", "how it stands while the pack is put together: open or closed; empty where it is never either"),
        flag("directed", "the layout states a direction for it", LAYOUT),
        flag("directed_in_path", "it has a direction and, as drawn, carries the pack's current", LAYOUT),
        flag("direction_fits_path", "as drawn, the discharge current of the pack passes it as it is marked", LAYOUT),
        flag("direction_as_drawn", "its arrow points as the layout has it", BOTH, "direction of its arrow", "eyes"),
        flag(
            "interrupts",
            "with every switch open, nothing joins its two sides",
            BOTH,
            "which conductors are fitted",
            "eyes",
        ),
        flag("acts_in_layout", "drawn on a path between the mains, with no conductor past it", LAYOUT),
        flag("acts_in_branch", "drawn on the way to a main, an outlet, a load or the chassis, nothing past it", LAYOUT),
        flag("interrupts_in_layout", "the same, as drawn", LAYOUT),
        text("shunted_by", "the resistors and heaters drawn past a disconnect or a fuse, no module between", LAYOUT),
        text("bypassed_by", "the fitted conductors, not in the layout, that join its two sides", RECORD),
        flag("watches_chassis", "an isolation monitor between a live part and the chassis, as drawn", LAYOUT),
        number("load_a", "A", "current that a heater takes with every cell at its highest", SOLVED),
        number("load_fuse_a", "A", "smallest rating of the fuses that a heater's current runs through, as drawn"),
        flag("on_with_plug_in", "a heater takes current as soon as the disconnects are in", LAYOUT),
        number("volts_v", "V", "DC voltage it is rated for, as drawn"),
        number("rating_a", "A", "rated current, as drawn"),
        number("resistance_ohm", "Ω", "its resistance, as drawn"),
        number("breaks_a", "A", "breaking capacity, as drawn"),
        number("highest_v", "V", "largest voltage that may lie across it once it is open, at the highest cell voltage"),
        number("prospective_a", "A", "short-circuit current through it at the highest cell voltage", SOLVED),
        flag("switches", "it is drawn to part the pack's current path, and its DC voltage is stated", LAYOUT),
        flag("current_stated", "its rated current is stated, and that of a fuse in series with it", LAYOUT),
        number("fuse_a", "A", "smallest rating of the fuses in series with it, as drawn"),
        text("planned_part", "part number the layout has here"),
        text("part", "part number fitted", RECORD, "part number", "eyes"),
        number(
            "fitted_volts_v", "V", "DC voltage printed on the fitted part", RECORD, "DC voltage printed on it", "eyes"
        ),
        number(
            "fitted_rating_a", "A", "current printed on the fitted part", RECORD, "rated current printed on it", "eyes"
        ),
        number(
            "fitted_breaks_a",
            "A",
            "breaking capacity printed on the fitted part",
            RECORD,
            "breaking capacity printed on it",
            "eyes",
        ),
        flag("parts_mains", "a disconnect or a contactor that parts what lies between the mains, as drawn", LAYOUT),
        flag("parts_branch", "a disconnect that parts a branch from the modules that feed it, as drawn", LAYOUT),
        flag("parts_outlet", "a contactor that parts an outlet from the modules that feed it, as drawn", LAYOUT),
        measured(
            "open_read_v",
            "V",
            "what was read past it while it was open, where closing it alone would show a voltage; without its sign",
            "voltage past it while it is open",
            "multimeter",
        ),
        number(
            "open_bridged_v", "V", "the least that reading shows if it is bridged or its contacts are welded", SOLVED
        ),
    ),
)


def _ring_columns(source: str) -> tuple[Column, ...]:
    """Return the columns that rings of the drawing and of the build share."""
    return (
        text("loop", "name of the loop"),
        text("closed_by", "the conductors that close it"),
        text("through", "the modules it runs through"),
        number("modules", "", "modules in the loop"),
        flag("flows_now", "it is closed with every switch open", source),
        text("flows", "when the current flows, in words"),
        number("module_v", "V", "the greatest voltage of one module in it"),
        number("resistance_ohm", "Ω", "resistance of the loop", SOLVED),
    )


DRAWN_LOOP = Table(
    "drawn_loop",
    "Loops of the layout, through modules, that their voltages drive a current around: one row per part of the pack.",
    "loop",
    (
        *_ring_columns(LAYOUT),
        number("driving_v", "V", "driving voltage: the sum of the voltages around the loop, modules at rest", SOLVED),
        number("current_a", "A", "current in it with nothing connected outside", SOLVED),
        number("power_w", "W", "power turned into heat in the loop", SOLVED),
    ),
)


LOOP = Table(
    "loop",
    "Loops of the build, through modules, that are driven or that a part not as drawn closes.",
    "loop",
    (
        *_ring_columns(BOTH),
        measured(
            "driving_v",
            "V",
            "driving voltage: the sum of the voltages around the loop",
            "rest voltage and facing of its modules",
            "multimeter",
            SOLVED,
        ),
        number("current_a", "A", "prospective current", SOLVED, "rest voltage and facing of its modules", "multimeter"),
        number(
            "power_w",
            "W",
            "power turned into heat in the loop",
            SOLVED,
            "rest voltage and facing of its modules",
            "multimeter",
        ),
    ),
)
