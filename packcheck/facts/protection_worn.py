"""What was worn and who was there in a step of the work, as facts."""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from datetime import date

from packcheck.model.record.abilities import plain_name
from packcheck.model.record.model import Record
from packcheck.model.record.work_done import WorkStep
from packcheck.physics.classes import GLOVE_CLASSES
from packcheck.rules.catalogue import Value


def protection(record: Record | None, step: WorkStep) -> Mapping[str, Value]:
    """Return the facts about gloves and people of a step; None where nobody recorded them."""
    listed = {plain_name(name) for name in record.people} if record else set()
    there = [plain_name(name) for name in (step.by, step.second) if name and name != "none"]
    return {
        "gloves": _words(step),
        "gloves_use_v": gloves_use_v(step.gloves),
        "gloves_months": _months_since(step),
        "by": step.by,
        "second": step.second,
        "two_people": two_people(step.by, step.second),
        "people_listed": None if step.by is None else listed.issuperset(there),
    }


def gloves_use_v(gloves: str | None) -> float | None:
    """Return the DC voltage [V] that gloves are for: 0 for none and for a class that no table has.

    >>> gloves_use_v("class 00"), gloves_use_v("none"), gloves_use_v(None)
    (750, 0.0, None)
    """
    if gloves is None:
        return None
    name = gloves.removeprefix("class").strip()
    return next((row.use_dc_v for row in GLOVE_CLASSES if row.name == name), 0.0)


def _words(step: WorkStep) -> str | None:
    """Return the gloves worn with the day of their last test, as far as they were recorded."""
    tested = step.tested if step.gloves not in (None, "none") else None
    return f"{step.gloves}, tested {tested:%Y-%m-%d}" if tested else step.gloves


def _months_since(step: WorkStep) -> int | None:
    """Return the months from the test of the gloves to the step, one begun counted as whole; -1 if it came after."""
    if step.tested is None or step.at is None:
        return None
    tested, day = step.tested.date(), step.at.date()
    if tested > day:
        return -1
    months = 12 * (day.year - tested.year) + day.month - tested.month
    return months + (months_later(tested, months) < day)


def months_later(day: date, months: int) -> date:
    """Return the same day some months later, or the last of that month where it has no such day.

    >>> months_later(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    year, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + year, month + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def two_people(by: str | None, second: str | None) -> bool | None:
    """Return whether two people were there: not the first one again under another spelling; None where unrecorded."""
    if second is not None and plain_name(second) == "none":
        return False
    if second is None or by is None:
        return None
    return plain_name(second) != plain_name(by)
