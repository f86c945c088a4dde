"""Bolted joints and their metric threads: torque and the tool that sets it, clamp load, stress and proof load.

Torques are positive in the tightening direction, clamp loads in tension of the bolt.
"""

from __future__ import annotations

from math import cos, pi, radians, sqrt

THREAD_HALF_ANGLE = radians(30)
LOWEST_SETTING = 0.20
"""Least setting as a fraction of the tool's maximum (ISO 6789:2003: tested at 20, 60 and 100 %)."""
COARSE_PITCH_MM = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0, "M8": 1.25, "M10": 1.5, "M12": 1.75}
"""Coarse pitch [mm] by thread size (ISO 261)."""
PROOF_STRESS_MPA = {
    "4.6": 225,
    "4.8": 310,
    "5.6": 280,
    "5.8": 380,
    "6.8": 440,
    "8.8": 580,
    "9.8": 650,
    "10.9": 830,
    "12.9": 970,
    "A2-70": 450,
    "A4-70": 450,
    "A4-80": 600,
}
"""Stress under proof load [MPa] by property class, for threads up to 16 mm; of stainless steel the 0.2 % proof stress.

ISO 898-1 (1999 layout), as reprinted in a fastener maker's table; stainless: ISO 3506-1:2009 table 2, from memory.
"""


def thread_diameter_mm(size: str) -> float | None:
    """Return the nominal diameter d [mm] of a coarse thread such as ``M6``; None for a size not in the table."""
    return float(size[1:]) if size in COARSE_PITCH_MM else None


def pitch_diameter_mm(diameter_mm: float, pitch_mm: float) -> float:
    """Return the pitch diameter d2 = d - 0.6495 P [mm] from d and P [mm] (ISO 724, from memory)."""
    return diameter_mm - 0.649519 * pitch_mm


def stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Return the nominal stress area As = (π/4)(d - 0.9382 P)² [mm²] from d and P [mm] (ISO 898-1, 9.1.6)."""
    return pi / 4 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def coarse_stress_area_mm2(size: str) -> float | None:
    """Return the nominal stress area [mm²] of a coarse thread such as ``M6``; None for a size not in the table."""
    diameter = thread_diameter_mm(size)
    return None if diameter is None else stress_area_mm2(diameter, COARSE_PITCH_MM[size])


def proof_load_n(size: str, property_class: str) -> float | None:
    """Return the proof load Fp = As Sp [N] of a coarse thread in a property class; None for a row not in the tables.

    Printed tables round it: they agree within 1 % (ISO 898-1).

    >>> round(proof_load_n("M6", "8.8"))
    11672
    """
    area, stress = coarse_stress_area_mm2(size), PROOF_STRESS_MPA.get(property_class)
    return None if area is None or stress is None else area * stress


def tool_range_n_m(maximum_n_m: float) -> tuple[float, float]:
    """Return the least and greatest usable setting [N·m] of a hand torque tool with the given maximum [N·m].

    ISO 6789, type II class A.
    """
    return LOWEST_SETTING * maximum_n_m, maximum_n_m


def clamp_load_n(torque_n_m: float, torque_factor: float, diameter_mm: float) -> float:
    """Return the clamp load F = T / (K d) [N] from a torque [N·m] and a nominal diameter [mm].

    ``torque_factor`` K above 0.  Shigley, 9th ed., eq. (8-27) turned round; a prevailing torque must be taken off
    before.
    """
    return 1000 * torque_n_m / (torque_factor * diameter_mm)


def proof_fraction(clamp_load_n: float, proof_load_n: float) -> float:
    """Return the clamp load [N] as a fraction of the proof load [N]; 0.75 is usual (Shigley, 9th ed., eq. (8-31))."""
    return clamp_load_n / proof_load_n


def thread_torque_n_m(clamp_load_n: float, pitch_mm: float, pitch_diameter_mm: float, thread_friction: float) -> float:
    """Return the part of the torque [N·m] that twists the shank: F (d2/2)(tan λ + f sec α)/(1 - f tan λ sec α).

    Clamp load [N], pitch P and pitch diameter d2 [mm]; 60° thread (Shigley, 9th ed., eq. (8-26) without the collar;
    VDI 2230-1 writes F (0.159 P + 0.577 μ d2), its small-angle form, from memory).
    """
    lead = pitch_mm / (pi * pitch_diameter_mm)
    friction = thread_friction / cos(THREAD_HALF_ANGLE)
    return clamp_load_n * pitch_diameter_mm / 2 * (lead + friction) / (1 - lead * friction) / 1000


def tightening_stress_mpa(clamp_load_n: float, thread_torque_n_m: float, stress_area_mm2: float) -> float:
    """Return the combined stress [MPa] in the thread while it is tightened: sqrt(σ² + 3τ²).

    σ = F/As and τ = 16 T/(π ds³) with F the clamp load [N], T the torque in the thread [N·m], As the stress area [mm²]
    and ds its diameter; von Mises for a round bar
    (VDI 2230-1, assembly state, from memory).  Elastic range only.
    """
    diameter_mm = sqrt(4 * stress_area_mm2 / pi)
    tension = clamp_load_n / stress_area_mm2
    torsion = 16 * 1000 * thread_torque_n_m / (pi * diameter_mm**3)
    return sqrt(tension**2 + 3 * torsion**2)
