"""The two places of a reading, however the cell is written: alone, in a list of one, or with when it was told."""

from __future__ import annotations

import pytest
from faulty_builds import every_finding, shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_opened
from packcheck.model.opening import Text, open_bytes
from packcheck.rules.findings import Gate

FOLDER = shipped_folder("layouts") / "skerry-24"
TEXT = (FOLDER / "clean-sk-0417.yaml").read_text("utf-8")
LAYOUT = Text((FOLDER / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
ROW = "[T01, T00, 15.81]"


@pytest.mark.parametrize("place", ["T00", "[T00]", "{is: T00, by: AV}"])
def test_a_reading_that_disagrees_is_explained_whatever_its_places_are_written_as(place: str) -> None:
    """Thirteen volts are missing in one block: what could explain it is looked for at both of its places."""
    assert TEXT.count(ROW) == 1
    opened = open_bytes(TEXT.replace(ROW, f"[T01, {place}, 2.81]").encode(), "record.yaml", LAYOUT)
    assert opened.record is not None
    assert {reading.words for reading in opened.record.readings if reading.name == "X1"} == {("T01", "T00")}
    report = check_opened(opened, shipped_rules(), Gate.PLUG_IN, None)
    assert "reading-disagrees" in {f.rule for f in every_finding(report.judgement)}
