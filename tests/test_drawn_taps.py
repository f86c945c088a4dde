"""Sense taps as drawn: pins out of order, two on one place, modules that no tap sees."""

from __future__ import annotations

from typing import Any

import pytest
from workshop import pack_of, rack_layout, stick_layout

from packcheck.facts.drawn import drawn
from packcheck.facts.of_drawn_taps import drawn_tap_rows, unsensed

Data = dict[str, Any]
LAYOUT = stick_layout(12)
TAPS = list(LAYOUT["taps"])


def with_pins(pins: list[str]) -> Data:
    return {**LAYOUT, "harness": {"wire": "22 AWG", "X1": pins}}


def out_of_order(layout: Data) -> dict[str, str]:
    rows = drawn_tap_rows(drawn(pack_of(layout)))
    return {row.subject: str(row.values["neighbour"]) for row in rows if row.values["in_order"] is False}


def in_height() -> list[str]:
    """Return the taps from main − up: that on the far side of the disconnect lies behind the one on the near side."""
    plain = [tap for tap in TAPS if tap != "TX"]
    middle = plain.index("T06") + 1
    return [*plain[:middle], "TX", *plain[middle:]]


def test_pins_that_climb_and_pins_that_fall_are_in_order() -> None:
    assert out_of_order(with_pins(in_height())) == {}
    assert out_of_order(with_pins(in_height()[::-1])) == {}


@pytest.mark.parametrize("at", range(1, 5))
def test_two_pins_exchanged_are_named(at: int) -> None:
    pins = in_height()
    pins[at], pins[at + 1] = pins[at + 1], pins[at]
    assert out_of_order(with_pins(pins)) == {pins[at + 1]: pins[at]}


def test_a_layout_of_parallel_strings_has_no_tap_out_of_order_and_sees_every_module() -> None:
    pack = pack_of(rack_layout([6, 6, 6]))
    assert [row.subject for row in drawn_tap_rows(drawn(pack)) if row.values["in_order"] is False] == []
    assert unsensed(drawn(pack)) == ()


def test_two_taps_on_one_place_name_each_other() -> None:
    rows = drawn_tap_rows(drawn(pack_of({**LAYOUT, "taps": {**LAYOUT["taps"], "T03": LAYOUT["taps"]["T04"]}})))
    assert {row.subject: row.values["twin_names"] for row in rows if row.values["twins"]} == {
        "T03": "T04",
        "T04": "T03",
    }


@pytest.mark.parametrize(("gone", "modules"), [("T00", ("P01",)), ("T12", ("P12",)), ("T06", ())])
def test_modules_beyond_the_last_tap(gone: str, modules: tuple[str, ...]) -> None:
    taps = {name: place for name, place in LAYOUT["taps"].items() if name != gone}
    assert unsensed(drawn(pack_of({**LAYOUT, "taps": taps}))) == modules
