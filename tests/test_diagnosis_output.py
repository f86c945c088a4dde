"""The diagnosis as people and programs read it: its words, its JSON and its exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from demonstrations import demonstration
from jsonschema import Draft202012Validator
from near_misses import TOTAL, U, V, record, vector

from packcheck.app.cli import run
from packcheck.diagnosis.answer import diagnose
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.model.record.model import Record
from packcheck.render.diagnosis_json import render_diagnosis_json
from packcheck.render.diagnosis_text import render_diagnosis

SCHEMA = json.loads((schema_folder() / "diagnosis.json").read_text(encoding="utf-8"))
LAYOUTS = shipped_folder("layouts")
CASES = {
    "turned": record(vector(X4=0.0), TOTAL - 2 * V),
    "clean": record(vector(), TOTAL),
    "pair": record(vector(X4=V, X9=V), TOTAL - 2 * V),
    "loaded": record(vector(), TOTAL, loaded=[U - 20 * (0.0204 + (0.003 if i == 4 else 0.0)) for i in range(1, 13)]),
    "nonsense": record(vector(X1=3.3, X4=5.5, X7=21.0, X9=1.7, X12=60.0), 99.0),
}


def document(built: Record) -> dict[str, Any]:
    parsed: dict[str, Any] = json.loads(render_diagnosis_json(diagnose(built), built, version="1", code=1))
    return parsed


@pytest.mark.parametrize("name", CASES)
def test_json_fits_its_schema(name: str) -> None:
    Draft202012Validator.check_schema(SCHEMA)
    Draft202012Validator(SCHEMA).validate(document(CASES[name]))


@pytest.mark.parametrize("spoil", [
    lambda d: d.update({"packcheck diagnosis": 2}),
    lambda d: d["explanations"][0].pop("says"),
    lambda d: d["next"]["outcomes"][0].update({"left": [0]}),
    lambda d: d["readings"][0].update({"extra": 1}),
])  # fmt: skip
def test_the_schema_refuses_what_is_no_diagnosis(spoil: Any) -> None:
    spoiled = document(CASES["turned"])
    spoil(spoiled)
    assert not Draft202012Validator(SCHEMA).is_valid(spoiled)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("width", [40, 80, 120])
def test_text_keeps_its_width_and_accuses_nobody(name: str, width: int) -> None:
    text = render_diagnosis(diagnose(CASES[name]), CASES[name], width=width)
    assert max(map(len, text.splitlines())) <= width
    assert not re.search(r"\b(mistake|blame|careless|wrong|forgot|certainly|must have)\b", text)
    assert "-0.00" not in text


def test_several_explanations_are_numbered_and_the_plan_names_their_numbers() -> None:
    text = render_diagnosis(diagnose(CASES["turned"]), CASES["turned"], everything=True)
    assert text.startswith("9 EXPLANATIONS FIT, NONE OF THEM PROVED: 2 readings of 13 not as the record")
    left = {int(n) for line in re.findall(r": ([\d, ]+) left", text) for n in line.split(",")}
    assert left == set(range(1, 10))


def test_a_clean_record_needs_no_fault_and_is_told_what_it_cannot_tell() -> None:
    text = render_diagnosis(diagnose(CASES["clean"]), CASES["clean"])
    assert text.startswith("THE READINGS FIT THE RECORD: no fault is needed to explain 13 readings")
    assert "is judged by `packcheck check`" in text
    assert "WHAT THESE READINGS CANNOT TELL FROM IT" in text
    assert "NEXT MEASUREMENT" not in text


def test_what_nothing_explains_is_said_to_be_unexplained() -> None:
    found = diagnose(CASES["nonsense"])
    assert found.fits == ()
    assert render_diagnosis(found, CASES["nonsense"]).startswith("NOT EXPLAINED: 6 readings of 13")


@pytest.mark.parametrize(("file", "code"), [
    ("skerry-24/clean-sk-0417.yaml", 0), ("skerry-24/sk-0443-bench-2.yaml", 1),
    ("tern-96/tn-0012-before-the-bars.yaml", 3), ("skerry-24/skerry-24.yaml", 2),
])  # fmt: skip
def test_exit_codes(file: str, code: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["diagnose", str(demonstration(file))]) == code
    assert capsys.readouterr()


def test_a_check_whose_readings_do_not_fit_names_the_best_explanations(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(LAYOUTS / "skerry-24" / "sk-0443-bench-2.yaml")
    run(["check", file])
    text = capsys.readouterr().out
    assert "1. P18 stands turned" in text[text.index("WHAT COULD EXPLAIN THE READINGS") :]
    run(["check", file, "--format", "json"])
    (judged,) = json.loads(capsys.readouterr().out)["files"]
    assert judged["what could explain the readings"]["best first, none proved"][0].startswith("P18 stands turned")
    run(["check", str(LAYOUTS / "skerry-24" / "clean-sk-0417.yaml")])
    assert "WHAT COULD EXPLAIN" not in capsys.readouterr().out


def test_the_answer_can_be_written_to_a_file(tmp_path: Path) -> None:
    there = tmp_path / "diagnosis.json"
    file = str(LAYOUTS / "skerry-24" / "sk-0443-bench-2.yaml")
    assert run(["diagnose", file, "--format", "json", "--output", str(there)]) == 1
    Draft202012Validator(SCHEMA).validate(json.loads(there.read_text(encoding="utf-8")))
