"""A SARIF log is opened by a reader of others, the library sarif-tools, which then knows every finding and its line.

``pip install sarif-tools`` brings drawing and word-processing libraries along that reading needs none of; so it is no
part of the usual installation, and ``pip install --no-deps sarif-tools jsonpath-ng`` is enough for this.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from packcheck.app.arguments import rules_and_profile
from packcheck.app.cli import run
from packcheck.judging.check import check_file
from packcheck.rules.findings import Gate, Outcome

loader = pytest.importorskip("sarif.loader", reason="the reader sarif-tools is not installed")

ROOT = Path(__file__).resolve().parents[1]
RECORD = ROOT / "layouts" / "skerry-24" / "sk-0424-bench-1.yaml"


def test_a_reader_of_others_finds_each_finding_with_its_rule_and_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(["check", str(RECORD), "--format", "sarif"])
    log = tmp_path / "answer.sarif"
    log.write_text(capsys.readouterr().out, encoding="utf-8")
    read = loader.load_sarif_file(str(log))
    assert read.get_distinct_tool_names() == ["packcheck"]
    rules, _ = rules_and_profile(None, None)
    found = check_file(RECORD, rules=rules, gate=Gate.PLUG_IN).judgement.findings
    assert read.get_result_count() == len(found) > 5
    told = sorted((one["Code"], str(one["Line"]), one["Severity"] != "none") for one in read.get_records())
    assert told == sorted((f.rule, str(f.origin.line if f.origin else 1), f.outcome is Outcome.BROKEN) for f in found)
    assert read.get_report().get_issue_count_for_severity("error") > 0
