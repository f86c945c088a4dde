"""Single modules side by side, each a string of one: no bar is named where there is none."""

from __future__ import annotations

import pytest
from workshop import Data, pack_of, rack_layout

from packcheck.files.problems import InputProblems

RACK = rack_layout([4, 4])


def racked(**series: Data) -> Data:
    return {**RACK, "series": {**RACK["series"], **series}}


def test_a_string_of_one_needs_no_names() -> None:
    pack = pack_of(racked(S2={"through": "S2-P1"}))
    assert pack.strings["S2"].groups == ("S2-P1",)
    assert not [one for one in pack.conductors if one.startswith("S2-B")]


def test_a_string_of_four_without_names_is_told_how_many() -> None:
    with pytest.raises(InputProblems) as told:
        pack_of(racked(S2={"through": "S2-P1..S2-P4", "bar": "bar"}))
    assert "add names: with 3 names" in told.value.problems[0].do


def test_a_wrong_count_of_names_makes_no_other_name_unknown() -> None:
    series = {"through": "S2-P1..S2-P4", "bar": "bar", "names": "S2-B1..S2-B4"}
    with pytest.raises(InputProblems) as told:
        pack_of({**racked(S2=series), "taps": {"T1..T3": "S2-B1..S2-B3"}})
    assert [one.found for one in told.value.problems] == ["4 names for 4 groups"]
