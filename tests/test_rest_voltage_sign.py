"""A rest voltage with the wrong sign is told as that: no cell has collapsed, and no reading disagrees by itself."""

from __future__ import annotations

import re

import pytest
from faulty_builds import above_advice, shipped_rules

from packcheck.facts.slips_of_the_pen import shifted_into, voltage_slip
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text
from packcheck.rules.findings import Gate, Verdict


@pytest.mark.parametrize(
    ("pack", "record", "module"),
    [
        ("skerry-24", "clean-sk-0417", "P05"),  # nickel
        ("plover-16", "clean-pl-0052", "P05"),  # lithium, with copper foil
        ("eider-20", "clean-ed-0031", "L1-M05"),  # lead
    ],
)
def test_it_is_one_finding_that_names_the_sign(pack: str, record: str, module: str) -> None:
    folder = shipped_folder("layouts") / pack
    text = (folder / f"{record}.yaml").read_text("utf-8")
    told, count = re.subn(rf"^(  {module}: +\[.*, *)(\d+\.\d+)(.*\])", r"\1-\2\3", text, count=1, flags=re.MULTILINE)
    assert count == 1, "the module has its row"
    layout = Text((folder / f"{pack}.yaml").read_bytes(), f"{pack}.yaml")
    judgement = check(told.encode(), "r.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=layout).judgement
    assert judgement.verdict is not Verdict.NO_RULE_BROKEN
    assert [(f.rule, f.subject) for f in above_advice(judgement)] == [("rest-voltage-slip", module)]
    assert "its sign is turned" in above_advice(judgement)[0].found


def test_a_negative_voltage_outside_the_window_either_way_is_no_slip_of_the_sign() -> None:
    assert voltage_slip(-7.92, 7.5, 8.4).startswith("it fits as 7.92 V")
    assert shifted_into(-7.92, 7.5, 8.4) == -1.0
    assert voltage_slip(-7.4, 7.5, 8.4) == ""
    assert shifted_into(-7.4, 7.5, 8.4) == 1.0
