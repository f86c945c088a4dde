"""Facts about vent lines as they were found: whom they join to the outside, where they end, where air was felt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from packcheck.facts.evidence import Evidence
from packcheck.facts.tables.places import RUNS
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import FittedVent
from packcheck.model.record.vents import INSIDE, served_by
from packcheck.network.vent_path import VentPath, outlet_of, vent_path
from packcheck.rules.catalogue import Datum, Row, Value


def vent_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per vent line of the layout, about the build of a record."""
    pack, record = evidence.pack, evidence.record
    if record is None or not pack.vents:
        return
    built = vent_path(pack, record.vents)
    for name in pack.vents:
        told = record.vents.get(name, FittedVent(name))
        values = {"vent": name, **_joined(pack, built, name), **_end(pack, told), **_blown(pack, told)}
        datum = Datum(RUNS, _untold(pack, record.vents, name), "eyes")
        missing = {"joins_all": datum, "ends_outside": Datum(RUNS, name, "eyes")}
        touches = frozenset((name, *served_by(pack, name)))
        place = f"vent line {name} over {list_places(served_by(pack, name))}"
        yield Row(name, values, missing, touches, place, "", told.origin or pack.origins.get(name))


def _joined(pack: Pack, built: VentPath, name: str) -> dict[str, Value]:
    """Return whether each module that the line serves as drawn is joined to the outside, by whichever line."""
    leads = {position: built.leads_out(position) for position in served_by(pack, name)}
    unjoined = [position for position, out in leads.items() if out is False]
    all_joined = False if unjoined else None if None in leads.values() else True
    return {"joins_all": all_joined, "unjoined": list_places(unjoined) or None, "serves": list_places(leads)}


def _end(pack: Pack, told: FittedVent) -> dict[str, Value]:
    drawn = str(pack.vents[told.name]["to"])
    return {
        "told": told.fitted is not None,
        "fitted": told.fitted,
        "drawn_to": drawn,
        "ends_at": told.to,
        "ends_outside": None if told.to is None else told.to != INSIDE,
    }


def _blown(pack: Pack, told: FittedVent) -> dict[str, Value]:
    """Return where air was blown in and felt: at an outlet that a line of that module leads to, as drawn, or not."""
    at = told.blown_at
    due = [out for line in pack.vents if at in served_by(pack, line) and (out := outlet_of(pack, line))]
    return {
        "blown": at is not None or told.felt_at is not None,
        "blown_at": at,
        "felt_at": told.felt_at,
        "due_at": " or ".join(dict.fromkeys(due)) or outlet_of(pack, told.name),
        "felt_right": None if at is None or told.felt_at is None else told.felt_at in due,
    }


def _untold(pack: Pack, known: Mapping[str, FittedVent], name: str) -> str:
    """Return the first line, on the way out from one, of which nobody told where it runs."""
    seen: list[str] = []
    here = name
    while here in pack.vents and here not in seen:
        seen.append(here)
        here = str(pack.vents[here]["to"])
    lacking = (line for line in seen if line not in known or known[line].over is None or known[line].to is None)
    return next(lacking, name)
