"""Facts about the order of work."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, number, proof, text
from packcheck.rules.catalogue import Table

ORDER = Table(
    "order",
    "The order of work that a layout states: one row, none where it states no order.",
    "order",
    (
        text("order", "name of the order"),
        number(
            "left_out", "", "conductors, clamp, covers and disconnects that no step names, leads of named devices apart"
        ),
        text("left_out_names", "their names"),
        number("unknown", "", "words of the order that name nothing in the layout"),
        text("unknown_words", "these words, with their step"),
        flag("clamp_first", "the stack is clamped before the first bar or link goes on, or no step clamps it", LAYOUT),
        text("before_clamp", "the bars and links that go on before it, with their steps"),
        flag("covers_last", "no conductor goes on under a cover that is on already", LAYOUT),
        text("under_covers", "the conductors that do, with their steps and the covers over them"),
        number("joins_in_class_b", "", "acts that join two sections with modules into one above 60 V"),
        number(
            "sections_needed",
            "",
            "fewest runs within 60 V, at the highest cell voltage, that the modules between the mains can be cut into",
        ),
        number("least_joins", "", "fewest joins above 60 V that any order has: one less than the sections needed"),
    ),
)


STEP = Table(
    "step",
    "One row per step of the layout's order that fits conductors or a disconnect; a step of several kinds has parts.",
    "step",
    (
        text("step", "number of the step and what it fits"),
        text("work", "what it fits"),
        flag("is_disconnect", "it puts a disconnect in", LAYOUT),
        number("joins_in_class_b", "", "acts of this step that join two sections with modules into one above 60 V"),
        flag("planned_class_b", "the order says 'class B' in this step or an earlier one", LAYOUT),
        number("rest_v", "V", "voltage of the largest section after it, modules at the middle of their rest window"),
        number("highest_v", "V", "voltage of the largest section after it, modules at their highest"),
        number("covers_off", "", "covers of the layout that are not on yet"),
        text("covers_off_names", "their names"),
        number("faces_open", "", "faces on which a fitted bar or link is not covered"),
        text("faces_open_names", "their names"),
        number("bare_beside", "", "fitted bars and links, not those of this step, that no cover lies over"),
        text("bare_beside_names", "their names"),
    ),
)


WORKED = Table(
    "worked",
    "One row per step of the work that a record tells and that put something on or took it off.",
    "step",
    (
        text("step", "number of the step", RECORD),
        text("work", "what was put on or taken off", RECORD),
        number(
            "gloves_for_v", "V", "what gloves have to be for: the highest voltage of the pack, or that within reach"
        ),
        number(
            "touch_v",
            "V",
            "highest voltage between two bare conductors of one section while it was done, modules at their highest;"
            " for a disconnect put in, that of the whole section",
            BOTH,
        ),
        text(
            "gloves",
            "class of the rubber gloves worn with the day of their last test, or none",
            RECORD,
            "class of the gloves",
            "eyes",
        ),
        number("gloves_use_v", "V", "DC voltage they are for; 0 for none", RECORD, "class of the gloves", "eyes"),
        number(
            "gloves_months",
            "",
            "months since they were tested, one begun counted as whole; -1 where that was after the step",
            RECORD,
            "test date of the gloves, and date of the step",
            "eyes",
        ),
        text("by", "who did it", RECORD, "who did the step", "eyes"),
        text("second", "the second person, or none", RECORD, "who the second person was", "eyes"),
        flag(
            "two_people",
            "a second person was there who is not the first under another spelling",
            RECORD,
            "who did the step, and who the second person was",
            "eyes",
        ),
        flag("people_listed", "they are among the people of the record", RECORD, "who did the step", "eyes"),
        number("faces_open", "", "faces with bare posts or bars in a section, once a conductor is on", BOTH),
        text("faces_open_names", "their names", BOTH),
        flag("is_disconnect", "it put a disconnect in", RECORD),
        number("covers_off", "", "covers of the layout that were off while the disconnect went in", BOTH),
        text("covers_off_names", "their names", BOTH),
        flag("order_stated", "the layout states an order of work", LAYOUT),
        number("covers_due", "", "covers that the layout's order has on before this, and that were off", BOTH),
        text("covers_due_names", "their names", BOTH),
        number("doubled", "", "conductors, covers and disconnects put on that were on already", RECORD),
        text("doubled_names", "their names", RECORD),
        number("without_module", "", "conductors put on at a position whose module came later", BOTH),
        text("without_module_names", "their names", BOTH),
    ),
)


TOLD = Table(
    "told",
    "One row about the work of a record that tells any: whether its steps tell of all that is fitted.",
    "told",
    (
        text("told", "what the steps are held against"),
        proof(
            "steps_told",
            "a step put on each module, conductor and cover that the order names and that is fitted",
            BOTH,
            "the step of the work in which it was put on",
            "eyes",
        ),
        number(
            "left_off",
            "",
            "modules, conductors, devices and covers, and the clamp, that the work took off and did not put on again,"
            " and that the record has fitted; a disconnect is none of them",
            RECORD,
        ),
        text("left_off_names", "their names", RECORD),
    ),
)
