"""What is odd in every record and means nothing: so that no oddity points at what is wrong.

Each record has a joint that was made again, a washer that was replaced, a count that was made twice and a wrench that
was lent; where each of them lies is drawn by lot.
"""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any

from packcheck.simulate.meters import Figure
from packcheck.simulate.scribe import Scribe, stamp

Data = dict[str, Any]
SLIPS = (
    "washer had slipped under the bar; taken out, joint made again",
    "clip of the meter sat on the nut; read again on post and bar",
    "read with a cold probe; read again",
    "burr on the bar; filed, wiped, joint made again",
)
RECOUNTS = (
    "one lay under the edge of the mat",
    "miscounted; counted again by the second person",
    "one was still in the tray of the day before",
)
NOTES = (
    "Wrench of this bench was at calibration on the first morning; W2 was lent for the clamp and went back.",
    "Sleeve of one module has a scuff; wiped, dry, pH paper neutral.",
    "Lamp over the bench flickered; exchanged before the readings.",
    "Stopped for an hour for a delivery; pack covered, nobody at it.",
    "One label was printed twice; the second one is in the bin.",
    "Read again after the meter's batteries were exchanged: no change.",
    "Socket was stiff; cleaned before the last step.",
)


def add_oddities(data: Data, scribe: Scribe) -> None:
    """Put the oddities of one record into its tables."""
    random = scribe.random("oddities")
    _joint_again(data, scribe, random)
    _replaced(data, random)
    _recount(data, scribe, random)
    notes = random.sample(NOTES[1:], 2)
    data["notes"] = [NOTES[0], *notes]


def _joint_again(data: Data, scribe: Scribe, random: Random) -> None:
    rows = {n: row for n, row in data["joints"].items() if n not in ("columns", "taken") and row[1] is not None}
    if not rows:
        return
    name = random.choice(sorted(rows))
    row = rows[name]
    first = Figure(f"{float(row[1]) * random.uniform(2.6, 4.2):.1f}")
    at = scribe.when.joints[name] + timedelta(minutes=6)
    data["again"].append({
        "at": stamp(at), "by": scribe.team.second, "joint": name,
        "resistance": Figure(f"{row[1]} µΩ"), "why": random.choice(SLIPS),
    })  # fmt: skip
    data["joints"][name] = [row[0], first, *row[2:]]


def _replaced(data: Data, random: Random) -> None:
    loose = [name for name in data.get("parts", {}) if name.startswith(("washer", "nut", "screw", "bolt"))]
    if loose:
        name = random.choice(sorted(loose))
        issued, fitted, returned, scrapped = data["parts"][name]
        data["parts"][name] = [issued + 1, fitted, returned, scrapped + 1]


def _recount(data: Data, scribe: Scribe, random: Random) -> None:
    counted = [n for n, row in data.get("parts", {}).items() if n not in ("columns", "taken") and row[2] > 0]
    if not counted:
        return
    name = random.choice(sorted(counted))
    issued, fitted, returned, scrapped = data["parts"][name]
    at = max(scribe.when.read.values()) + timedelta(minutes=20)
    data["again"].append({
        "at": stamp(at), "by": scribe.team.reader, "part": name, "returned": returned,
        "why": random.choice(RECOUNTS),
    })  # fmt: skip
    data["parts"][name] = [issued, fitted, returned - 1, scrapped]
