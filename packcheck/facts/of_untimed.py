"""Facts about second readings and second looks of which nobody wrote down when the first was."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.facts.of_times import written
from packcheck.model.record import precedence as order
from packcheck.rules.catalogue import Datum, Row, Value


def untimed_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield a row, as of the table of sequences, for each of them: it may stand the wrong way round."""
    record = evidence.record
    if record is None:
        return
    found = [(one.subject, order.LOOK_AGAIN, one.at, one.origin) for one in record.amended if not one.first_at]
    found += [
        (one.subject, order.FIRST_AGAIN, one.later.at, one.later.origin)
        for one in record.superseded
        if one.first and not one.first.at
    ]
    for subject, rule, at, origin in {one[:2]: one for one in found}.values():
        pair = f"{subject}, {rule.later} after {rule.earlier}"
        values: dict[str, Value] = {
            "pair": pair,
            "about": subject,
            "first": rule.earlier,
            "first_at": "not recorded",
            "second": rule.later,
            "second_at": written(at) if at else "not recorded",
            "reason": rule.reason,
        }
        missing = {"gap_h": Datum(f"when {rule.earlier} was", subject, "clock")}
        yield Row(pair, values, missing, frozenset({subject}), subject, "", origin)
