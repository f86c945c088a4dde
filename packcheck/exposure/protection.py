"""What a step asks for by its voltage class.  Nothing here permits anything."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from packcheck.model.pack.model import Pack
from packcheck.physics.classes import CLASS_A_LIMIT_V, GLOVE_TEST_MONTHS, glove_class, voltage_class

BY_CLASS = (
    "class A, up to 60 V DC, is a class of electric shock only: insulated tools, face shield, no jewellery; burns,"
    " sparks and arcs happen at these voltages too",
    f"class B, up to 1500 V DC: also rubber gloves rated for the voltage, tested within {GLOVE_TEST_MONTHS} months and"
    " air-tested before use, with leather over them, and a second person who does not touch the pack",
)
"""What every step of a class asks for."""
NOT_COVERED = "beyond 1500 V DC: outside voltage class B and outside this table"


@dataclass(frozen=True)
class Asks:
    """What a step asks for: voltage class, gloves (class, or ""), whether a second person, which covers first."""

    voltage_class: str
    gloves: str
    second_person: bool
    cover_first: tuple[str, ...]
    notes: tuple[str, ...]


def asks_for(
    pack: Pack,
    highest_v: float,
    rest_v: float,
    bare_places: Iterable[str],
    covers_on: Iterable[str],
    over: Mapping[str, Sequence[str]],
    pack_v: float = 0.0,
) -> Asks:
    """Return what a step asks for.

    Parameters
    ----------
    pack : the layout.
    highest_v, rest_v : voltage [V] of the largest connected section, every module at its highest, and at rest.
    bare_places : places with bare metal that is not in hand; a cover over them belongs on first.
    covers_on : covers that are on already.
    over : the covers of the layout over each place.
    pack_v : voltage [V] of the whole string at its highest; gloves cover it, whatever the section in hand has.

    Notes
    -----
    Classes of ISO 6469-3; gloves by the DC use voltages of ASTM D120 / IEC 60903; second person for class B after EN
    50110-1 and common practice.
    """
    shock = voltage_class(highest_v)
    notes = []
    if shock is None:
        notes.append(NOT_COVERED)
    if rest_v <= CLASS_A_LIMIT_V < highest_v:
        notes.append(
            f"at rest {rest_v:.1f} V, but {highest_v:.1f} V when the cells are at their highest: the highest counts"
        )
    if shock == "A":
        return Asks("A", "", False, (), tuple(notes))
    gloves = glove_class(max(highest_v, pack_v))
    name = f"class {gloves.name}" if gloves else "no class of rubber gloves reaches this voltage"
    return Asks(shock or "beyond B", name, True, tuple(_covers(pack, bare_places, set(covers_on), over)), tuple(notes))


def _covers(pack: Pack, places: Iterable[str], covers_on: set[str], over: Mapping[str, Sequence[str]]) -> list[str]:
    """Return the covers to put on first, and the faces with bare metal that no cover of the layout lies over."""
    wanted: dict[str, None] = {}
    for place in places:
        covers = over.get(place, ())
        if not covers:
            wanted[f"face {pack.face_of(place)} (no cover in this layout)"] = None
        for name in covers:
            if name not in covers_on:
                wanted[name] = None
    return list(wanted)
