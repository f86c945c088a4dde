"""What tests are reckoned from, against tables of others.

Platinum: rows of table A.1 of IEC 60751, read in the PyPI package caldus 1.3 (caldus/tests.py).  Thermistor: rows
around 25 °C of a 10 kΩ curve in a welding-machine manual (easymanua.ls, manual 23986, page 14), for which one B holds
within 1 %.  Precharge: 190 V, 30 Ω, 1 mF, by the exponential in hand.
"""

from __future__ import annotations

from math import e

import pytest

from packcheck.model.pack.test_limits import probe_named
from packcheck.physics.cells import density_at_reference
from packcheck.physics.charging import band_v, charged_v, time_constant_h
from packcheck.physics.probes import Probe, probe_band_ohm, probe_ohm

PLATINUM = [(-156, 37.22), (-135, 45.94), (-15, 94.12), (-11, 95.69), (0, 100.0), (100, 138.51), (172, 165.51),
            (203, 176.96), (330, 222.68), (409, 250.19), (493, 278.64), (604, 314.99), (718, 350.84),
            (850, 390.48)]  # fmt: skip


@pytest.mark.parametrize(("celsius", "ohm"), PLATINUM)
def test_a_platinum_probe_has_what_table_a1_says(celsius: float, ohm: float) -> None:
    assert probe_ohm(Probe(100.0), celsius) == pytest.approx(ohm, abs=0.006)
    assert probe_ohm(Probe(1000.0), celsius) == pytest.approx(10 * ohm, abs=0.06)


@pytest.mark.parametrize(("celsius", "ohm"), [(20, 12_490), (25, 10_000), (30, 8_057)])
def test_a_thermistor_follows_its_table_near_25_degrees(celsius: float, ohm: float) -> None:
    assert probe_ohm(Probe(10_000.0, 3900.0), celsius) == pytest.approx(ohm, rel=0.01)


def test_the_band_of_a_thermistor_runs_the_other_way() -> None:
    low, high = probe_band_ohm(Probe(10_000.0, 3900.0), 20.0, 30.0)
    assert (low, high) == (pytest.approx(8057, rel=0.01), pytest.approx(12_490, rel=0.01))


@pytest.mark.parametrize("words", ["NTC 10 kΩ", "NTC 10 V, B 3435 K", "NTC 10 kΩ, B 0 K", "Pt10", "type K", ""])
def test_words_that_do_not_tell_a_curve_tell_none(words: str) -> None:
    assert probe_named(words) is None


def test_a_precharge_reaches_95_percent_after_three_time_constants() -> None:
    constant = time_constant_h(30.0, 1000.0)
    assert constant * 3600 == pytest.approx(0.030)
    assert charged_v(190.0, 3 * constant, constant) == pytest.approx(190.0 * (1 - e**-3))
    assert charged_v(190.0, 0.0, constant) == 0.0
    low, high = band_v(190.0, constant, constant, 0.25)
    assert (low, high) == (pytest.approx(190 * (1 - e**-0.8)), pytest.approx(190 * (1 - e ** (-1 / 0.75))))


def test_acid_that_is_warm_is_denser_at_25_degrees() -> None:
    assert density_at_reference(1.265, 25.0) == 1.265
    assert density_at_reference(1.258, 35.0) == pytest.approx(1.265)
