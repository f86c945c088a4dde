"""Facts about where things lie: gaps, covers, caps, what overlaps and what does not reach."""

from __future__ import annotations

from packcheck.facts.tables.columns import BOTH, LAYOUT, RECORD, flag, number, text
from packcheck.rules.catalogue import SOLVED, Table

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
    (
        text("place", "the place"),
        flag("capped", "the cap is on", RECORD, "whether its cap is on", "eyes"),
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


ATTACHED = Table(
    "attached",
    "One row per temperature probe and vent line that the record tells of.",
    "attached",
    (
        text("attached", "its name"),
        text("kind", "temperature probe or vent line"),
        text("planned_on", "the positions the layout has it on"),
        text("on", "the positions it was recorded on", RECORD),
        flag("as_drawn", "it was recorded where the layout has it", BOTH),
    ),
)
