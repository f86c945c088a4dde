"""R. F. Ammerman et al., IEEE Trans. Ind. Appl., 2010, eqs. (53) and (54), as quoted in a public validation note.

The note takes its first case from an electrical designers' reference (example 9: 13 kA, 3.21 mΩ).
"""

from __future__ import annotations

from printed import assert_printed

from packcheck.physics.arc import arc_energy_cal, arc_operating_point, spherical_boundary_cm, spherical_energy_cal_cm2


def test_example_9() -> None:
    energy = arc_energy_cal(13_000, 3.21e-3, 0.09)
    assert_printed(energy, "11669")
    assert_printed(spherical_energy_cal_cm2(energy, 45.7), "0.444", units=1)


def test_example_with_stokes_and_oppenlander_arc() -> None:
    point = arc_operating_point(250, 0.025, 25)
    assert point is not None
    energy = arc_energy_cal(point.current_a, point.resistance_ohm, 2.0)
    assert_printed(spherical_energy_cal_cm2(energy, 45.5), "10.83", units=1)
    assert_printed(10 * spherical_boundary_cm(energy), "1367")
