"""Blank records: they ask for what rules need and no more; and a record goes through every kind of file unharmed."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from clean_records import clean_build
from demonstrations import records
from faulty_builds import above_advice, judged, shipped_rules
from filling import filled
from same_record import told
from with_tests import ask_for_tests, found_in_tests
from workshop import grouped_layout, pack_of, rack_layout, stick_layout, trayed_layout

from packcheck.app.cli import run
from packcheck.files.document import parse_document, read_document
from packcheck.files.shipped import shipped_folder
from packcheck.judging.blank import blank_record
from packcheck.judging.check import check_file
from packcheck.model.opening import open_file
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.record.from_cells import document_of_table
from packcheck.model.record.from_document import read_record
from packcheck.model.record.model import Record
from packcheck.model.record.to_blocks import Block, lay_out
from packcheck.render.sheets.separated import separated
from packcheck.render.sheets.text import as_yaml
from packcheck.render.sheets.workbook import workbook
from packcheck.rules.findings import Gate, Outcome

LAYOUTS = sorted(p for p in shipped_folder("layouts").glob("*/*.yaml") if p.stem == p.parent.name)
RECORDS = records()
KINDS = ("yaml", "csv", "semicolon", "tab", "xlsx")


def shipped(path: Path) -> Pack:
    return read_pack(read_document(path))


ASKING = ask_for_tests(stick_layout(6))
FOUND = {"tests": found_in_tests(ASKING)}
"""What the tests found that a layout asks for, by the name of the pack."""


def generated() -> dict[str, Pack]:
    layouts = {
        "stick": stick_layout(10),
        "groups": grouped_layout(7, 3),
        "trays": trayed_layout(5),
        "rack": rack_layout([6, 6]),
        "tests": ASKING,
    }
    return {name: pack_of(layout) for name, layout in layouts.items()}


PACKS = {**{path.stem: shipped(path) for path in LAYOUTS}, **generated()}


def through(blocks: tuple[Block, ...], kind: str, pack: Pack) -> Record:
    """Return the record that blocks are after they were written to a file of some kind and read again."""
    if kind == "yaml":
        return read_record(parse_document(as_yaml(blocks), "record.yaml"), pack)
    sign = {"csv": ",", "semicolon": ";", "tab": "\t"}.get(kind, "")
    content = separated(blocks, sign=sign).encode() if sign else workbook(blocks, states=tuple(pack.states))
    return read_record(document_of_table(content, "record.csv" if sign else "record.xlsx"), pack)


def test_there_are_layouts_and_records_to_try() -> None:
    assert (len(LAYOUTS), len(RECORDS) > 40) == (5, True)


@pytest.mark.parametrize("name", PACKS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_record_is_a_record_in_which_nothing_is_recorded(name: str, kind: str) -> None:
    record = through(blank_record(PACKS[name]).blocks, kind, PACKS[name])
    assert set(record.modules) == set(PACKS[name].positions)
    assert set(record.conductors) == set(PACKS[name].conductors)
    tables = (record.modules, record.conductors, record.devices, record.covers)
    assert [part.fitted for table in tables for part in table.values() if part.fitted is not None] == []
    assert (record.readings, record.caps, record.taps, record.extra_none, record.work) == ((), {}, {}, False, ())
    assert all(joint.torque_n_m is None and joint.recheck is None for joint in record.joints.values())
    findings = judged(record, Gate.RELEASE).findings
    drawn = {f.rule for f in findings if f.drawn}
    assert {f.rule for f in findings if f.outcome is Outcome.BROKEN} <= drawn
    assert any(f.outcome is Outcome.UNPROVEN for f in findings)


@pytest.mark.parametrize("name", PACKS)
def test_a_blank_record_that_is_filled_in_lacks_nothing_up_to_release(name: str) -> None:
    pack = PACKS[name]
    for kind in ("yaml", "xlsx"):
        blocks = filled(pack, tests=FOUND.get(name))
        findings = above_advice(judged(through(blocks, kind, pack), Gate.RELEASE))
        assert [(f.rule, f.subject, f.outcome.value) for f in findings if not f.drawn] == []


def test_every_column_of_a_blank_record_is_asked_for_by_some_rule() -> None:
    pack = PACKS["skerry-24"]
    asked = {(block.section, column.name) for block in blank_record(pack).blocks for column in block.columns
             if block.section in ("modules", "clamp", "bars", "leads", "joints", "caps", "devices", "taps", "covers",
                                  "readings", "parts", "tools")}  # fmt: skip
    instead = {("bars", "lands"), ("leads", "lands"), ("taps", "on")}  # filled in where a part is not as drawn
    of_its_own = {("joints", "at"), ("readings", "at")}  # of a row that was not taken with the others
    named = {("readings", "between"), ("readings", "and"), ("tools", "out"), ("tools", "in")}
    either = {("covers", "is"), ("covers", "screws")}  # each tells both
    complete = findings_of(filled(pack), pack)
    needed = asked - instead - of_its_own - named - either
    assert len(needed) >= 20
    for section, column in sorted(needed):
        assert findings_of(filled(pack, (section, column)), pack) != complete, (section, column)


def findings_of(blocks: tuple[Block, ...], pack: Pack) -> set[tuple[str, str]]:
    return {(f.rule, f.subject) for f in judged(through(blocks, "yaml", pack), Gate.RELEASE).findings}


def test_a_blank_record_asks_for_no_more_voltages_than_a_careful_record_has() -> None:
    """Counted by hand: 12 blocks, two ends of the string, the mains with the plug out and in, past K1, past K2.

    And each of two connectors of seven pins against an end of the string.
    """
    readings = [b for b in blank_record(PACKS["skerry-24"]).blocks if b.section == "readings"]
    assert sum(len(block.lines) for block in readings) == 12 + 2 + 1 + 1 + 2 + 2


def test_the_stages_stand_in_the_order_of_the_work() -> None:
    blocks = blank_record(PACKS["skerry-24"]).blocks
    stages = list(dict.fromkeys(block.stage for block in blocks if block.stage))
    assert [stage.split(":")[0] for stage in stages[:4]] == ["step 1.1", "step 1.2", "step 2.1", "step 2.2"]
    assert stages.index("plug in, contactors open") < stages.index("re-check and marks")


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_a_shipped_record_is_the_same_after_any_kind_of_file(path: Path) -> None:
    opened, root = open_file(path), read_document(path).root
    assert opened.record is not None
    for kind in KINDS:
        assert told(through(lay_out(root), kind, opened.pack)) == told(opened.record), kind


@pytest.mark.parametrize("seed", range(12))
def test_a_generated_record_is_the_same_after_xlsx_and_yaml_again(seed: int) -> None:
    build = clean_build(seed, most=40)
    pack = read_pack(parse_document(build.layout, "layout.yaml"))
    document = parse_document(build.record, "record.yaml")
    table = document_of_table(workbook(lay_out(document.root)), "record.xlsx")
    again = parse_document(as_yaml(lay_out(table.root)), "record.yaml")
    first = told(read_record(document, pack))
    assert told(read_record(table, pack)) == first
    assert told(read_record(again, pack)) == first


def test_a_record_as_a_workbook_is_judged_as_the_same_record_in_yaml(tmp_path: Path) -> None:
    record = next(path for path in RECORDS if path.stem == "sk-0433-late-finish")
    target = tmp_path / "record.xlsx"
    assert run(["sheet", str(record), "--output", str(target)]) == 0
    layout = record.parent / "skerry-24.yaml"
    rules = shipped_rules()
    told_ = [
        [(f.rule, f.subject, f.outcome, f.found) for f in check_file(p, rules=rules, layout=layout).judgement.findings]
        for p in (record, target)
    ]
    assert told_[0] == told_[1]
    assert told_[0]
    places = {f.origin.words() for f in check_file(target, rules=rules, layout=layout).judgement.findings if f.origin}
    assert any(" sheet Bars cell A" in place for place in places), places


def test_a_sheet_that_was_filled_in_is_not_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "record.yaml"
    assert run(["sheet", str(LAYOUTS[0]), "--output", str(target)]) == 0
    assert run(["sheet", str(LAYOUTS[0]), "--output", str(target)]) == 2
    assert "packcheck did not write it" in capsys.readouterr().err
    assert run(["sheet", str(LAYOUTS[0]), "--as", "xlsx"]) == 2
    assert run(["sheet", str(LAYOUTS[0]), "--as", "paper-plane"]) == 2


def test_a_row_taken_at_another_time_stays_in_the_table_of_those_with_its_columns() -> None:
    """Three joints with a torque, one of them at a time of its own, and one without any: two blocks."""
    own = {"torque": "4.4 N·m", "at": "2026-10-05 12:10"}
    joints = {"columns": ["torque N·m"], "B1/P1": [Decimal("4.5")], "B1/P2": own}
    blocks = lay_out({"joints": {**joints, "B2/P2": [Decimal("4.6")], "B2/P3": {"mark": "white"}}})
    found = [([column.name for column in block.columns], [line.name for line in block.lines]) for block in blocks]
    assert found[-2:] == [(["torque", "at"], ["B1/P1", "B1/P2", "B2/P2"]), (["mark"], ["B2/P3"])]


@pytest.mark.parametrize("name", list(PACKS))
def test_beside_each_module_stand_the_names_of_its_posts_and_not_which_is_plus(name: str) -> None:
    pack = PACKS[name]
    (modules,) = [block for block in blank_record(pack).blocks if block.section == "modules"][:1]
    for line in modules.lines:
        assert line.beside["posts"] == " or ".join(pack.module_type_at(line.name).posts)
