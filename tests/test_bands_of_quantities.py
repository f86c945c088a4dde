"""The bands that a quantity of a part lies in: usual, believed, and what was meant by a number outside."""

from __future__ import annotations

import pytest

from packcheck.files.quantities import Dimension
from packcheck.files.quantities.bands import (
    BANDS,
    band_of,
    credible,
    impossible,
    likely_slip,
    most_of_device_ohm,
    most_of_module_ohm,
    narrowed,
    unusual,
)


@pytest.mark.parametrize(
    ("section", "key", "value", "meant"),
    [
        # M written for m, N·m for lbf·in, cm for mm, a lost prefix: the true values by plain arithmetic
        ("module types", "resistance", 10e6, "10 mΩ"),
        ("bar types", "resistance", 24e-3, "24 µΩ"),
        ("clamp", "torque", 300.0, "33.9 N·m"),
        ("bar types", "size", 3400.0, "340 mm"),
        ("module types", "nominal", 2400.0, "240 V"),
        ("isolation", "workshop floor", 1.0, "1 MΩ, if a prefix lost"),
    ],
)
def test_a_value_outside_its_usual_band_is_led_back_to_what_was_meant(
    section: str, key: str, value: float, meant: str
) -> None:
    band = band_of(section, key)
    dimension = dict.fromkeys(("resistance", "workshop floor"), Dimension.RESISTANCE)
    dimension |= {"torque": Dimension.TORQUE, "size": Dimension.LENGTH}
    assert band is not None
    assert unusual(value, band)
    assert likely_slip(value, band, dimension.get(key, Dimension.VOLTAGE)).startswith(meant)


def test_every_band_has_its_ends_in_order() -> None:
    for place, band in BANDS.items():
        assert 0 < band.least < band.usual_least < band.usual_most < band.most, place
        assert impossible(band.most * 1.001, band), place
        assert not impossible(band.most, band), place
        assert not unusual(band.usual_most, band), place


def test_only_a_resistance_can_be_too_large_to_be_credible_and_less_than_is_refused() -> None:
    limited = {key: band for key, band in BANDS.items() if band.credible_most < float("inf")}
    assert {key for _, key in limited} == {"resistance"}
    assert len(limited) == 11
    for band in limited.values():
        assert band.usual_most < band.credible_most < band.most
        assert credible(band.credible_most, band)
        assert not credible(band.credible_most * 1.001, band)


def test_a_fuse_is_believed_up_to_a_drop_of_2_volts_at_its_rating() -> None:
    """100 A through 20 mΩ drop 2 V; what states no rating keeps the band of its kind."""
    band = narrowed(BANDS["fuse", "resistance"], most_of_device_ohm(100.0))
    assert credible(0.02, band)
    assert not credible(0.0201, band)
    assert band.usual_most == pytest.approx(0.01)
    assert narrowed(BANDS["fuse", "resistance"], most_of_device_ohm(None)) == BANDS["fuse", "resistance"]


@pytest.mark.parametrize(("chemistry", "cells", "ah", "most"), [
    ("lead-acid", 6, None, 0.3), ("lead-acid", 6, 100.0, 0.03), ("LFP", 1, 100.0, 0.02), ("NiMH", 6, 2.0, 1.8),
])  # fmt: skip
def test_a_module_is_believed_up_to_what_its_cells_can_have(
    chemistry: str, cells: int, ah: float | None, most: float
) -> None:
    assert most_of_module_ohm(chemistry, cells, ah) == pytest.approx(most)
