"""What helps people type: a ``$schema`` line for editors in every kind of file, and completion in the shell."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from demonstrations import demonstration
from jsonschema import Draft202012Validator

import packcheck
from packcheck.app.cli import run
from packcheck.files.document import parse_document
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.model.pack.from_document import read_pack

ROOT = Path(packcheck.__file__).parent.parent
LINES = {
    "comment": "# yaml-language-server: $schema={kind}.schema.json\n",
    "key": "$schema: {kind}.schema.json\n",
}
FOLDER = shipped_folder("layouts") / "plover-16"
PROFILE = "profile: 1\nshop: Harbour workshop\n"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def judged(bench: Path, line: str, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """Return the findings about a record, each of the four kinds of file beginning with a line."""
    rule = shipped_folder("rules") / "torque" / "joint-torque-high.yaml"
    texts = {
        "plover-16.yaml": ("layout", (FOLDER / "plover-16.yaml").read_text(encoding="utf-8")),
        "record.yaml": ("record", demonstration("plover-16/pl-0058-plated-bars.yaml").read_text(encoding="utf-8")),
        "shop.yaml": ("profile", PROFILE),
        "own/torque/ours.yaml": ("rule", rule.read_text(encoding="utf-8").replace(": joint-torque-high", ": ours", 1)),
    }
    (bench / "own" / "torque").mkdir(parents=True, exist_ok=True)
    for name, (kind, text) in texts.items():
        (bench / name).write_text(line.format(kind=kind) + text, encoding="utf-8")
    words = [
        "check",
        "record.yaml",
        "--profile",
        "shop.yaml",
        "--rules",
        "own",
        "--format",
        "json",
        "--gate",
        "release",
    ]
    assert run(words) == 1
    answer = json.loads(capsys.readouterr().out)["files"][0]
    return {key: value for key, value in answer.items() if key in ("verdict", "counts", "rules judged")} | {
        "rules": sorted(finding["rule"] for finding in answer["findings"])
    }


@pytest.mark.parametrize("line", LINES)
def test_a_line_for_editors_changes_nothing_that_is_found(
    line: str, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plain = judged(bench, "", capsys)
    assert plain["rules"]
    assert judged(bench, LINES[line], capsys) == plain


@pytest.mark.parametrize("kind", ["layout", "record", "rule", "profile"])
def test_the_schema_that_is_printed_allows_the_line(kind: str, bench: Path) -> None:
    assert run(["schema", kind, "--output", f"{kind}.schema.json"]) == 0
    schema = json.loads((bench / f"{kind}.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    assert Draft202012Validator(schema["properties"]["$schema"]).is_valid("layout.schema.json")
    assert json.loads((schema_folder() / f"{kind}.json").read_text(encoding="utf-8")) == schema


def test_a_schema_that_is_no_text_is_refused() -> None:
    text = "$schema: 5\n" + (FOLDER / "plover-16.yaml").read_text(encoding="utf-8")
    with pytest.raises(Exception, match="5"):
        read_pack(parse_document(text.encode(), "plover-16.yaml"))


def test_the_name_of_an_order_cannot_be_the_line() -> None:
    text = "$schema: x\n" + (FOLDER / "plover-16.yaml").read_text(encoding="utf-8") + "\norder: [[$schema]]\n"
    with pytest.raises(Exception, match="schema"):
        read_pack(parse_document(text.encode(), "plover-16.yaml"))


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
@pytest.mark.parametrize(("typed", "wanted"), [
    ("packcheck ch", {"check"}), ("packcheck rules ", {"list", "show", "test"}),
    ("packcheck check --wa", {"--watch"}), ("packcheck release --ver", {"--verify"}),
])  # fmt: skip
def test_bash_completes_commands_and_options(typed: str, wanted: set[str], tmp_path: Path) -> None:
    program = tmp_path / "packcheck"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -m packcheck "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PATH": f"{tmp_path}:{os.environ['PATH']}"}
    last = "''" if typed.endswith(" ") else ""
    script = (
        'eval "$(packcheck --show-completion bash)"\n'
        f"COMP_WORDS=({typed}{last}); COMP_CWORD=$((${{#COMP_WORDS[@]}} - 1))\n"
        "_packcheck_completion packcheck\nprintf '%s\\n' \"${COMPREPLY[@]}\"\n"
    )
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, timeout=60, env=env)
    assert wanted <= set(done.stdout.split()), done.stderr
