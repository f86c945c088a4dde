"""SARIF, JUnit and Markdown: valid by their own schemas and readers, complete, never a pass where nothing is known."""

from __future__ import annotations

import json
import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from html_pages import HOSTILE, LAYOUTS, file_named, hostile_files
from junitparser import Error, Failure, JUnitXml, Skipped
from workshop import clean_record, pack_of, stick_layout, to_yaml

from packcheck.app.cli import run

SCHEMA = json.loads((Path(__file__).parent / "published" / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
LOOP, HOLD, CLEAN = (
    "skerry-24/sk-0424-bench-1.yaml",
    "heron-2x15/hr-0008-column-two.yaml",
    "plover-16/clean-pl-0052.yaml",
)
LAYOUT, OPEN, TORQUES = (
    "skerry-24/skerry-24.yaml",
    "tern-96/tn-0012-before-the-bars.yaml",
    "plover-16/pl-0055-wednesday.yaml",
)
FILES = (LOOP, HOLD, CLEAN, LAYOUT, OPEN, TORQUES)


def told(capsys: pytest.CaptureFixture[str], form: str, *files: str, more: tuple[str, ...] = ()) -> tuple[str, int]:
    code = run(["check", *(str(file_named(file)) for file in files), "--format", form, *more])
    return capsys.readouterr().out, code


@cache
def findings(file: str) -> list[dict[str, Any]]:
    """Return the findings as the JSON answer gives them."""
    from io import StringIO
    from unittest.mock import patch

    with patch("sys.stdout", StringIO()) as out:
        run(["check", str(file_named(file)), "--format", "json"])
    found: list[dict[str, Any]] = json.loads(out.getvalue())["files"][0]["findings"]
    return found


# -- SARIF -----------------------------------------------------------------------------------------------------------


def sarif(capsys: pytest.CaptureFixture[str], *files: str, more: tuple[str, ...] = ()) -> dict[str, Any]:
    log: dict[str, Any] = json.loads(told(capsys, "sarif", *files, more=more)[0])
    jsonschema.Draft4Validator(SCHEMA).validate(log)
    return log


def test_the_schema_refuses_what_is_no_log(capsys: pytest.CaptureFixture[str]) -> None:
    log = sarif(capsys, CLEAN)
    log["runs"][0]["results"] = [{"level": "bad", "message": {"text": "x"}}]
    assert not jsonschema.Draft4Validator(SCHEMA).is_valid(log)


@pytest.mark.parametrize("file", FILES)
def test_a_log_is_valid_and_has_a_result_for_each_finding(capsys: pytest.CaptureFixture[str], file: str) -> None:
    (answer,) = sarif(capsys, file)["runs"]
    results, expected = answer["results"], findings(file)
    assert Counter((r["ruleId"], r["properties"]["outcome"]) for r in results) == Counter(
        (f["rule"], f["outcome"]) for f in expected
    )
    rules = answer["tool"]["driver"]["rules"]
    assert len({rule["id"] for rule in rules}) == len(rules) >= 150
    for result in results:
        rule = rules[result["ruleIndex"]]
        assert rule["id"] == result["ruleId"]
        assert rule["help"]["text"].startswith("Why: ")
        (place,) = result["locations"]
        assert place["physicalLocation"]["artifactLocation"]["uri"].endswith(".yaml")
        assert place["logicalLocations"][0]["name"]
        assert (result["kind"] == "fail") == (result["properties"]["outcome"] == "broken")
        assert (result["level"] == "none") == (result["kind"] != "fail"), "SARIF 2.1.0, 3.27.10"


def test_levels_lines_and_what_follows(capsys: pytest.CaptureFixture[str]) -> None:
    (answer,) = sarif(capsys, LOOP)["runs"]
    first = answer["results"][0]
    assert (first["ruleId"], first["level"]) == ("loop-closed-by-switch", "error")
    line = first["locations"][0]["physicalLocation"]["region"]["startLine"]
    assert "B11" in (LAYOUTS / LOOP).read_text(encoding="utf-8").splitlines()[line - 1]
    assert any("conductor-moved" in one["message"]["text"] for one in first["relatedLocations"])
    assert answer["invocations"][0] == {
        "executionSuccessful": True, "exitCode": 1, "toolExecutionNotifications": [],
    }  # fmt: skip
    assert all(re.fullmatch("[0-9a-f]{64}", one["hashes"]["sha-256"]) for one in answer["artifacts"])
    assert len(answer["artifacts"]) == 2


def test_fingerprints_are_one_a_result_and_stay_when_lines_move(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def prints(log: dict[str, Any]) -> list[str]:
        return [result["partialFingerprints"]["ruleAndPlace/v1"] for result in log["runs"][0]["results"]]

    (tmp_path / "skerry-24.yaml").write_bytes((LAYOUTS / LAYOUT).read_bytes())
    text = (LAYOUTS / LOOP).read_text(encoding="utf-8")
    (tmp_path / "moved.yaml").write_text("# a line more\n" + text, encoding="utf-8")
    before, after = sarif(capsys, LOOP), sarif(capsys, str(tmp_path / "moved.yaml"))
    assert prints(before) == prints(after)
    assert len(set(prints(before))) == len(prints(before))
    assert len(set(prints(sarif(capsys, *FILES)))) == sum(len(findings(file)) for file in FILES)


def test_what_is_waived_is_suppressed_with_who_and_why(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text(
        "profile: 1\nshop: Test bench\nwaivers:\n"
        "  conductor-not-inspected: {by: RL, at: 2026-05-31, why: bars are new}\n",
        encoding="utf-8",
    )
    results = sarif(capsys, LOOP, more=("--profile", str(shop)))["runs"][0]["results"]
    waived = [r for r in results if r["ruleId"] == "conductor-not-inspected"]
    assert waived
    for result in results:
        assert ("suppressions" in result) == (result in waived)
    assert all("bars are new" in r["suppressions"][0]["justification"] for r in waived)


def test_a_file_that_cannot_be_read_is_a_notice_at_its_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("layout: 1\nname: [\n", encoding="utf-8")
    (answer,) = sarif(capsys, CLEAN, str(bad))["runs"]
    (call,) = answer["invocations"]
    assert (call["executionSuccessful"], call["exitCode"]) == (False, 4)
    place = call["toolExecutionNotifications"][0]["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == bad.as_uri()
    assert place["region"]["startLine"] >= 2


# -- JUnit -----------------------------------------------------------------------------------------------------------


def junit(capsys: pytest.CaptureFixture[str], *files: str, more: tuple[str, ...] = ()) -> JUnitXml:
    text, _ = told(capsys, "junit", *files, more=more)
    return JUnitXml.fromstring(text.encode())


@pytest.mark.parametrize("file", FILES)
def test_a_reader_of_test_results_counts_what_the_answer_counts(capsys: pytest.CaptureFixture[str], file: str) -> None:
    (suite,) = list(junit(capsys, file))
    cases = list(suite)
    failed = {case.name for case in cases if any(isinstance(r, Failure) for r in case.result)}
    skipped = {case.name for case in cases if any(isinstance(r, Skipped) for r in case.result)}
    weighty = {f["rule"] for f in findings(file) if _weighs(f)}
    assert failed == weighty
    followers = {one["rule"] for f in findings(file) for one in _below(f)} - weighty
    assert skipped == followers | {f["rule"] for f in findings(file)} - weighty, "no finding is told as a pass"
    assert (suite.tests, suite.failures, suite.skipped) == (len(cases), len(failed), len(skipped))
    assert len(cases) >= 50
    assert len({case.name for case in cases}) == len(cases)


def _below(finding: dict[str, Any]) -> list[dict[str, Any]]:
    return [more for one in finding["consequences"] for more in (one, *_below(one))]


def _weighs(finding: dict[str, Any]) -> bool:
    return any(one["severity"] != "advise" and not one["waived"] for one in (finding, *_below(finding)))


def test_several_files_are_suites_and_a_bad_one_is_an_error(capsys: pytest.CaptureFixture[str]) -> None:
    suites = list(junit(capsys, CLEAN, "nothing.yaml", TORQUES))
    assert [suite.errors for suite in suites] == [0, 1, 0]
    (case,) = list(suites[1])
    assert isinstance(case.result[0], Error)
    assert "no such file" in case.result[0].message
    assert suites[0].failures == 0
    assert "HOLD" in next(p.value for p in suites[2].properties() if p.name == "verdict")


def test_an_empty_record_passes_nothing_it_does_not_tell(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    layout = stick_layout(6)
    (tmp_path / "drawn.yaml").write_text(to_yaml(layout), encoding="utf-8")
    record = {key: value for key, value in clean_record(pack_of(layout)).items() if key in ("record", "layout", "of")}
    (tmp_path / "record.yaml").write_text(to_yaml({**record, "layout": "drawn.yaml"}), encoding="utf-8")
    (suite,) = list(junit(capsys, str(tmp_path / "record.yaml")))
    failed = {case.name for case in suite if any(isinstance(r, Failure) for r in case.result)}
    assert {"conductor-not-fitted", "module-not-fitted"} <= failed


# -- Markdown --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", FILES)
def test_a_summary_is_short_and_begins_with_verdict_and_what_to_do(
    capsys: pytest.CaptureFixture[str], file: str
) -> None:
    text, _ = told(capsys, "markdown", file)
    lines = text.splitlines()
    assert re.match("## (DO NOT|HOLD|NO RULE BROKEN)", lines[0])
    assert lines[4].startswith("**Do now:** ")
    assert len(lines) <= 100
    assert text.count("SHA-256") == (2 if file == LAYOUT else 3)
    assert "permits nothing" in lines[-1]


def test_a_summary_of_several_begins_with_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    text, _ = told(capsys, "markdown", CLEAN, "nothing.yaml")
    assert text.splitlines()[:4] == ["## 2 files", "", "| file | answer |", "|---|---|"]
    assert "NOT JUDGED: 1 mistake" in text


# -- all of them -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["sarif", "junit", "markdown", "html", "json", "text"])
def test_exit_codes_are_the_same_in_every_format(capsys: pytest.CaptureFixture[str], form: str) -> None:
    codes = [told(capsys, form, file)[1] for file in (CLEAN, LOOP, HOLD, "nothing.yaml")]
    assert codes == [0, 1, 3, 4]


@pytest.mark.parametrize("form", ["sarif", "junit", "markdown"])
def test_hostile_words_stay_words(capsys: pytest.CaptureFixture[str], tmp_path: Path, form: str) -> None:
    path = hostile_files(tmp_path)
    text, code = told(capsys, form, str(path))
    assert code == 0
    assert "\u202e" not in text
    if form == "sarif":
        jsonschema.Draft4Validator(SCHEMA).validate(json.loads(text))
    elif form == "junit":
        assert [suite.name for suite in JUnitXml.fromstring(text.encode())] == [str(path).replace("\u202e", "<202E>")]
    else:
        assert HOSTILE[:9] not in text, "a tag would be taken for one"
        assert "\\</script\\>" in text


@pytest.mark.parametrize("form", ["sarif", "junit", "markdown"])
def test_a_file_of_ours_is_written_over(tmp_path: Path, form: str) -> None:
    command = ["check", str(LAYOUTS / CLEAN), "--format", form, "-o", str(tmp_path / "answer")]
    assert run(command) == run(command) == 0
