"""Facts about isolation: what the poles of a pack have to its chassis."""

from __future__ import annotations

from packcheck.facts.tables.columns import LAYOUT, RECORD, flag, measured, number, text
from packcheck.rules.catalogue import SOLVED, Table

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
