"""Facts about readings of which the record has the row and not the value: nothing about them is known."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.model.record.model import Unread
from packcheck.rules.catalogue import Datum, Row, Value

_LACKING = ("value_v", "expected_v", "difference_v", "floating", "slipped")


def unread_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield a row of the table ``reading`` for each reading without a value that could be taken with the plug out.

    One that needs a switch closed is asked for by the rules of the gate after that.
    """
    record = evidence.record
    for unread in record.unread if record else ():
        state = evidence.pack.states.get(unread.state)
        if state is None or not state.closed:
            yield _unread_row(unread)


def _unread_row(unread: Unread) -> Row:
    between = " and ".join(unread.words) if any(unread.words) else None
    values: dict[str, Value] = {"reading": unread.name, "between": between, "state": unread.state or None}
    datum = Datum("the value of the reading", unread.name, "multimeter")
    place = f"reading {unread.name}, without a value"
    return Row(unread.name, values, dict.fromkeys(_LACKING, datum), frozenset((unread.name,)), place, "", unread.origin)
