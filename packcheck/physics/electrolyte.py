"""Lead-acid electrolyte and lead-acid conductance: what is read, brought to what it is compared with.

The density of the acid falls by 0.0007 g/cm³ for each kelvin; readings are brought to 25 °C.  Maintenance
practice gives 0.001 for each 3 °F (1.67 K), which is 0.0006, up to 0.0007 for each kelvin: common practice, the larger.
"""

from __future__ import annotations

REFERENCE_C = 25.0
PER_KELVIN_G_CM3 = 0.0007


def density_at_reference(read_g_cm3: float, at_c: float) -> float:
    """Return the density [g/cm³] that acid read at a temperature in °C has at 25 °C.

    >>> round(density_at_reference(1.265, 35.0), 4)
    1.272
    """
    return read_g_cm3 + PER_KELVIN_G_CM3 * (at_c - REFERENCE_C)


NEUTRALISERS = {"NiMH": ("boric acid", "vinegar"), "NiCd": ("boric acid", "vinegar"), "lead-acid": ("bicarbonate",)}
"""What is put on surfaces where an electrolyte has leaked, by chemistry: a weak acid on alkali, a weak base on acid.

Never on skin or in eyes, which are rinsed with water alone.  Common practice.
"""
