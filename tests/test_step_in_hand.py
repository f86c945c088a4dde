"""The step of the layout's order that a build has come to: the first of which something is not recorded as fitted."""

from __future__ import annotations

import pytest
from workshop import Data, clean_record, pack_of, record_of, stick_layout

from packcheck.model.record.work_done import stage_in_hand

ORDER = [["P1..P6"], ["clamp"], ["B1", "B2", "B4", "B5"], ["leads"], ["CB"], ["CA"], ["SD"]]
LAYOUT = {**stick_layout(6), "order": ORDER}
PACK = pack_of(LAYOUT)
CLEAN = clean_record(PACK)


def without(section: str, *names: str) -> Data:
    return {**CLEAN, section: {name: row for name, row in CLEAN[section].items() if name not in names}}


def step_of(record: Data) -> str | None:
    stage = stage_in_hand(PACK, record_of(record, PACK))
    return None if stage is None else stage.kind


def test_of_a_finished_build_none_is_left_and_a_layout_without_an_order_has_none() -> None:
    assert step_of(CLEAN) is None
    plain = pack_of(stick_layout(6))
    assert stage_in_hand(plain, record_of({key: CLEAN[key] for key in ("record", "layout", "of")}, plain)) is None


@pytest.mark.parametrize(("record", "kind"), [
    (without("modules", "P4"), "positions"),
    ({key: value for key, value in CLEAN.items() if key != "clamp"}, "clamp"),
    (without("bars", "B4"), "conductors"),
    ({**CLEAN, "bars": {**CLEAN["bars"], "B4": "not fitted"}}, "conductors"),
    ({**CLEAN, "covers": {**CLEAN["covers"], "CA": "not fitted"}}, "covers"),
])  # fmt: skip
def test_what_is_not_recorded_or_recorded_as_not_fitted_is_still_to_do(record: Data, kind: str) -> None:
    assert step_of(record) == kind


@pytest.mark.parametrize("kept", ["length", "torque"])
def test_a_clamp_of_which_one_number_is_recorded_is_done(kept: str) -> None:
    """What of it is missing the rules ask for: the work has gone on."""
    taken = {"at": "2026-10-05 10:00", "by": "MK", "with": {kept: CLEAN["clamp"]["taken"]["with"][kept]}}
    clamp = {kept: CLEAN["clamp"][kept], "taken": taken}
    assert step_of({**CLEAN, "clamp": clamp}) is None
    assert step_of({**CLEAN, "clamp": clamp, "bars": {**CLEAN["bars"], "B1": "not fitted"}}) == "conductors"
