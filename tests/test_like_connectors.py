"""Two sense connectors of as many pins: the blank record asks for readings that tell them apart."""

from __future__ import annotations

from workshop import Data, pack_of, rack_layout, stick_layout

from packcheck.judging.readings_to_take import asked_readings


def asked(layout: Data, **connectors: str | list[str]) -> set[tuple[str, str]]:
    pack = pack_of({**layout, "harness": {"wire": "22 AWG", "fuse": "1 A", **connectors}})
    return {(one.plus, one.minus) for one in asked_readings(pack) if one.state == "plug out"}


def test_each_of_two_like_connectors_is_tied_to_an_end_that_has_no_pin() -> None:
    """Eight sticks, a plug in the middle: X1 has the lower half with its five pins, X2 the upper with its."""
    found = asked(stick_layout(8), X1="T0..T4", X2=["TX", "T5..T8"])
    assert {("SD.1", "T0"), ("K1.1", "TX")} <= found


def test_a_connector_that_fits_nowhere_else_is_not() -> None:
    found = asked(stick_layout(8), X1="T0..T4", X2=["TX", "T5..T7"])
    assert not {("SD.1", "T0"), ("K1.1", "TX")} & found


def test_where_no_voltage_tells_two_strings_apart_nothing_is_asked() -> None:
    """The lower halves of two strings begin on one bar."""
    found = asked(rack_layout([4, 4]), X1="S1-T0..S1-T2", X2="S2-T0..S2-T2")
    assert all(plus.startswith("S") for plus, minus in found if minus in ("S1-T0", "S2-T0"))
