"""Words do not part a string: a reading past each open switch does."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from branches import with_branches
from faulty_builds import Build, every_finding, judged
from workshop import Data, grouped_layout, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.facts.evidence import Evidence
from packcheck.facts.of_devices import device_rows
from packcheck.files.document import parse_document
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.rules.findings import Finding, Gate, Outcome, Verdict

SHAPES = {
    "sticks": lambda: stick_layout(9),
    "groups": lambda: grouped_layout(5, 3),
    "trays": lambda: trayed_layout(4),
    "rack": lambda: rack_layout([5, 5, 5]),
}


@cache
def build(shape: str) -> Build:
    return Build(SHAPES[shape](), release=True)


def with_readings(b: Build, **readings: Data | None) -> Data:
    """Return the clean record with some readings otherwise, or left out."""
    kept = {name: row for name, row in {**b.clean["readings"], **readings}.items() if row is not None}
    return {**b.clean, "readings": kept}


def between_mains(b: Build) -> list[str]:
    """Return the readings of a clean record that lie between the ends of the pack with the plug out."""
    rows = b.clean["readings"].items()
    return [name for name, row in rows if isinstance(row, list) and tuple(row[:2]) == b.ends]


def outcomes(b: Build, record: Data, gate: Gate, rule: str) -> set[Outcome]:
    return {f.outcome for f in every_finding(judged(record_of(record, b.pack), gate)) if f.rule == rule}


@pytest.mark.parametrize("shape", SHAPES)
def test_as_drawn_and_nothing_else_do_not_stand_for_the_mains_read_with_the_plug_out(shape: str) -> None:
    b = build(shape)
    rule, names = "disconnect-not-shown-open", between_mains(b)
    assert names
    assert outcomes(b, b.clean, Gate.PLUG_IN, rule) == set()
    without = with_readings(b, **dict.fromkeys(names))
    assert outcomes(b, without, Gate.PLUG_IN, rule) == {Outcome.UNPROVEN}
    assert judged(record_of(without, b.pack)).verdict is Verdict.HOLD
    total = float(b.clean["readings"]["total"]["value"].split()[0])
    bridged = with_readings(b, **{name: [*b.ends, round(0.999 * total, 2)] for name in names})
    assert outcomes(b, bridged, Gate.PLUG_IN, rule) == {Outcome.BROKEN}
    assert judged(record_of(bridged, b.pack)).verdict is Verdict.DO_NOT_ENERGIZE


@pytest.mark.parametrize("shape", SHAPES)
def test_each_contactor_needs_a_reading_of_its_own_past_it(shape: str) -> None:
    b = build(shape)
    rule, readings = "contactor-not-shown-open", b.clean["readings"]
    names = [name for name in readings if name.startswith("open ")]
    assert names
    total = readings["total"]["value"]
    for name in names:
        assert outcomes(b, with_readings(b, **{name: None}), Gate.CLOSE_CONTACTORS, rule) == {Outcome.UNPROVEN}
        welded = with_readings(b, **{name: {**readings[name], "value": total}})
        assert outcomes(b, welded, Gate.CLOSE_CONTACTORS, rule) == {Outcome.BROKEN}
        assert judged(record_of(welded, b.pack), Gate.CLOSE_CONTACTORS).verdict is Verdict.DO_NOT_ENERGIZE
    assert outcomes(b, b.clean, Gate.CLOSE_CONTACTORS, rule) == set()


def test_between_both_outer_ends_one_welded_contactor_shows_nothing() -> None:
    b = build("sticks")
    names = [name for name in b.clean["readings"] if name.startswith("open ")]
    outer = {"between": "K1.2", "and": "K2.1", "value": "0.001 V", "state": "plug in"}
    record = with_readings(b, outer=outer, **dict.fromkeys(names))
    assert outcomes(b, record, Gate.CLOSE_CONTACTORS, "contactor-not-shown-open") == {Outcome.UNPROVEN}


def test_a_second_reading_that_shows_nothing_does_not_hide_one_that_shows_the_whole_voltage() -> None:
    b = build("trays")
    total = float(b.clean["readings"]["total"]["value"].split()[0])
    record = with_readings(b, more=[*b.ends, round(total, 2)])
    assert judged(record_of(record, b.pack)).verdict is Verdict.DO_NOT_ENERGIZE


TWO_PLUGS = Path(__file__).parent / "outcomes" / "packs" / "gadwall-6-clean.yaml"
"""A string of 2 + 2 + 2 modules, of 25.70 V, 25.68 V and 25.69 V, with a plug SD1 and an isolator SD2 between them."""
RULE = "disconnect-not-shown-open"


def found(text: str, rule: str = RULE, gate: Gate = Gate.PLUG_IN) -> dict[str, Finding]:
    layout = TWO_PLUGS.with_name("gadwall-6.yaml").read_text(encoding="utf-8")
    pack = read_pack(parse_document(layout, "gadwall-6.yaml"))
    record = read_record(parse_document(text, TWO_PLUGS.name), pack)
    return {f.subject: f for f in every_finding(judged(record, gate)) if f.rule == rule}


def changed(old: str, new: str) -> str:
    text = TWO_PLUGS.read_text(encoding="utf-8")
    assert text.count(old) == 1
    return text.replace(old, new)


def test_the_mains_with_two_plugs_out_tell_of_neither() -> None:
    assert found(TWO_PLUGS.read_text(encoding="utf-8")) == {}
    past = ("  past SD1: [SD2.1, P1.L, 0.002]\n", "  past SD2: [F1.2, SD1.2, 0.004]\n")
    text = TWO_PLUGS.read_text(encoding="utf-8").replace(past[0], "").replace(past[1], "")
    both = found(text)
    assert {name: f.outcome for name, f in both.items()} == {"SD1": Outcome.UNPROVEN, "SD2": Outcome.UNPROVEN}
    asked = {name: f.data[0].what for name, f in both.items()}
    assert asked == {
        "SD1": "voltage from SD2.1 to P1.L with every disconnect open",
        "SD2": "voltage from F1.2 to SD1.2 with every disconnect open",
    }


@pytest.mark.parametrize("stuck", ["SD1", "SD2"])
def test_one_switch_that_stays_closed_is_found_while_the_other_stands_open(stuck: str) -> None:
    row, volts = {"SD1": ("[SD2.1, P1.L, 0.002]", "51.38"), "SD2": ("[F1.2, SD1.2, 0.004]", "51.37")}[stuck]
    text = changed(row, f"{row.rpartition(' ')[0]} {volts}]")
    assert {name: f.outcome for name, f in found(text).items()} == {stuck: Outcome.BROKEN}


def test_the_mains_read_with_one_plug_in_tell_of_the_other() -> None:
    row = "  past SD2: [F1.2, SD1.2, 0.004]\n"
    assert set(found(changed(row, ""))) == {"SD2"}
    one_in = "  mains one: {between: F1.2, and: P1.L, value: 0.003 V, state: plug one, at: 2026-10-05 11:10}\n"
    assert found(changed(row, one_in)) == {}
    welded = one_in.replace("0.003 V", "77.07 V")
    assert {name: f.outcome for name, f in found(changed(row, welded)).items()} == {"SD2": Outcome.BROKEN}


@pytest.mark.parametrize("row", ["[SD2.2, SD2.1, 0.001]", "[F1.1, SD2.2, 25.69]", "[F1.2, P1.L, 0.002]"])
def test_a_reading_that_would_be_the_same_with_it_closed_proves_nothing(row: str) -> None:
    """Across its own two ends a bridge reads 0 V as two floating parts do; on one side of it nothing changes."""
    text = changed("  past SD2: [F1.2, SD1.2, 0.004]\n", f"  other: {row}\n")
    assert {name: f.outcome for name, f in found(text).items()} == {"SD2": Outcome.UNPROVEN}


def test_where_a_bar_on_the_way_was_not_recorded_the_bar_is_asked_for_and_no_reading_again() -> None:
    one = found(changed("  B5: as drawn\n", ""))["SD2"]
    assert one.outcome is Outcome.UNPROVEN
    assert [(datum.what, datum.place) for datum in one.data] == [("whether it is fitted", "B5")]


def test_where_a_recorded_fault_parts_the_way_the_reading_proves_nothing() -> None:
    both = found(changed("  B5: as drawn\n", "  B5: not fitted\n"))
    assert both["SD2"].outcome is Outcome.UNPROVEN


def test_a_contactor_of_any_kind_in_the_main_path_is_read_past() -> None:
    layout = stick_layout(9)
    kinds = {name: one["kind"].replace("main contactor", "contactor") for name, one in layout["devices"].items()}
    devices = {name: {**one, "kind": kinds[name]} for name, one in layout["devices"].items()}
    b, rule = Build({**layout, "devices": devices}, release=True), "contactor-not-shown-open"
    read = {**b.clean, "readings": build("sticks").clean["readings"]}
    assert outcomes(b, read, Gate.CLOSE_CONTACTORS, rule) == set()
    unread = {name: row for name, row in read["readings"].items() if not name.startswith("open")}
    assert outcomes(b, {**read, "readings": unread}, Gate.CLOSE_CONTACTORS, rule) == {Outcome.UNPROVEN}


@pytest.mark.parametrize("kind", ["contactor", "main contactor"])
def test_a_contactor_within_a_string_is_read_past_by_what_is_asked_for(kind: str) -> None:
    """Both strings part in their middle: with all open, nothing joins the ends that the contactors look at."""
    layout = rack_layout([6, 6])
    layout["devices"] |= {name: {"kind": kind} for name in ("DS1", "DS2")}
    b, rule = Build(layout, release=True), "contactor-not-shown-open"
    kept = {name: row for name, row in b.clean["readings"].items() if name in ("columns", "taken")}
    unread = {**b.clean, "readings": kept}
    by_device = {row.subject: row.missing for row in device_rows(Evidence(b.pack, record_of(unread, b.pack)))}
    datum = by_device["DS1"]["open_read_v"]
    assert datum.what == "voltage from K1.1 to K2.2 with every disconnect open"
    past = {"between": "K1.1", "and": "K2.2", "value": "2 mV", "state": "plug out"}
    read = {**b.clean, "readings": {**kept, "past": past}}
    told = {name: {f.subject for f in every_finding(judged(record_of(record, b.pack), Gate.CLOSE_CONTACTORS))
                   if f.rule == rule} for name, record in (("unread", unread), ("read", read))}  # fmt: skip
    assert told == {"unread": {"DS1", "DS2", "K1", "K2"}, "read": {"K1", "K2"}}


# in a branch


def branch(fed_from: str) -> Build:
    """Return a clean build whose converter hangs behind an isolator and a fuse, on one end of a device or on a post."""
    layout = with_branches(stick_layout(12), ["converter"])
    leads = {**layout["leads"], "WC1": {"lands": [fed_from, "QC.1"]}, "WC2": {"lands": ["QC.2", "F2.1"]}}
    devices = {**layout["devices"], "QC": {"kind": "isolator"}}
    live = {name: {"closed": [*state["closed"], "QC"]} for name, state in layout["states"].items() if name == "live"}
    return Build({**layout, "leads": leads, "devices": devices, "states": {**layout["states"], **live}}, release=True)


def asked_past(b: Build, device: str, record: Data) -> str:
    rows = device_rows(Evidence(b.pack, record_of(record, b.pack)))
    return next(row.missing["open_read_v"].what for row in rows if row.subject == device)


def test_a_disconnect_of_a_branch_is_asked_for_as_advice_alone() -> None:
    """Six sticks of the upper half stand between the branch and the disconnect in the middle."""
    b, rule = branch("K1.1"), "branch-disconnect-not-shown-open"
    clean = judged(record_of(b.clean, b.pack), Gate.RELEASE)
    assert {f.outcome for f in every_finding(clean) if f.rule == rule} == {Outcome.UNPROVEN}
    assert clean.verdict is Verdict.NO_RULE_BROKEN
    assert asked_past(b, "QC", b.clean).endswith(" with every disconnect open")
    plus, minus = asked_past(b, "QC", b.clean).split()[2:5:2]
    for value, found in ((0.002, set()), (47.2, {Outcome.BROKEN})):
        read = with_readings(b, **{"past QC": [plus, minus, value]})
        assert outcomes(b, read, Gate.PLUG_IN, rule) == found
        weighs = outcomes(b, read, Gate.PLUG_IN, "reading-floating")
        assert weighs == ({Outcome.BROKEN} if found else set())


def test_a_branch_that_nothing_feeds_with_every_switch_open_is_not_asked_for() -> None:
    b = branch("K1.2")
    assert outcomes(b, b.clean, Gate.RELEASE, "branch-disconnect-not-shown-open") == set()
