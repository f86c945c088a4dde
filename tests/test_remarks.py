"""What a record tells and no rule judges stands in every answer, in text and in JSON."""

from __future__ import annotations

from pathlib import Path

import pytest
from faulty_builds import shipped_rules
from workshop import clean_record, pack_of, record_of, stick_layout

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.judging.report import Report
from packcheck.render.json import judged_file
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Outcome, Verdict

SKERRY = shipped_folder("layouts") / "skerry-24"
HARM = "a note that may tell of harm"


def answer(folder: Path, *changes: tuple[str, str], kind: str = "NTC 10 kΩ") -> Report:
    """Return the answer to the clean record of skerry-24 with some of its text changed, and its kind of probe."""
    text = (SKERRY / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    layout = (SKERRY / "skerry-24.yaml").read_text(encoding="utf-8")
    assert layout.count("NTC 10 kΩ") == 1
    (folder / "skerry-24.yaml").write_text(layout.replace("NTC 10 kΩ", kind), encoding="utf-8")
    (folder / "record.yaml").write_text(text, encoding="utf-8")
    return check_file(folder / "record.yaml", rules=shipped_rules())


@pytest.mark.parametrize(("old", "new", "what", "names"), [
    ("vents:\n  V1: as drawn", "vents:\n  V1: {is: as drawn, hold: tight}", "hold of a vent", ("V1",)),
    ("  - \"Total read", "  - P07 was hot and swollen after the night\n  - \"Total read", HARM,
     ("P07 was hot and swollen after the night",)),
    ("notes: facing called out and read back", "notes: P03 smells and leaks", HARM, ("P03 smells and leaks",)),
    ("covers:\n", "covers:\n  taken: {at: 2026-10-05 15:00, by: ZZ}\n",
     "a look by somebody who is not among the people listed", ("covers by ZZ",)),
    ("  lead W5:     [T01, K2.2, 15.81]", "  lead W5:     [T01, K2.2, 15.81]\n"
     "  wall: {between: K1.1, and: SD.1, value: 22 MΩ, state: plug out}", "a resistance among the readings", ("wall",)),
])  # fmt: skip
def test_what_no_rule_judges_is_named_in_text_and_json(
    tmp_path: Path, old: str, new: str, what: str, names: tuple[str, ...]
) -> None:
    before, report = answer(tmp_path), answer(tmp_path, (old, new))
    assert what not in [told.what for told in before.unjudged]
    assert {told.what: told.names for told in report.unjudged}[what] == names
    assert {"what": what, "names": list(names)} in judged_file(report)["judged by no rule"]
    text = " ".join(render_terminal(report, width=200).split())
    assert "WRITTEN DOWN, judged by no rule" in text
    assert all(f"{what}: {name}" in text for name in names)


@pytest.mark.parametrize(("kind", "judged"), [
    ("NTC 10 kΩ", True), ('"NTC 10 kΩ, B 3435 K"', True), ("Pt1000", True), ("digital", False),
])  # fmt: skip
def test_the_resistance_of_a_probe_is_named_where_its_kind_tells_nothing(
    tmp_path: Path, kind: str, judged: bool
) -> None:
    read = ("  N1..N3: as drawn", "  N1..N2: as drawn\n  N3: {resistance: 10 kΩ}")
    report = answer(tmp_path, read, kind=kind)
    told = {told.what: told.names for told in report.unjudged}.get("resistance of a probe", ())
    assert told == (() if judged else ("N3",))


@pytest.mark.parametrize(("column", "value", "what"), [
    ("capacity Ah", 2.1, "the capacity of modules"), ("mass g", 900, "the mass of modules"),
])  # fmt: skip
def test_numbers_of_a_module_that_no_rule_reads_are_named(column: str, value: float, what: str) -> None:
    layout = stick_layout(5)
    del layout["module types"]["stick"]["capacity"]
    pack = pack_of(layout)
    record = clean_record(pack)
    modules = {name: [*row, "none"] if isinstance(row, list) else row for name, row in record["modules"].items()}
    modules["columns"] = [*record["modules"]["columns"], column]
    modules["P3"] = [*record["modules"]["P3"], value]
    remarks = record_of({**record, "modules": modules}, pack).remarks
    assert {remark.what: remark.names for remark in remarks} == {what: ("P3",)}


@pytest.mark.parametrize(("note", "is_harm"), [
    ("smell of solvent at P04", True), ("P04 is Swollen", True), ("electrolyte LEAKED on the mat", True),
    ("one cell overheated", True), ("wet under the tray", True), ("a spark when B03 went on", True),
    ("a shot of the label was taken", False), ("bench cleared, tools counted out", False), ("parcel came late", False),
])  # fmt: skip
def test_notes_of_harm_stand_before_the_others(tmp_path: Path, note: str, is_harm: bool) -> None:
    report = answer(tmp_path, ('  - "Total read', f'  - {note}\n  - "Total read'))
    found = {told.what: told.names for told in report.unjudged}
    assert (note in found.get(HARM, ())) is is_harm
    assert (note in found["a note"]) is not is_harm
    if is_harm:
        assert report.unjudged[0].what == HARM


def test_a_record_without_work_says_so_and_is_not_held_for_it(tmp_path: Path) -> None:
    text = (SKERRY / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    work = text[text.index("work:") : text.index("\nnotes:")]
    told, untold = answer(tmp_path), answer(tmp_path, (work, ""))
    assert told.untold == ()
    assert [words.partition(":")[0] for words in untold.untold] == ["the work"]
    assert untold.judgement.verdict is told.judgement.verdict is Verdict.NO_RULE_BROKEN
    assert judged_file(untold)["not recorded"] == list(untold.untold)
    assert "NOT RECORDED, and asked for by no finding" in render_terminal(untold, width=100)
    assert "NOT RECORDED, and asked for" not in render_terminal(told, width=100)


@pytest.mark.parametrize("number", range(1, 6))
def test_a_step_left_out_of_the_work_is_asked_for(tmp_path: Path, number: int) -> None:
    """Steps 2 to 6 of the clean record put on what the order of the layout names; notes alone are no step."""
    text = (SKERRY / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.startswith("  - {at:") and "did:" in line]
    report = answer(tmp_path, (lines[number - 1] + "\n", ""))
    assert ("work-untold", Outcome.UNPROVEN) in [(p.rule, p.outcome) for p in report.paragraphs]
    assert report.judgement.verdict is Verdict.HOLD
