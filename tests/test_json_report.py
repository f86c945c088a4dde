"""The answer for programs: its shape is the one that the schema documents."""

from __future__ import annotations

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from judgements import COARSE, REVERSED, TIGHT, finding, report, untorqued

from packcheck.files.origin import in_text
from packcheck.files.problems import Problem
from packcheck.files.shipped import schema_folder
from packcheck.render.json import failed_file, judged_file, render_json, unread_file
from packcheck.rules.findings import Gate, Outcome, Severity, Verdict

SCHEMA = json.loads((schema_folder() / "report.json").read_text(encoding="utf-8"))
JUDGED = judged_file(report(Verdict.DO_NOT_ENERGIZE, REVERSED, *TIGHT, COARSE, *untorqued()))
UNREAD = unread_file(
    "bad.yaml", [Problem(in_text("bad.yaml", 3, 5), "a tab", "blanks", "YAML forbids tabs", "use blanks")]
)
FAILED = failed_file("odd.yaml", "ZeroDivisionError")


def parts_of(schema: Any) -> list[dict[str, Any]]:
    """Return every schema object inside a schema."""
    found = [schema] if isinstance(schema, dict) and ("type" in schema or "enum" in schema or "const" in schema) else []
    children = schema.values() if isinstance(schema, dict) else schema if isinstance(schema, list) else ()
    return found + [part for child in children for part in parts_of(child)]


def document(*files: dict[str, Any], code: int = 1) -> dict[str, Any]:
    parsed: dict[str, Any] = json.loads(render_json(files, version="0.1.0", code=code))
    return parsed


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("files", [(JUDGED,), (UNREAD,), (FAILED,), (JUDGED, UNREAD, FAILED), ()])
def test_output_fits_the_schema(files: tuple[dict[str, Any], ...]) -> None:
    Draft202012Validator(SCHEMA).validate(document(*files))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d.update({"packcheck report": 2}),
        lambda d: d["files"][0].pop("verdict"),
        lambda d: d["files"][0].update({"verdict": "safe"}),
        lambda d: d["files"][0]["findings"][0].update({"outcome": "met"}),
        lambda d: d["files"][0].update({"extra": 1}),
        lambda d: d["files"][0]["to do"][0].pop("places"),
        lambda d: d["files"][0]["sources"][0].update({"sha256": "abc"}),
    ],
)
def test_the_schema_refuses_what_is_not_output(spoil: Any) -> None:
    spoiled = document(JUDGED)
    spoil(spoiled)
    assert not Draft202012Validator(SCHEMA).is_valid(spoiled)


def test_every_part_of_the_schema_is_described() -> None:
    parts = parts_of(SCHEMA)
    assert len(parts) > 70
    assert [part for part in parts if not part.get("description")] == []


def test_the_words_of_the_schema_are_the_words_of_the_code() -> None:
    found, judged = SCHEMA["$defs"]["finding"]["properties"], SCHEMA["$defs"]["judged"]["properties"]
    assert found["severity"]["enum"] == [severity.value for severity in Severity]
    assert found["gate"]["enum"] == [gate.value for gate in Gate]
    assert judged["verdict"]["enum"] == [verdict.value for verdict in Verdict]
    assert set(found["outcome"]["enum"]) == {o.value for o in Outcome} - {"met", "not applicable"}


def test_keys_keep_their_order() -> None:
    assert list(document(JUDGED)) == ["packcheck report", "packcheck", "exit code", "files"]
    assert list(JUDGED)[:8] == ["file", "kind", "layout", "pack", "gate", "verdict", "exit code", "findings"]
    again = judged_file(report(Verdict.DO_NOT_ENERGIZE, REVERSED, *TIGHT, COARSE, *untorqued()))
    assert render_json([again], version="1", code=1) == render_json([JUDGED], version="1", code=1)


def test_touched_parts_are_sorted() -> None:
    touching = finding("rule", "P01", touches=frozenset({"P10", "B02", "B01"}))
    assert judged_file(report(Verdict.HOLD, touching))["findings"][0]["touches"] == ["B01", "B02", "P10"]


def test_consequences_lie_inside_their_cause() -> None:
    rules = [consequence["rule"] for consequence in JUDGED["findings"][0]["consequences"]]
    assert rules == ["bar-joins-like-posts", "bar-joins-like-posts", "total-away-from-sum"]
