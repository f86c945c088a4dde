"""When, by whom, with what and in which switching state something was taken."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from packcheck.files import clock
from packcheck.files.fields import Fields, Path
from packcheck.files.fields import written as shown
from packcheck.files.frozen import dataclass
from packcheck.model.pack.model import Pack

_WRITTEN = re.compile(r"\d{4}-\d{2}-\d{2}([ T]\d{2}:\d{2}(:\d{2})?)?$")
_ZONED = re.compile(r"\d{2}:\d{2}.*(Z|UTC|[+-]\d{2}:?\d{2})$")
_WEEK = re.compile(r"\d{4}-?W\d{2}")
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100
AHEAD = timedelta(days=1)
"""How far ahead of our clock a record may be: its writer may sit in another zone, at most 26 h away."""
LOOSE = "loose"
"""The state of parts that are not fitted yet."""


@dataclass(frozen=True)
class Taken:
    """When, by whom, in which state, and the instrument of each column ("" for all columns)."""

    at: datetime | None = None
    by: str = ""
    state: str = ""
    instruments: Mapping[str, str] = field(default_factory=dict)

    def instrument(self, column: str) -> str:
        """Return the instrument that read a column, or ""."""
        return self.instruments.get(column, self.instruments.get("", ""))


def read_time(fields: Fields, path: Path, value: Any, *, done: bool = True) -> datetime | None:
    """Return a date or a date with a time; None (and a problem) when it is neither, or cannot be.

    Parameters
    ----------
    fields, path, value : what is written, and where.
    done : it is the time of something that was done, so it cannot lie ahead; False for dates such as the next
        calibration.
    """
    if value is None:
        return None
    text, do = str(value), "write it as 2026-10-05 or 2026-10-05 08:40"
    moment = _moment(text)
    found, needed = f"'{text}'{_odd(text)}", "a date, or a date and a time"
    if moment and not EARLIEST_YEAR <= moment.year < LATEST_YEAR:
        found, needed = f"the year {moment.year}", f"a year from {EARLIEST_YEAR} to {LATEST_YEAR - 1}"
        moment, do = None, "correct the date"
    elif moment and done and moment > clock.now() + AHEAD:
        found, needed = f"{text}, which is still to come", f"a time not after today, {clock.now():%Y-%m-%d}"
        moment, do = None, "correct the date, or the clock of this computer"
    if moment is None:
        fields.wrong(path, found=found, needed=needed, do=do)
    return moment


@lru_cache(maxsize=1024)
def _moment(text: str) -> datetime | None:
    """Return what a text written as a date, or a date and a time, stands for."""
    if not _WRITTEN.match(text):
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def _odd(text: str) -> str:
    """Return in words what is odd about a text that is no date."""
    if _WRITTEN.match(text):
        return ", which is not in the calendar"
    if _ZONED.search(text):
        return ", a time with a zone: records tell the workshop's own time"
    return ", a week: the day tells more" if _WEEK.match(text) else ""


def read_taken(
    fields: Fields,
    path: Path,
    spec: Mapping[str, Any],
    pack: Pack,
    columns: Any,
    instruments: Any,
    over: Taken | None = None,
) -> Taken:
    """Return what ``taken:`` says, each missing key from ``over``."""
    base = over or Taken()
    state = spec.get("state", base.state)
    if not isinstance(state, str):
        do = "write one state, without brackets"
        fields.wrong((*path, "state"), found=shown(state), needed="a switching state of the layout", do=do)
    elif "state" in spec and state != LOOSE and state not in pack.states:
        fields.unknown((*path, "state"), state, [*pack.states, LOOSE], "a switching state of the layout")
    return Taken(
        at=read_time(fields, (*path, "at"), spec["at"]) if "at" in spec else base.at,
        by=str(spec.get("by", base.by)),
        state=str(state),
        instruments=_instruments(fields, (*path, "with"), spec["with"], columns, instruments)
        if "with" in spec
        else base.instruments,
    )


def _instruments(fields: Fields, path: Path, written: Any, columns: Any, known: Any) -> dict[str, str]:
    if not isinstance(written, str | Mapping):
        needed, do = "the name of an instrument, or one for each column", "write V1, or {torque: W1, resistance: R1}"
        fields.wrong(path, found=shown(written), needed=needed, do=do)
        return {}
    by_column: dict[str, str] = {}
    for column, instrument in ({"": written} if isinstance(written, str) else written).items():
        place = (*path, column) if column else path
        if column and column not in columns:
            fields.unknown(place, column, columns, "a column of this table", key=True)
        if not isinstance(instrument, str):
            do = "write its name, without brackets"
            fields.wrong(place, found=shown(instrument), needed="the name of an instrument", do=do)
            continue
        by_column[column] = instrument
        if instrument not in known:
            fields.unknown(
                place,
                instrument,
                known,
                "an instrument of this record",
                why="a reading counts only with an instrument that is described",
            )
    return by_column
