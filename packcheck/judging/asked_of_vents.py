"""What is asked of a vent line: where it runs, and where air that is blown into it comes out."""

from __future__ import annotations

from packcheck.facts.tables.places import FELT
from packcheck.judging.asked import Ask, Asked, Asking
from packcheck.model.record.sheets import AS_DRAWN, IS, NOT_FITTED
from packcheck.model.record.vented import INSIDE, NOWHERE, drawn_words, outlets_of


def asked_vent(a: Asking) -> Asked | None:
    """Ask where a vent line runs, or where the air was felt."""
    if a.place not in a.pack.vents:
        return None
    outlets = outlets_of(a.pack)
    if a.words[0] == FELT:
        felt = tuple((word, word) for word in (*outlets, INSIDE, NOWHERE))
        return Asked("vents", a.place, (Ask("felt at", "choice", "where the air comes out", choices=felt),))
    words = ((AS_DRAWN, f"as drawn: {drawn_words(a.pack, a.place)}"), (NOT_FITTED, "not fitted"))
    ends = tuple((word, word) for word in (*outlets, *(name for name in a.pack.vents if name != a.place), INSIDE))
    runs = Ask(IS, "choice", "where it runs", choices=words)
    return Asked("vents", a.place, (runs, Ask("to", "choice", "it ends elsewhere", choices=ends, optional=True)))
