"""Facts about the order of work."""

from __future__ import annotations

from packcheck.facts.tables.columns import LAYOUT, flag, number, text
from packcheck.rules.catalogue import Table

ORDER = Table(
    "order",
    "The order of work that a layout states: one row, none where it states no order.",
    "order",
    (
        text("order", "name of the order"),
        number("left_out", "", "conductors, covers and disconnects that no step names, leads of named devices apart"),
        text("left_out_names", "their names"),
        number("unknown", "", "words of the order that name nothing in the layout"),
        text("unknown_words", "these words, with their step"),
        flag("clamp_first", "the stack is clamped before the first bar or link goes on, or no step clamps it", LAYOUT),
        text("before_clamp", "the bars and links that go on before it, with their steps"),
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
