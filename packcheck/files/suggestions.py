"""What a name that nobody knows was probably meant to be; where two poles could be meant, both are named.

A near name is a guess, and of two posts of one module a guess is a polarity: then every choice is said, and none taken.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from packcheck.files.problems import nearest_name

MOST_NAMED = 6
"""How many names an advice lists."""
_SPAN = re.compile(r"(?P<first>\S+?)\s*(?:-|–|—|−|‒|~|\.\.\.|…|\bto\b|\bbis\b|:)\s*(?P<last>\S+)")
_SIGNS = "+-−"
_DASHED = re.compile(r"(?P<first>[^\s.]*\d)\s*[–—−‒~]\s*(?P<last>[^\s.]*\d)")


def advice_for(name: str, choices: Sequence[str]) -> str:
    """Return what to do about an unknown name: a range written otherwise, a post left out, a letter slipped.

    Examples
    --------
    >>> advice_for("L1-L3", ["L1", "L2", "L3"])
    'write L1..L3 for a range'
    >>> advice_for("P12.C", ["P11.A", "P11.B", "P12.A", "P12.B"])
    'write P12.A or P12.B, whichever is meant'
    >>> advice_for("P1Z", ["P01", "P12"])
    "did you mean 'P12'?"
    """
    span = _SPAN.fullmatch(name.strip())
    if span and {span["first"], span["last"]} <= set(choices):
        return f"write {span['first']}..{span['last']} for a range"
    several = _places_of(name, choices)
    if several:
        return _either(several)
    near = nearest_name(name, choices)
    if near is None:
        return known_names(choices)
    others = _poles_beside(name, near, choices)
    return _either(others) if others else f"did you mean '{near}'?"


def dashed_range(name: str) -> str:
    """Return what was meant by a new name that is a range with a dash of the printer, or a tilde; "" for others.

    >>> dashed_range("C1–C7"), dashed_range("P01~24"), dashed_range("T1-B01")
    ('C1..C7', 'P01..P24', '')
    """
    span = _DASHED.fullmatch(name.strip())
    if span is None:
        return ""
    stem = re.match(r"(.*?)\d+$", span["first"])
    last = f"{stem[1]}{span['last']}" if stem and span["last"].isdecimal() else span["last"]
    return f"{span['first']}..{last}"


def known_names(choices: Sequence[str]) -> str:
    """Return the first few names that are known."""
    some = ", ".join(choices[:MOST_NAMED]) + (" ..." if len(choices) > MOST_NAMED else "")
    return f"known: {some}" if choices else "there is none yet: add it first"


def _either(names: Sequence[str]) -> str:
    *first, last = names[:MOST_NAMED]
    more = " (or another of them)" if len(names) > MOST_NAMED else ""
    return f"write {', '.join(first)} or {last}{more}, whichever is meant" if first else f"did you mean '{last}'?"


def _places_of(name: str, choices: Sequence[str]) -> list[str]:
    """Return the places of the position, group or device that a name begins with, or the name with either sign."""
    head, _, post = name.rpartition(".") if "." in name else (name, "", "")
    stem = name.rstrip(_SIGNS)
    signed = [known for known in choices if known[-1:] in _SIGNS and known.rstrip(_SIGNS) == stem]
    own = [known for known in choices if known.startswith(f"{head}.")]
    members = re.compile(rf"{re.escape(head)}[a-z]\.")
    of_group = [known for known in choices if members.match(known)]
    same_post = [known for known in of_group if known.endswith(f".{post}")] if post else []
    return next((found for found in (own, same_post, of_group, signed) if len(found) > 1), [])


def _poles_beside(name: str, near: str, choices: Sequence[str]) -> list[str]:
    """Return all poles of what a near name belongs to: the same letter is the other pole at the next module."""
    head, dot, post = near.rpartition(".")
    if dot and post:
        return [known for known in choices if known.startswith(f"{head}.")]
    if near[-1:] in _SIGNS and not name.endswith(near[-1]):
        return [known for known in choices if known[-1:] in _SIGNS and known.rstrip(_SIGNS) == near.rstrip(_SIGNS)]
    return []
