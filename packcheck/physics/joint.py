"""Bolted joints: torque and the tool that sets it, clamp load, stress in the thread.

Torques are positive in the tightening direction, clamp loads in tension of the bolt.
"""

from __future__ import annotations

from math import cos, pi, radians, sqrt

THREAD_HALF_ANGLE = radians(30)
LOWEST_SETTING = 0.20
"""Least setting as a fraction of the tool's maximum (ISO 6789:2003: tested at 20, 60 and 100 %)."""


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
