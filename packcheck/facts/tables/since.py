"""Facts about what two records of one pack say of the same thing."""

from __future__ import annotations

from packcheck.facts.tables.columns import RECORD, flag, measured, number, text
from packcheck.rules.catalogue import Table

SINCE = Table(
    "since",
    "One row per thing that was read in a record and in an earlier one of the same pack; only the command compare fills"
    " it.",
    "since",
    (
        text("since", "what was read, and of what", RECORD),
        text("what", "rest, module resistance, capacity, joint resistance or isolation", RECORD),
        text("first", "what the earlier record has, in words", RECORD),
        text("later", "what this record has, in words", RECORD),
        number("gap_h", "h", "time from the earlier reading to the later", RECORD,
               "date and time of both readings", "eyes"),
        flag("same", "the same module was read both times, by its serial; true of joints and of isolation", RECORD,
             "serial number in both records", "eyes"),
        number("cells", "", "cells in series of the module; 0 for anything else"),
        measured("lost_v", "V", "how much lower a rest voltage is than it was", "rest voltage", "multimeter"),
        number("peers", "", "modules of its type whose rest voltage was read both times, this one included", RECORD),
        number("peer_lost_v", "V", "the middle one of what they lost", RECORD),
        measured("first_ohm", "Ω", "a resistance as it was", "resistance", "micro-ohmmeter"),
        measured("later_ohm", "Ω", "the same as it is", "resistance", "micro-ohmmeter"),
    ),
)  # fmt: skip
