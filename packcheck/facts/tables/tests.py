"""Facts about tests: each point of those that a layout asks for, all points of one together, and isolation."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, text
from packcheck.rules.catalogue import SOLVED, Table

FOUND = "what the test finds"

TEST_POINT = Table(
    "test_point",
    "One row per point of each test that the layout asks for.",
    "test_point",
    (
        text("test_point", "name of the test and of its point, as a record has it"),
        text("test", "name of the test"),
        text("kind", "kind of the test; own for one that the layout describes by itself"),
        text("point", "name of the point"),
        text("gate", "gate that a test of one's own comes before"),
        text("asked", "what the point has to be, in words", BOTH),
        text("reading", "what was found, as it stands in the record", RECORD),
        text("basis", "where the layout says that the test comes from"),
        measured("value", "", "what was found, in the unit of its quantity, brought to what it is compared with",
                 FOUND, "instrument"),
        flag("in_words", "the test finds a word, no quantity", LAYOUT),
        flag("asks_least", "the test has a lower limit", LAYOUT),
        number("least", "", "lower limit, in the same unit", BOTH, "condition in which the test was taken"),
        flag("asks_most", "the test has an upper limit", LAYOUT),
        number("most", "", "upper limit, in the same unit", BOTH, "condition in which the test was taken"),
        flag("word_right", "the word that was found is the one that must be", RECORD, FOUND, "eyes"),
        flag("condition_asked", "the layout says under which condition it is taken", LAYOUT),
        text("condition_to_be", "that condition, in words"),
        text("condition_read", "the condition under which it was taken, as it stands in the record", RECORD),
        measured("condition", "", "the condition under which it was taken, in the unit of its quantity",
                 "condition in which the test was taken", "instrument"),
        flag("asks_least_condition", "the condition has a lower limit", LAYOUT),
        number("least_condition", "", "lower limit of the condition"),
        flag("asks_most_condition", "the condition has an upper limit", LAYOUT),
        number("most_condition", "", "upper limit of the condition"),
        flag("age_asked", "the layout says how old the test may be", LAYOUT),
        number("age_h", "h", "time from the test to the last that the record tells of", RECORD,
               "time at which the test was taken", "clock"),
        number("most_age_h", "h", "age that the test may have"),
        text("kind_asked", "kind of instrument that the test is to be taken with"),
        flag("kind_by_layout", "the layout names that kind itself, and not the kind of test alone", LAYOUT),
        flag("read_by_instrument", "an instrument that can read the quantity took it, where a kind of one is asked",
             RECORD),
        text("kind_used", "the instrument that took it, and its kind", RECORD),
        flag("kind_as_asked", "it is of the kind that is asked", BOTH, "kind of the instrument"),
        flag("photo_named", "the record names the file of a photo", RECORD),
        text("photo_file", "that file, beside the record or below", RECORD),
        flag("photo_right", "the file has the SHA-256 that was found", RECORD, "the photo, beside the record",
             "camera"),
        text("photo_state", "what became of the file: its number, or why it has none", RECORD),
    ),
)  # fmt: skip

TEST = Table(
    "test",
    "One row per test that the layout asks for, about all of its points together.",
    "test",
    (
        text("test", "name of the test"),
        text("kind", "kind of the test"),
        flag("spread_asked", "the layout says how far its points may lie apart", LAYOUT),
        measured("spread", "", "from the lowest to the highest of its points, in the unit of its quantity", FOUND,
                 "instrument"),
        number("most_spread", "", "how far its points may lie apart"),
        text("spread_to_be", "how far its points may lie apart, in words"),
        text("spread_words", "the lowest and the highest of its points, and how far they lie apart", RECORD),
        flag("answers_asked", "what its points find must be alike, or must differ", LAYOUT),
        flag("answers_right", "they are alike, or differ, as they must", RECORD, FOUND, "eyes"),
        text("answers", "the points that are not as they must be, with what they found", RECORD),
        text("answers_to_be", "whether they must be alike or differ"),
    ),
)  # fmt: skip

RECORDED = Table(
    "recorded",
    "One row per kind of number that a record holds: whether each of them can be what it says.",
    "recorded",
    (
        text("recorded", "what the numbers are of", RECORD),
        flag("likely", "none of them lies, with all of its interval, where its kind is hardly ever found", BOTH),
        text("unlikely", "those that do, as they stand in the record", RECORD),
        text("likely_band", "what is likely of the first of them, in words", BOTH),
    ),
)


_READINGS = "pole to pole, each pole to the chassis, and the higher with a known resistor in"

ISOLATION = Table(
    "isolation",
    "One row per isolation test of the record, of the whole pack or of a part of it.",
    "isolation",
    (
        text("isolation", "name of the test", RECORD),
        text("between", "its two poles", RECORD),
        text("state", "switching state", RECORD),
        measured("isolation_ohm", "Ω", "the smaller resistance of the two poles to the chassis, by the form of the"
                 " United Nations", _READINGS, "multimeter"),
        measured("us_ohm", "Ω", "the same by the form of the United States, lower by the meter's own", _READINGS,
                 "multimeter"),
        measured("total_ohm", "Ω", "both resistances in parallel: what a body that touches a pole has in its way",
                 _READINGS, "multimeter"),
        number("least_ohm", "Ω", "the least that the layout asks for, by its ohms per volt and the voltage between the"
               " mains at rest"),
        flag("least_known", "the layout asks for so many ohms per volt", LAYOUT),
        number("floor_ohm", "Ω", "the least that the workshop asks for, as the layout says"),
        flag("floor_known", "the layout states the workshop's own least", LAYOUT),
        flag("by_tester", "an insulation tester was put to it while it was part of a pack", RECORD),
        flag("poles_known", "the voltage between the poles was read, and the recorded parts give one there"),
        measured("poles_v", "V", "the voltage between the poles", "voltage between the poles", "multimeter"),
        number("poles_expected_v", "V", "what the recorded modules and conductors give there", SOLVED),
        measured("poles_off_v", "V", "by how much it reads more", "voltage between the poles", "multimeter", SOLVED),
        text("instrument", "what read it", RECORD),
        text("halves", "which parts to test by themselves, or what they told of one leak or two", SOLVED),
        text("leak_at", "the modules among which a single leak lies, from the two readings to the chassis", SOLVED),
    ),
)  # fmt: skip
