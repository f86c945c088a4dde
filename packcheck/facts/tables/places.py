"""Facts about where things lie: gaps, covers, caps, what overlaps and what does not reach."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, measured, number, text
from packcheck.rules.catalogue import SOLVED, Table

RUNS, FELT = "where the vent line runs", "where the air is felt"

COVER = Table(
    "cover",
    "One row per cover of the layout.",
    "cover",
    (
        text("cover", "name of the cover"),
        text("over", "what it lies over"),
        flag("fitted", "it is fitted", RECORD, "whether it is fitted", "eyes"),
        number("screws_planned", "", "screws that hold it"),
        number("screws", "", "screws fitted", RECORD, "screws fitted", "count"),
    ),
)


CAP = Table(
    "cap",
    "One row per place whose joint stack ends in a cap.",
    "place",
    (text("place", "the place"), flag("capped", "the cap is on", RECORD, "whether its cap is on", "eyes")),
)


VENT = Table(
    "vent",
    "One row per vent line of the layout, as it was found: modules, lines and outlets are a graph of their own.",
    "vent",
    (
        text("vent", "name of the vent line"),
        text("serves", "the modules that it serves, as drawn"),
        flag("told", "the record tells whether it is fitted", RECORD),
        flag("fitted", "it is fitted", RECORD, RUNS, "eyes"),
        flag("joins_all", "the lines as recorded join each of these modules to an outlet", BOTH, RUNS, "eyes"),
        text("unjoined", "the modules that none joins to an outlet", BOTH),
        text("drawn_to", "where it leads as drawn: an outlet, or another line"),
        text("ends_at", "where it was found to end", RECORD),
        flag("ends_outside", "that is not inside of the pack", RECORD, RUNS, "eyes"),
        flag("blown", "the record tells that air was blown into it", RECORD),
        text("blown_at", "the module at which it was blown in", RECORD),
        text("felt_at", "where it was felt to come out", RECORD),
        text("due_at", "the outlet at which it has to come out, as drawn"),
        flag("felt_right", "it came out there", BOTH, FELT, "hand"),
    ),
)


GAP = Table(
    "gap",
    "Neighbouring bare conductors of the layout: one row per kind of gap on a face, the worst of it.",
    "gap",
    (
        text("gap", "the two conductors"),
        text("face", "face they lie on"),
        number("gap_mm", "mm", "shortest distance between them"),
        number(
            "voltage_v", "V", "voltage between them at the highest cell voltage, everything fitted and closed", SOLVED
        ),
        flag("creepage_known", "the layout states pollution degree and material group", LAYOUT),
        number(
            "creepage_mm",
            "mm",
            "creepage distance: as stated, or no less than the gap",
            LAYOUT,
            "pollution degree and material group, or the creepage distance, in the layout",
        ),
        number(
            "creepage_needed_mm",
            "mm",
            "creepage distance needed",
            "IEC 60664-1 Table F.4",
            "pollution degree and material group in the layout",
        ),
        number(
            "clearance_needed_mm",
            "mm",
            "clearance needed",
            "IEC 60664-1 Table F.2",
            "impulse voltage and pollution degree in the layout",
        ),
        flag("clearance_asked", "the layout states an impulse voltage", LAYOUT),
        number(
            "hardware_mm",
            "mm",
            "largest conducting part of the joints on the face; bars and lugs, which are larger, apart",
        ),
        text("hardware", "that part"),
        flag("touching", "they touch or cross: nothing lies between them as drawn", LAYOUT),
        flag("shape_known", "both are straight, so that the drawing shows where their metal is", LAYOUT),
        text("pairs", "every pair of conductors on this face that is alike"),
    ),
)


PLACED = Table(
    "placed",
    "One row per position that shares room with one before it; all others in one row.",
    "position",
    (
        text("position", "name of the position, or how many there are"),
        flag("apart", "its module shares no room with one before it", LAYOUT),
        text("other", "the module it shares room with"),
        number("shared_mm", "mm", "how deep they lie in each other"),
        text("axis", "along which axis"),
        text("steps", "how far apart they start, and their sizes"),
    ),
)


SPAN = Table(
    "span",
    "One row per conductor too short for two drawn places that it joins; all that are long enough in one row.",
    "conductor",
    (
        text("conductor", "name of the conductor, or how many there are and the one with least to spare"),
        text("kind", "bar, link or lead"),
        text("lands", "where it lands"),
        number("length_mm", "mm", "its length: the largest of a bar's three sizes, or a lead's length"),
        number(
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
        text("cover", "name of the cover"),
        text("over", "what the layout says it lies over"),
        flag("known", "the word means a face, tray, group, position, conductor, device or side", LAYOUT),
        flag("over_posts", "the word means something that has posts", LAYOUT),
        number("posts", "", "posts that lie under it"),
        text("words", "faces and trays that it could name"),
    ),
)


PROBE = Table(
    "probe",
    "One row per temperature probe that the record tells of.",
    "probe",
    (
        text("probe", "its name"),
        text("planned_on", "the positions the layout has it on"),
        text("on", "the positions it was recorded on", RECORD),
        flag("as_drawn", "it was recorded where the layout has it", BOTH),
        flag("place_told", "the record says where it sits, or that it is not fitted", RECORD),
        text("kind", "its kind, as the layout writes it"),
        flag("resistance_judged", "its resistance was read, and its kind says what it may be", BOTH),
        measured("resistance_ohm", "Ω", "its resistance", "resistance of the probe", "ohmmeter"),
        number("resistance_least_ohm", "Ω", "the least that its kind has in any room, 0 °C to 45 °C"),
        number("resistance_most_ohm", "Ω", "the most that its kind has there"),
    ),
)
