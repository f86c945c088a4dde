"""The text of a first layout: its sections in the order in which an engineer reads them."""

from __future__ import annotations

from packcheck.model.scaffold.kinds import around, head, joints, positions, types
from packcheck.model.scaffold.wanted import Wanted
from packcheck.model.scaffold.wiring import conductors, devices, sensing, states

_SECTIONS = (head, types, joints, positions, conductors, devices, states, sensing, around)


def scaffold_text(wanted: Wanted) -> str:
    """Return a whole layout as YAML."""
    return "\n".join(line for section in _SECTIONS for line in section(wanted)) + "\n"
