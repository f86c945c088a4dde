"""Facts about what a test was taken with, beside the kind of instrument that is asked or usual for it."""

from __future__ import annotations

from packcheck.facts.evidence import Evidence
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.record.abilities import ability_of, is_of_kind
from packcheck.model.record.tested import TakenTest
from packcheck.rules.catalogue import Value

WITHOUT_INSTRUMENT = frozenset({"eyes", "clock", "count"})
"""What is read off, timed or counted is taken as it was written down, where no instrument is named."""
_OF_NO_KIND = WITHOUT_INSTRUMENT | {"instrument", "monitor"}
"""A monitor is what is tested; what its current is held against is read with whatever reads it."""


def instrument_facts(evidence: Evidence, test: AskedTest, taken: TakenTest) -> dict[str, Value]:
    """Return with which kind of instrument a point was read, and whether that is the kind that is asked.

    One that cannot read the quantity at all proves nothing by itself, which is said at the reading.
    """
    entry, record = taken.value, evidence.record
    known = record.instruments.get(entry.instrument) if entry and record else None
    reads = known is not None and test.quantity is not None and not ability_of(known, test.quantity).none_because
    if known is None or not reads or test.instrument in _OF_NO_KIND:
        return {"kind_asked": test.instrument, "kind_by_layout": test.names_instrument, "read_by_instrument": False}
    return {
        "kind_asked": test.instrument,
        "kind_by_layout": test.names_instrument,
        "read_by_instrument": True,
        "kind_used": f"{known.name}, a {known.kind}" if known.kind else known.name,
        "kind_as_asked": is_of_kind(known.kind, test.instrument) if known.kind else None,
    }
