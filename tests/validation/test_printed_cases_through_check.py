"""Printed tables and worked examples, written as a layout or a record in a file and judged by ``packcheck check``.

No function of the program is called but the command itself: a file goes in, the answer is read as JSON.  Sources:

* LIEC: T. R. Kuphaldt, Lessons in Electric Circuits, volume I, DC, chapters 10 and 11.
* UP2: OpenStax, University Physics, volume 2, chapter 10.
* NIST SP 811, appendix B: 1 lbf·in is 0.112 984 8 N·m.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from through_check import amperes, found_in, string_of, torqued
from workshop import clean_record, grouped_layout, pack_of


@pytest.mark.parametrize(("breaks", "is_broken"), [("49 A", True), ("51 A", False)])
def test_liec_battery_of_10_v_and_0_2_ohm_shorted_drives_50_a(
    breaks: str, is_broken: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """LIEC chapter 11: 10 V behind 0.2 Ω, shorted, drives 50 A; here four modules of 2.5 V and 50 mΩ."""
    lead = {"chemistry": "lead-acid", "cells": 1, "nominal": "2.0 V", "rest": "2.0 V to 2.2 V"}
    layout = string_of(4, **lead, highest="2.5 V", resistance="50 mΩ")
    layout["devices"]["F1"].update(volts="20 V", breaks=breaks)
    found, verdict = found_in(layout, tmp_path, capsys)
    assert ("fuse-breaking-capacity-low" in found) is is_broken
    if is_broken:
        assert [f["place"] for f in found["fuse-breaking-capacity-low"]] == ["fuse F1"]
        assert float(amperes(found["fuse-breaking-capacity-low"][0]["found"])) == pytest.approx(50, abs=0.5)
        assert verdict == "do not energize"


def test_liec_five_cells_in_parallel_have_a_fifth_of_the_resistance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """LIEC chapter 11: five 2.0 V cells of 0.2 Ω in parallel are 2.0 V behind 0.04 Ω; here six such groups in series.

    Six cells in series are 12.0 V (same chapter), so a short drives 12.0 V / (6 x 0.04 Ω) = 50.0 A.
    """
    layout = grouped_layout(6, 5)
    cell = {"chemistry": "lead-acid", "nominal": "1.9 V", "rest": "1.9 V to 2.0 V", "highest": "2.0 V"}
    layout["module types"]["cell"].update(cell, resistance="0.2 Ω")
    layout["bar types"]["bar"]["resistance"] = "0.1 µΩ"
    layout["joint types"]["post"]["resistance"] = "0.1 µΩ"
    for device in layout["devices"].values():
        device["resistance"] = "1 µΩ"
    layout["devices"]["F1"].update(volts="20 V", breaks="45 A")
    found, _ = found_in(layout, tmp_path, capsys)
    assert float(amperes(found["fuse-breaking-capacity-low"][0]["found"])) == pytest.approx(50, abs=0.5)


@pytest.mark.parametrize(("volts", "is_broken"), [("11.9 V", True), ("12 V", False)])
def test_liec_six_cells_of_2_v_in_series_ask_a_fuse_for_12_v(
    volts: str, is_broken: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """LIEC chapter 11: six 2.0 V cells in series are 12.0 V."""
    lead = {"chemistry": "lead-acid", "cells": 1, "nominal": "1.9 V", "rest": "1.9 V to 2.0 V"}
    layout = string_of(6, **lead, highest="2.0 V", resistance="50 mΩ")
    layout["devices"]["F1"].update(volts=volts)
    found, _ = found_in(layout, tmp_path, capsys)
    assert ("fuse-voltage-low" in found) is is_broken
    if is_broken:
        assert "12 V" in found["fuse-voltage-low"][0]["found"] + found["fuse-voltage-low"][0]["needed"]


def test_forty_inch_pounds_written_as_newton_metres_are_called_a_slip(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """NIST SP 811: 40 lbf·in is 4.519 N·m, in the middle of the band; 40 N·m is nine times it."""
    assert torqued(40, "4 %", tmp_path, capsys).get("torque-unit-slip") == "broken"
    assert torqued("40 lbf·in", "4 %", tmp_path, capsys) == {}


@pytest.mark.parametrize(
    ("reading", "is_broken"), [(12.0, False), (10.0, True), (8.0, True), (-12.0, True)], ids=lambda value: str(value)
)
def test_liec_six_cells_of_2_v_read_12_v_and_every_missing_or_turned_one_shows(
    reading: float, is_broken: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """LIEC chapter 11: six 2.0 V cells in series: 12.0 V; less one 10.0 V, one turned 8.0 V, leads swapped -12.0 V."""
    lead = {"chemistry": "lead-acid", "cells": 1, "nominal": "2.0 V", "rest": "1.95 V to 2.15 V", "highest": "2.4 V"}
    layout = string_of(6, **lead, resistance="5 mΩ")
    layout["joint types"]["post"]["resistance"] = "80 µΩ, at most 150 µΩ"
    layout["devices"]["F1"].update(volts="20 V")
    record = clean_record(pack_of(layout))
    for name in (f"P{i}" for i in range(1, 7)):
        record["modules"][name][3] = 2.0
    rows = record["readings"]
    rows.clear()
    rows["columns"] = ["between", "and", "value V"]
    rows["taken"] = {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug in"}
    rows["the whole string"] = ["P6.B", "P1.B", reading]
    found, verdict = found_in(layout, tmp_path, capsys, record)
    assert ("the whole string" in {f["subject"] for f in found.get("reading-disagrees", [])}) is is_broken
    assert (verdict == "do not energize") is is_broken
