"""Direct-current arcs: how much power a source can put into one, and whether it holds.

Everything here is a fit or an upper estimate.  ``ArcPoint.is_extrapolated`` tells when a result lies outside the
currents and gaps that were measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pow

MEASURED_GAP_MM = (5.0, 500.0)
MEASURED_CURRENT_A = (100.0, 20000.0)
"""Gaps [mm] and currents [A] behind the fit of Stokes and Oppenlander (from memory)."""


@dataclass(frozen=True)
class ArcPoint:
    """A steady arc: current [A], voltage [V] and whether the point lies outside the measured range of the fit."""

    current_a: float
    voltage_v: float
    is_extrapolated: bool

    @property
    def resistance_ohm(self) -> float:
        """Return the arc's resistance V/I [Ω]."""
        return self.voltage_v / self.current_a

    @property
    def power_w(self) -> float:
        """Return the power V I [W] in the arc."""
        return self.voltage_v * self.current_a


def short_circuit_current_a(emf_v: float, source_ohm: float, outside_ohm: float = 0.0) -> float:
    """Return the current E/(R + R_ext) [A] of a source [V, Ω] through an outside resistance [Ω] (Ohm's law)."""
    return emf_v / (source_ohm + outside_ohm)


def maximum_power_w(emf_v: float, source_ohm: float) -> float:
    """Return the greatest power E²/(4R) [W] that a source [V, Ω] can give to any load, at half its voltage.

    Maximum power transfer; Kuphaldt, Lessons in Electric Circuits, vol. I, ch. 10.  For an arc an upper bound.

    >>> round(maximum_power_w(11.2, 0.8), 6)
    39.2
    """
    return emf_v**2 / (4 * source_ohm)


def arc_voltage_v(current_a: float, gap_mm: float) -> float:
    """Return the voltage (20 + 0.534 G) I^0.12 [V] of a steady arc from its current [A] and gap G [mm].

    A. D. Stokes and W. T. Oppenlander, J. Phys. D, vol. 18, 1985, as quoted by R. F. Ammerman et al., IEEE Trans. Ind.
    Appl., 2010.  Open-air arcs between electrodes in line; see ``MEASURED_GAP_MM`` and ``least_arc_current_a``.
    """
    return (20 + 0.534 * gap_mm) * pow(current_a, 0.12)


def least_arc_current_a(gap_mm: float) -> float:
    """Return the least current 10 + 0.2 G [A] of the fit by gap G [mm] (Ammerman et al. 2010, from memory)."""
    return 10 + 0.2 * gap_mm


def arc_operating_point(emf_v: float, source_ohm: float, gap_mm: float) -> ArcPoint | None:
    """Return the steady arc that a source [V, Ω] feeds across a gap [mm], or None when the fit gives no sustained arc.

    Solves E - I R = V_arc(I), which has one solution as the right side grows with I; it counts from
    ``least_arc_current_a`` up.  None is no promise: sparks at breaking a contact remain below it.

    >>> point = arc_operating_point(250.0, 0.025, 25.0)
    >>> round(point.current_a, 1), round(point.voltage_v, 2)
    (6196.3, 95.09)
    """
    low, high = 0.0, abs(emf_v) / source_ohm
    while True:
        current = (low + high) / 2
        if current in (low, high):
            break
        if abs(emf_v) - current * source_ohm > arc_voltage_v(current, gap_mm):
            low = current
        else:
            high = current
    if current < least_arc_current_a(gap_mm):
        return None
    is_measured = _within(gap_mm, MEASURED_GAP_MM) and _within(current, MEASURED_CURRENT_A)
    return ArcPoint(current, arc_voltage_v(current, gap_mm), not is_measured)


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value <= limits[1]
