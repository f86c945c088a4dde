"""Short words for the columns of fact tables, and where their values come from."""

from __future__ import annotations

from packcheck.rules.catalogue import Column

LAYOUT = "layout"
RECORD = "record"
BOTH = "layout and record"


def text(name: str, meaning: str, source: str = LAYOUT, datum: str = "", instrument: str = "") -> Column:
    """Return a column that holds a word or a name."""
    return Column(name, "text", meaning, source, "", datum, instrument)


def flag(name: str, meaning: str, source: str = BOTH, datum: str = "", instrument: str = "") -> Column:
    """Return a column that is true, false or open."""
    return Column(name, "flag", meaning, source, "", datum, instrument)


def number(name: str, unit: str, meaning: str, source: str = LAYOUT, datum: str = "", instrument: str = "") -> Column:
    """Return a column that holds an exact number."""
    return Column(name, "number", meaning, source, unit, datum, instrument)


def measured(name: str, unit: str, meaning: str, datum: str, instrument: str, source: str = RECORD) -> Column:
    """Return a column that holds an interval read by an instrument."""
    return Column(name, "measured", meaning, source, unit, datum, instrument)


def proof(name: str, meaning: str, source: str, datum: str, instrument: str = "") -> Column:
    """Return a column that is true once something shows it, and open until then."""
    return Column(name, "flag", meaning, source, "", datum, instrument, proof=True)
