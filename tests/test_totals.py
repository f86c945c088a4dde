"""The reading of the whole string against what was read along it: sums in plain arithmetic, packs of other shapes."""

from __future__ import annotations

from typing import Any

import pytest
from faulty_builds import Build, judged
from test_laws import outcomes_of
from workshop import Data, grouped_layout, pack_of, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.facts.evidence import Evidence
from packcheck.facts.of_totals import total_rows
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Measured
from packcheck.rules.findings import Gate, Outcome, Verdict

RULE = "total-unlike-halves"
SHAPES = {
    "stick 6": lambda: stick_layout(6),
    "stick 9": lambda: stick_layout(9),
    "groups 4x3": lambda: grouped_layout(4, 3),
    "trays 2x3": lambda: trayed_layout(3),
}


def value_of(row: Any) -> float:
    return float(str(row["value"]).split()[0]) if isinstance(row, dict) else float(row[2])


def with_total(b: Build, by_v: float) -> Data:
    readings = dict(b.clean["readings"])
    total = readings["total"]
    readings["total"] = {**total, "value": f"{value_of(total) + by_v:.4f} V"}
    return {**b.clean, "readings": readings}


def with_halves(b: Build, halves: Data) -> Data:
    """Return the record of a build with the total and only these readings along it."""
    kept = {name: b.clean["readings"][name] for name in ("columns", "taken", "total")}
    return {**b.clean, "readings": {**kept, **halves}}


def row_of(record: Data, b: Build) -> Any:
    (row,) = build_facts(b.pack, record_of(record, b.pack))["total"]
    return row


@pytest.mark.parametrize("shape", SHAPES)
def test_the_total_of_a_clean_build_equals_its_blocks_and_a_cell_missing_from_it_is_seen(shape: str) -> None:
    b = Build(SHAPES[shape](), release=True)
    row = row_of(b.clean, b)
    assert outcomes_of(record_of(b.clean, b.pack))[RULE, "total"] is Outcome.MET
    short = record_of(with_total(b, -1.2), b.pack)
    assert outcomes_of(short)[RULE, "total"] is Outcome.BROKEN
    assert judged(short, Gate.CLOSE_CONTACTORS).verdict is Verdict.HOLD
    assert row.values["cells"] == sum(b.pack.module_type_at(members[0]).cells for members in b.pack.groups.values())


def test_the_difference_is_that_of_the_written_numbers() -> None:
    b = Build(stick_layout(6), release=True)
    halves = {"half 1": ["P3.A", "P1.B", 23.71], "half 2": ["P6.B", "P4.A", 23.73]}
    record = with_halves(b, halves)
    total = value_of(record["readings"]["total"])
    values = row_of(record, b).values
    assert values["parts"] == "half 1, half 2"
    difference = values["difference_v"]
    assert isinstance(difference, Measured)
    assert (difference.low + difference.high) / 2 == pytest.approx(total - 23.71 - 23.73, abs=1e-9)


def test_halves_read_with_the_leads_exchanged_count_with_their_sign() -> None:
    b = Build(stick_layout(6), release=True)
    halves = {"half 1": ["P1.B", "P3.A", -23.71], "half 2": ["P6.B", "P4.A", 23.73]}
    record = with_halves(b, halves)
    difference = row_of(record, b).values["difference_v"]
    assert isinstance(difference, Measured)
    total = value_of(b.clean["readings"]["total"])
    assert (difference.low + difference.high) / 2 == pytest.approx(total - 23.71 - 23.73, abs=1e-9)


def test_a_block_and_a_half_that_contradict_each_other_leave_the_total_to_agree_with_one_of_them() -> None:
    """Which of the two is wrong says another rule; taking either away never brings the total nearer."""
    b = Build(stick_layout(6), release=True)
    total = value_of(b.clean["readings"]["total"])
    halves = {"half 1": ["P3.A", "P1.B", round(total / 2, 3)], "half 2": ["P6.B", "P4.A", round(total / 2, 3)]}
    wrong = {"half 3": ["P6.B", "P4.A", round(total / 2 - 2.0, 3)]}
    both = outcomes_of(record_of(with_halves(b, {**halves, **wrong}), b.pack))[RULE, "total"]
    only_wrong = with_halves(b, {"half 1": halves["half 1"], **wrong})
    assert both is Outcome.MET
    assert outcomes_of(record_of(only_wrong, b.pack))[RULE, "total"] is Outcome.BROKEN


def test_a_meter_whose_scale_is_off_by_half_a_percent_in_all_readings_is_no_fault() -> None:
    b = Build(stick_layout(9), release=True)
    rows = {n: r for n, r in b.clean["readings"].items() if n not in ("columns", "taken")}
    off = {n: {**r, "value": f"{value_of(r) * 1.005:.4f} V"} if isinstance(r, dict) else [*r[:2], value_of(r) * 1.005]
           for n, r in rows.items()}  # fmt: skip
    meter = {**b.clean["instruments"]["V1"], "accuracy": "0.5 % + 2 mV"}
    record = {**b.clean, "instruments": {**b.clean["instruments"], "V1": meter}}
    record["readings"] = {**b.clean["readings"], **off}
    assert outcomes_of(record_of(record, b.pack))[RULE, "total"] is Outcome.MET


def test_without_the_total_or_without_a_block_nothing_is_shown() -> None:
    b = Build(stick_layout(6), release=True)
    rows = b.clean["readings"]
    no_total = {**b.clean, "readings": {n: r for n, r in rows.items() if n != "total"}}
    assert outcomes_of(record_of(no_total, b.pack))[RULE, b.pack.name] is Outcome.UNPROVEN
    over_p2 = [n for n, r in rows.items() if isinstance(r, list) and n not in ("columns",) and "P2.B" in r[:2]]
    assert over_p2
    no_block = {**b.clean, "readings": {n: r for n, r in rows.items() if n not in over_p2}}
    assert outcomes_of(record_of(no_block, b.pack))[RULE, "total"] is Outcome.UNPROVEN


def test_a_block_whose_value_was_left_blank_leaves_it_open() -> None:
    b = Build(stick_layout(6), release=True)
    blank = {**b.clean["readings"], "V1": [*b.clean["readings"]["V1"][:2], "none"]}
    assert outcomes_of(record_of({**b.clean, "readings": blank}, b.pack))[RULE, "total"] is Outcome.UNPROVEN


def test_strings_in_parallel_share_their_total_and_are_not_asked() -> None:
    b = Build(rack_layout([4, 4]), release=True)
    assert build_facts(b.pack, record_of(b.clean, b.pack))["total"] == ()


def test_a_pack_without_a_disconnect_is_not_asked() -> None:
    layout = stick_layout(6)
    layout["devices"] = {**layout["devices"], "SD": {"kind": "shunt"}}
    for state in layout["states"].values():
        state["closed"] = [name for name in state["closed"] if name != "SD"]
    pack = pack_of(layout)
    assert list(total_rows(Evidence(pack, Record(pack, "record.yaml")), ())) == []
