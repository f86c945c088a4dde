"""Facts about joints, their hardware and tools."""

from __future__ import annotations

from packcheck.facts.tables.columns import LAYOUT, RECORD, flag, measured, number, proof, text
from packcheck.rules.catalogue import Table

JOINT = Table(
    "joint",
    "One row per joint of the layout whose joint type has a thread.",
    "joint",
    (
        text("joint", "name of the joint: conductor/landing"),
        text("joint_type", "joint type"),
        flag("fitted", "the conductor of this joint is fitted", RECORD, "whether it is fitted", "eyes"),
        flag("carries_pack_current", "in the layout the pack's current runs through it", LAYOUT),
        flag("band_stated", "the layout states a torque band for it", LAYOUT),
        text("band_from", "where the torque band comes from: the layout, or the shop profile's default"),
        number(
            "torque_low_n_m",
            "N·m",
            "least torque",
            LAYOUT,
            "a torque band with two ends in the layout or the shop profile",
        ),
        number(
            "torque_high_n_m",
            "N·m",
            "most torque",
            LAYOUT,
            "a torque band with two ends in the layout or the shop profile",
        ),
        measured("torque_n_m", "N·m", "torque applied", "torque", "click wrench"),
        flag("torque_written", "a torque was written down for it", RECORD),
        text(
            "torque_slip",
            "a unit or decimal slip that would bring the torque into its band, in words",
            RECORD,
            "torque",
            "click wrench",
        ),
        flag(
            "torque_slipped",
            "the torque fits its band after a unit or decimal slip, and not before",
            RECORD,
            "torque",
            "click wrench",
        ),
        text("tool_kind", "kind of tool the torque was applied with", RECORD, "which tool applied the torque", "eyes"),
        number("torque_read_n_m", "N·m", "torque as written down", RECORD, "torque", "click wrench"),
        number("tool_low_n_m", "N·m", "lowest torque the tool is fit for", RECORD, "range of the torque tool", "eyes"),
        number(
            "tool_high_n_m", "N·m", "highest torque the tool is fit for", RECORD, "range of the torque tool", "eyes"
        ),
        flag(
            "torqued_after_clamp",
            "the torque was applied after the stack was clamped",
            RECORD,
            "when the stack was clamped and when the joint was torqued",
            "clock",
        ),
        measured("resistance_ohm", "Ω", "resistance across the joint", "joint resistance", "micro-ohmmeter"),
        number("resistance_high_ohm", "Ω", "most resistance the layout accepts"),
        measured(
            "peer_median_ohm",
            "Ω",
            "median resistance of the joints of its type",
            "resistance of the joints beside it",
            "micro-ohmmeter",
        ),
        measured(
            "above_peers_ohm",
            "Ω",
            "by how much it reads above that median, one meter's scale error counted once",
            "resistance",
            "micro-ohmmeter",
        ),
        number("peers", "", "joints of its type whose resistance was read", RECORD),
        proof("rechecked", "the result of a re-check was recorded", RECORD, "re-check", "click wrench"),
        text("recheck", "what the re-check found: held or moved", RECORD, "re-check", "click wrench"),
        number("recheck_after_h", "h", "time between torque and re-check that the layout asks for"),
        number(
            "recheck_waited_h",
            "h",
            "time between torque and re-check",
            RECORD,
            "when the joint was torqued and when re-checked",
            "clock",
        ),
        flag("recheck_asked", "the layout asks for a re-check", LAYOUT),
        flag("recheck_told", "the record tells of a re-check, asked for or not", RECORD),
        text("mark", "colour of the paint mark, none where there is none", RECORD, "paint mark", "eyes"),
        flag("marked", "a paint mark was put on", RECORD, "paint mark", "eyes"),
    ),
)


JOINT_TYPE = Table(
    "joint_type",
    "One row per joint type of the layout that has a thread.",
    "joint_type",
    (
        text("joint_type", "name of the joint type"),
        text("thread", "thread"),
        text("property_class", "property class of the thread's bolt or stud"),
        flag("band_stated", "the layout states a torque band", LAYOUT),
        text("band_from", "where the torque band comes from: the layout, the shop profile's default, or nowhere"),
        number("torque_low_n_m", "N·m", "least torque", LAYOUT, "a torque band in the layout or the shop profile"),
        number("torque_high_n_m", "N·m", "most torque", LAYOUT, "a torque band in the layout or the shop profile"),
        flag("class_known", "thread and class are in the tables of proof loads", LAYOUT),
        number(
            "proof_load_n",
            "N",
            "proof load of thread and class",
            "ISO 898-1, ISO 3506-1",
            "thread and property class in the layout",
        ),
        number(
            "clamp_load_at_high_n",
            "N",
            "clamp load at the most torque, middle nut factor",
            "T = K F d",
            "thread and torque band in the layout",
        ),
        number(
            "clamp_fraction",
            "",
            "clamp load at the most torque over proof load, middle nut factor",
            "T = K F d",
            "thread, class and torque band in the layout",
        ),
        number(
            "stress_fraction",
            "",
            "combined thread stress while tightening at the most torque over proof stress",
            "tension and torsion",
            "thread, class and torque band in the layout",
        ),
    ),
)


STACK = Table(
    "stack",
    "One row per joint type in use whose stack the layout states.",
    "joint_type",
    (
        text("joint_type", "name of the joint type"),
        text("stack", "parts of the stack, from the post outwards"),
        flag("has_conductor", "a bar or lug is one of them", LAYOUT),
        flag("conductor_on_post", "nothing lies between the post and the first bar or lug", LAYOUT),
        text("under", "what lies between"),
        flag("has_fastener", "a nut, bolt or screw is one of them", LAYOUT),
        flag("has_washer", "a washer or flange lies over the conductor", LAYOUT),
        text("thread", "thread of the joint type"),
        flag("sizes_fit", "every part with a size in its name or standard has that of the thread", LAYOUT),
        text("misfits", "the parts that have another"),
        flag("all_described", "every part of the stack is described under parts", LAYOUT),
        text("undescribed", "the parts that are not"),
    ),
)


PART = Table(
    "part",
    "The hardware ledger: one row per kind of loose part.",
    "part",
    (
        text("part", "name of the part"),
        flag("in_layout", "the layout uses this part", LAYOUT),
        number("needed", "", "how many the layout needs"),
        number("issued", "", "how many were issued", RECORD, "number issued", "count"),
        number("fitted", "", "how many were fitted", RECORD, "number fitted", "count"),
        number("returned", "", "how many were returned", RECORD, "number returned", "count"),
        number("scrapped", "", "how many were scrapped", RECORD, "number scrapped", "count"),
        number(
            "unaccounted",
            "",
            "issued less fitted, returned and scrapped",
            RECORD,
            "numbers issued, fitted, returned, scrapped",
            "count",
        ),
        number("largest_mm", "mm", "its largest dimension"),
        flag("conducts", "it conducts", LAYOUT),
        text("could_bridge", "where a missing one could bridge two conductors, in words"),
    ),
)


TOOL = Table(
    "tool",
    "One row per tool taken to the pack.",
    "tool",
    (
        text("tool", "name of the tool", RECORD),
        number("out", "", "how many were taken out", RECORD, "number taken out", "count"),
        number("back", "", "how many came back", RECORD, "number that came back", "count"),
    ),
)


ALIKE = Table(
    "alike",
    "One row per type of joint, and of module, of which resistances were read: the one that stands most often.",
    "alike",
    (
        text("alike", "what was read: joints or modules, and their type"),
        text("value", "the resistance that stands most often, as it was written", RECORD),
        number("count", "", "how many of them it stands at", RECORD),
        number("of", "", "how many of them were read", RECORD),
        text("step", "what the last digit is worth", RECORD),
        number("one_in", "", "of how many such sets chance writes so many alike in one, at the least", RECORD),
    ),
)
