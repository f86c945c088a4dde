"""What resistance a kind of bar has by its size and metal: a layout that states all three states one of them twice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from packcheck.files.fields import Fields
from packcheck.files.quantities import Dimension, format_quantity
from packcheck.model.pack.model import Conductor
from packcheck.model.pack.types import BarType
from packcheck.physics.conductors import RESISTIVITY_OHM_MM2_PER_M, bar_ohm

APART = 3.0
"""How many times more or less than its size makes it a bar may be stated; common practice, no source: the current runs
between the landings, which lie closer than the ends, holes and plating take or give some, and alloys differ."""
_METAL = re.compile(rf"\b({'|'.join(RESISTIVITY_OHM_MM2_PER_M)})\b(?![ -](?:plated|clad|coated))")


def metal_named(words: str) -> str | None:
    """Return the metal that a bar is made of by words; None where they name none that is known here, or several.

    >>> metal_named("nickel-plated copper"), metal_named("copper, nickel plated"), metal_named("stainless steel")
    ('copper', 'copper', None)
    """
    found = set(_METAL.findall(words.lower().replace("aluminum", "aluminium")))
    return found.pop() if len(found) == 1 and "stainless" not in words.lower() else None


def hold_to_size(fields: Fields, types: Mapping[str, BarType], conductors: Iterable[Conductor]) -> None:
    """Narrow what is usual of the resistance of each kind of bar to what its size and metal make it.

    Bars with three landings or more are left: of a rail or a plate the drawing does not say which way the current runs.
    """
    branched = {conductor.bar_type for conductor in conductors if len(conductor.lands) > 2}
    for kind in types.values():
        metal = metal_named(kind.metal)
        if kind.name in branched or metal is None or kind.size_mm is None:
            continue
        thick, wide, long = sorted(kind.size_mm)
        ohm = bar_ohm(metal, long, thick * wide)
        made = f"its size in {metal} makes it about {format_quantity(ohm, Dimension.RESISTANCE.unit, 2)}"
        fields.expect(("bar types", kind.name, "resistance"), ohm / APART, ohm * APART, made)
