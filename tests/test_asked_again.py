"""One row left out of a record makes the to-do list ask for that row, and for no reading that stands in it."""

from __future__ import annotations

from pathlib import Path

import pytest
from faulty_builds import judged
from test_open_switches import TWO_PLUGS

from packcheck.files.document import parse_document
from packcheck.judging.to_do import walk
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.rules.findings import Gate, Severity

ROWS = {
    "  B1: as drawn\n": "B1",
    "  B3: as drawn\n": "B3",
    "  B5: as drawn\n": "B5",
    "  SD1: as drawn\n": "SD1",
    "  P3: [A-107, R, mono, 12.85]\n": "P3",
    "  P6: [A-116, R, mono, 12.85]\n": "P6",
}


@pytest.mark.parametrize("row", ROWS)
def test_one_row_left_out_is_all_that_is_asked_for(row: str) -> None:
    text = TWO_PLUGS.read_text(encoding="utf-8")
    assert text.count(row) == 1
    layout = Path(TWO_PLUGS.with_name("gadwall-6.yaml"))
    pack = read_pack(parse_document(layout.read_text(encoding="utf-8"), layout.name))
    judgement = judged(read_record(parse_document(text.replace(row, ""), TWO_PLUGS.name), pack), Gate.RELEASE)
    open_ = [f for f in walk(judgement.findings) if f.severity is not Severity.ADVISE]
    asked = {(datum.what, datum.place) for finding in open_ for datum in finding.data}
    assert asked
    assert {place for _, place in asked} == {ROWS[row]}, asked
