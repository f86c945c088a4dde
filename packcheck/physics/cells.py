"""Cell chemistries: their words, what a cell can read, its negative collector, and what is known of its electrolyte."""

from __future__ import annotations

import unicodedata
from typing import NamedTuple

Band = tuple[float, float]


class Chemistry(NamedTuple):
    """A cell chemistry: voltages of one cell [V] that its kind can have, and its negative collector.

    ``nominal_v``, ``rest_v`` and ``highest_v`` are the widest bands in which a cell of this chemistry may be described;
    they tell a slip from a cell, not a good cell from a bad one.  Common practice, no source.
    """

    name: str
    words: tuple[str, ...]
    nominal_v: Band
    rest_v: Band
    highest_v: Band
    copper: bool


_LITHIUM = ((3.5, 4.0), (2.5, 4.45), (3.9, 4.5), True)
_NICKEL = ((1.15, 1.35), (0.9, 1.5), (1.3, 1.7), False)

CHEMISTRIES = (
    Chemistry("NiMH", ("nickel-metal hydride",), *_NICKEL),
    Chemistry("NiCd", ("nickel-cadmium",), *_NICKEL),
    Chemistry("LFP", ("LiFePO4", "lithium iron phosphate"), (3.1, 3.4), (2.0, 3.7), (3.3, 3.8), True),
    Chemistry("LMFP", ("lithium manganese iron phosphate",), (3.4, 4.0), (2.0, 4.3), (3.9, 4.4), True),
    Chemistry("NMC", ("NCM", "LiNMC", "lithium nickel manganese cobalt oxide"), *_LITHIUM),
    Chemistry("NCA", ("LiNCA", "lithium nickel cobalt aluminium oxide"), *_LITHIUM),
    Chemistry("LMO", ("LiMn2O4", "lithium manganese oxide"), *_LITHIUM),
    Chemistry("LCO", ("LiCoO2", "lithium cobalt oxide"), *_LITHIUM),
    Chemistry("Li-ion", ("lithium-ion",), (3.1, 4.0), (2.0, 4.45), (3.3, 4.5), True),
    Chemistry("LTO", ("lithium titanate",), (2.2, 2.5), (1.4, 2.9), (2.5, 3.0), False),
    Chemistry("sodium-ion", ("Na-ion", "NaIB"), (2.5, 3.5), (1.4, 4.2), (3.5, 4.3), False),
    Chemistry("lead-acid", ("Pb", "AGM", "gel", "VRLA", "SLA", "flooded lead-acid", "vented lead-acid"),
              (1.9, 2.2), (1.7, 2.4), (2.2, 2.75), False),
)  # fmt: skip
"""Every chemistry a layout may name.  Copper: collector of a graphite electrode; LTO and sodium-ion use aluminium."""
REFERENCE_C = 25.0
PER_KELVIN_G_CM3 = 0.0007
"""By how much the density of lead-acid electrolyte falls for each kelvin; readings are brought to 25 °C.

Maintenance practice gives 0.001 for each 3 °F (1.67 K), which is 0.0006, up to 0.0007 for each kelvin: common practice,
the larger.
"""
NEUTRALISERS = {"NiMH": ("boric acid", "vinegar"), "NiCd": ("boric acid", "vinegar"), "lead-acid": ("bicarbonate",)}
"""What is put on surfaces where an electrolyte has leaked, by chemistry: a weak acid on alkali, a weak base on acid.

Never on skin or in eyes, which are rinsed with water alone.  Common practice.
"""


def _plain(word: str) -> str:
    folded = unicodedata.normalize("NFKC", word).casefold()
    return "".join(letter for letter in folded if letter.isalnum())


_BY_WORD = {_plain(word): kind for kind in CHEMISTRIES for word in (kind.name, *kind.words)}


def chemistry_named(word: str) -> Chemistry | None:
    """Return the chemistry that a word means, letter case, blanks and hyphens apart; None where it means none.

    >>> chemistry_named("Ni-MH").name, chemistry_named("LiFePO₄").name, chemistry_named("agm").name
    ('NiMH', 'LFP', 'lead-acid')
    """
    return _BY_WORD.get(_plain(word))


def chemistry_words() -> list[str]:
    """Return every word for a chemistry, the usual one of each first."""
    return [kind.name for kind in CHEMISTRIES] + [word for kind in CHEMISTRIES for word in kind.words]


def density_at_reference(read_g_cm3: float, at_c: float) -> float:
    """Return the density [g/cm³] that acid read at a temperature in °C has at 25 °C.

    >>> round(density_at_reference(1.265, 35.0), 4)
    1.272
    """
    return read_g_cm3 + PER_KELVIN_G_CM3 * (at_c - REFERENCE_C)
