"""The to-do list is the work: in the order in which hands do it, in few lines, and enough once it has been done."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest
from faulty_builds import every_finding, judged, shipped_rules
from workshop import (
    Data,
    clean_record,
    grouped_layout,
    pack_of,
    rack_layout,
    record_of,
    stick_layout,
    trayed_layout,
    write,
)

from packcheck.app.cli import run
from packcheck.facts.of_readings import UNREAD
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.judging.fewest_readings import WHAT, spare_readings
from packcheck.judging.to_do import ToDo
from packcheck.model.opening import open_file
from packcheck.network.circuit import solve_circuit
from packcheck.network.graph import branches, network_of_record
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import GATES, Gate, Severity

SHIPPED = shipped_folder("layouts")
SHOWN_BY_READINGS = ("module-facing-unconfirmed", "conductor-not-confirmed")
PACKS = {
    "6 in a string": (stick_layout(6), 8), "24 in a string": (stick_layout(24), 26),
    "96 in a string": (stick_layout(96), 98),
    "24 groups of 4": (grouped_layout(24, 4), 26), "96 groups of 2": (grouped_layout(96, 2), 98),
    "two trays of 12": (trayed_layout(12), 14),
}  # fmt: skip
"""Layouts, each with how many readings prove every facing and every conductor: a block each, and the two halves."""


def to_do_of(layout: Data, record: Data, folder: Path, gate: Gate = Gate.RELEASE) -> tuple[ToDo, ...]:
    write(folder / "layout.yaml", layout)
    return check_file(write(folder / "record.yaml", record), rules=shipped_rules(), gate=gate).to_do


def without_readings(record: Data) -> Data:
    return {key: value for key, value in record.items() if key != "readings"}


def asked_readings(errands: tuple[ToDo, ...]) -> list[tuple[str, str]]:
    places = [place for errand in errands if errand.what[0].startswith(WHAT) for place in errand.places]
    return [(plus, minus) for plus, _, minus in (place.partition(" to ") for place in places)]


@pytest.mark.parametrize("name", PACKS)
def test_the_readings_asked_for_are_few_and_are_enough(name: str, tmp_path: Path) -> None:
    layout, most = PACKS[name]
    pack = pack_of(layout)
    bare = without_readings(clean_record(pack))
    pairs = asked_readings(to_do_of(layout, bare, tmp_path))
    assert 0 < len(pairs) <= most
    solved = solve_circuit(branches(network_of_record(record_of(bare, pack)).closed(())))
    rows = {}
    for number, (plus, minus) in enumerate(pairs):
        volts = float(solved.voltage(pack.node_of(plus) or plus, pack.node_of(minus) or minus))
        assert volts > 0, f"{plus} is not the upper end"
        rows[f"R{number}"] = [plus, minus, round(volts, 4)]
    taken = {"at": "2026-10-05 14:00", "by": "MK", "with": "V1", "state": "plug out"}
    done = {**bare, "readings": {"columns": ["between", "and", "value V"], "taken": taken, **rows}}
    wrong = {finding.rule for finding in every_finding(judged(record_of(done, pack)))}
    assert wrong.isdisjoint(SHOWN_BY_READINGS)
    short = {**done["readings"]}
    del short["R0"]
    left_out = {finding.rule for finding in every_finding(judged(record_of({**done, "readings": short}, pack)))}
    assert not left_out.isdisjoint(SHOWN_BY_READINGS)


def test_the_24_module_record_needs_19_voltages_at_most() -> None:
    """24 facings and 27 conductors are proved; the record without any reading is asked for 15 voltages."""
    record = SHIPPED / "skerry-24" / "clean-sk-0417.yaml"
    text = record.read_text(encoding="utf-8")
    start, end = text.index("\nreadings:"), text.index("\nagain:")
    errands = _judged_text(text[:start] + text[end:], Gate.PLUG_IN)
    voltages = [place for errand in errands for place in errand.places if errand.what[0].startswith("voltage")]
    assert len(voltages) == 12 + 2 + 1


def _judged_text(text: str, gate: Gate) -> tuple[ToDo, ...]:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "record.yaml").write_text(text, encoding="utf-8")
        layout = SHIPPED / "skerry-24" / "skerry-24.yaml"
        return check_file(Path(folder) / "record.yaml", rules=shipped_rules(), gate=gate, layout=layout).to_do


def test_a_part_read_across_in_vain_is_read_by_itself() -> None:
    layout = stick_layout(6)
    pack = pack_of(layout)
    record = clean_record(pack)
    first = next(row for key, row in record["readings"].items() if key == "V1")
    poor = {**record, "instruments": {**record["instruments"], "V1": {"kind": "multimeter", "accuracy": "90 %"}}}
    asked = spare_readings(pack, record_of(poor, pack))
    datum = Datum("voltage across it, with its sign", "P1", "multimeter", "A")
    assert first[:2] == ["T1", "T0"] or first[0].startswith("P1")
    assert tuple(asked(datum)) == (datum,)


@pytest.mark.parametrize("name", ["6 in a string", "96 in a string", "96 groups of 2"])
def test_an_empty_record_is_asked_for_in_few_lines_in_the_order_of_the_work(name: str, tmp_path: Path) -> None:
    layout, _ = PACKS[name]
    full = clean_record(pack_of(layout))
    keys = ("record", "layout", "of", "people", "instruments")
    errands = to_do_of(layout, {key: full[key] for key in keys}, tmp_path)
    assert len(errands) < 70
    assert [GATES.index(e.gate) for e in errands] == sorted(GATES.index(e.gate) for e in errands)
    stages = list(dict.fromkeys(errand.stage for errand in errands if errand.gate in (Gate.FIT_BARS, Gate.PLUG_IN)))
    words = " ".join(stages)
    found = [
        words.index(word)
        for word in ("modules", *(["clamp"] if "clamp" in layout else []), "bars", "covers", "plug out")
    ]
    assert found == sorted(found)


def test_a_torque_is_asked_for_with_its_band_and_a_clamp_too(tmp_path: Path) -> None:
    layout = stick_layout(6)
    record = clean_record(pack_of(layout))
    del record["joints"], record["clamp"]
    targets = {errand.what: errand.target for errand in to_do_of(layout, record, tmp_path)}
    assert targets[("torque",)] == "4 N·m to 5 N·m, aim 4.5 N·m"
    assert targets[("torque of the clamp rods",)] == "5 N·m to 7 N·m"
    assert {t for what, t in targets.items() if "torque" not in what[0]} == {""}


def test_what_only_advice_asks_for_is_marked_so() -> None:
    record = SHIPPED / "skerry-24" / "clean-sk-0417.yaml"
    errands = check_file(record, rules=shipped_rules(), gate=Gate.PLUG_IN).to_do
    assert errands
    assert all(errand.advice and errand.what == ("condition",) for errand in errands)


@pytest.mark.parametrize("pack", ["skerry-24", "plover-16", "heron-2x15"])
def test_what_one_rule_with_weight_asks_for_is_not_marked_as_advice(pack: str, tmp_path: Path) -> None:
    """A blank record is asked for everything, and much of it by several rules, some with weight and some without."""
    layout = SHIPPED / pack / f"{pack}.yaml"
    of = {"name": pack, "revision": open_file(layout).pack.revision, "pack": "A"}
    blank = write(tmp_path / "blank.yaml", {"record": 1, "layout": layout.name, "of": of})
    errands = check_file(blank, rules=shipped_rules(), layout=layout).to_do
    weighs = {rule.name for rule in shipped_rules() if rule.severity is not Severity.ADVISE}
    assert [errand.what for errand in errands if errand.advice is bool(weighs & {*errand.rules})] == []
    mixed = [errand for errand in errands if weighs & {*errand.rules} and {*errand.rules} - weighs]
    assert len(mixed) >= 2


def test_strings_in_parallel_are_read_string_by_string(tmp_path: Path) -> None:
    layout = rack_layout([4, 4])
    pack = pack_of(layout)
    errands = to_do_of(layout, without_readings(clean_record(pack)), tmp_path)
    assert len(asked_readings(errands)) >= 8


@pytest.mark.parametrize("pack", ["eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96"])
def test_a_blank_sheet_asks_for_nothing_that_no_hand_can_record_and_for_each_reading_once(
    pack: str, tmp_path: Path
) -> None:
    layout = SHIPPED / pack / f"{pack}.yaml"
    shutil.copy(layout, tmp_path)
    assert run(["sheet", str(tmp_path / layout.name), "--output", str(tmp_path / "blank.yaml")]) == 0
    errands = check_file(tmp_path / "blank.yaml", rules=shipped_rules(), gate=Gate.RELEASE).to_do
    assert len(errands) >= 20
    assert [errand.what for errand in errands if not errand.instrument] == []
    begun = [place for errand in errands if UNREAD in errand.what for place in errand.places]
    named = {" to ".join(pair) for pair in asked_readings(errands)}
    assert len(begun) >= 15
    assert named.isdisjoint(begun)
