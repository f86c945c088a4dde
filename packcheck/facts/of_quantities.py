"""Facts about the quantities a layout states: which of them are of an unusual size."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.files.fields import Stated
from packcheck.files.quantities import format_quantity
from packcheck.files.quantities.bands import credible, likely_slip, unusual
from packcheck.model.pack.model import Pack
from packcheck.rules.catalogue import Row, Value


def quantity_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per quantity of the layout for which a usual band is known."""
    for stated in pack.stated:
        place = f"{stated.name}, {stated.origin.within} of the layout"
        yield Row(stated.name, _values(stated), {}, frozenset(), place, "", stated.origin)


def _values(stated: Stated) -> dict[str, Value]:
    unit, band = stated.dimension.unit, stated.band
    strange = unusual(stated.value, band)
    slip = likely_slip(stated.value, band, stated.dimension) if strange else ""
    told = (f"perhaps {slip}" if slip else "", stated.expected if strange else "")
    return {
        "quantity": stated.name,
        "usual": not strange,
        "credible": credible(stated.value, band),
        "credible_most": format_quantity(band.credible_most, unit),
        "value": format_quantity(stated.value, unit),
        "usual_band": " to ".join(format_quantity(end, unit, 3) for end in (band.usual_least, band.usual_most)),
        "slip": "".join(f"; {words}" for words in told if words),
    }
