"""Bolted joints: torque, clamp load, stress in the thread, heat in the contact.

Torques are positive in the tightening direction, clamp loads in tension of the bolt.
"""

from __future__ import annotations

from math import cos, pi, radians, sqrt

THREAD_HALF_ANGLE = radians(30)

TORQUE_FACTOR = {"black": 0.30, "zinc-plated": 0.20, "lubricated": 0.18, "cadmium-plated": 0.16}
"""Torque factor K by bolt condition (Shigley, Mechanical Engineering Design, 9th ed., table 8-15)."""

PRELOAD_SCATTER = {"unlubricated": 0.35, "lubricated": 0.25}
"""Relative scatter of the clamp load at an exact torque (NASA list, as reprinted in a maker's note on preload)."""


def torque_n_m(clamp_load_n: float, torque_factor: float, diameter_mm: float) -> float:
    """Return the torque T = K F d [N·m] that gives a clamp load [N] in a thread of nominal diameter d [mm].

    Shigley, 9th ed., eq. (8-27).  ``torque_factor`` K above 0; dry or oiled threads without prevailing torque.

    >>> round(torque_n_m(8700, 0.20, 6), 2)
    10.44
    """
    return torque_factor * clamp_load_n * diameter_mm / 1000


def clamp_load_n(torque_n_m: float, torque_factor: float, diameter_mm: float) -> float:
    """Return the clamp load F = T / (K d) [N] from a torque [N·m] and a nominal diameter [mm].

    Shigley, 9th ed., eq. (8-27) turned round; a prevailing torque must be taken off before.
    """
    return 1000 * torque_n_m / (torque_factor * diameter_mm)


def torque_factor(
    diameter_mm: float, mean_diameter_mm: float, pitch_mm: float, thread_friction: float, collar_friction: float
) -> float:
    """Return the torque factor K of a 60° thread from its diameters and pitch [mm] and friction coefficients.

    K = (dm/2d)(tan λ + f sec α)/(1 - f tan λ sec α) + 0.625 fc, with α = 30° and tan λ = P/(π dm)
    (Shigley, 9th ed., eq. (8-26)).  The collar is taken 1.5 d wide; about 0.20 at f = fc = 0.15 for any size.
    """
    lead = pitch_mm / (pi * mean_diameter_mm)
    friction = thread_friction / cos(THREAD_HALF_ANGLE)
    helix = (lead + friction) / (1 - lead * friction)
    return mean_diameter_mm / (2 * diameter_mm) * helix + 0.625 * collar_friction


def clamp_load_interval_n(
    torque_n_m: tuple[float, float], torque_factor: tuple[float, float], diameter_mm: float
) -> tuple[float, float]:
    """Return the least and greatest clamp load [N] for a torque interval [N·m] and an interval of the torque factor.

    Nominal diameter [mm].
    """
    least = clamp_load_n(torque_n_m[0], torque_factor[1], diameter_mm)
    return least, clamp_load_n(torque_n_m[1], torque_factor[0], diameter_mm)


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


def joint_heating_w(current_a: float, resistance_ohm: float) -> float:
    """Return the heat I²R [W] in a joint of the given resistance [Ω] at a current [A] of either sign (Joule's law)."""
    return current_a**2 * resistance_ohm
