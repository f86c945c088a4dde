"""What a shell offers when a line is completed: only what the command then takes."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from packcheck.app.arguments import gate_named
from packcheck.app.check import FORMATS
from packcheck.files.shipped import shipped_folder
from packcheck.rules.findings import Gate
from packcheck.simulate.faults.library import BY_NAME


def offered(*words: str) -> list[str]:
    """Return what is offered for the last of the words of a command line."""
    asked = {"_PACKCHECK_COMPLETE": "complete_bash", "COMP_WORDS": " ".join(("packcheck", *words)),
             "COMP_CWORD": str(len(words))}  # fmt: skip
    program = "from packcheck.app.cli import main; import sys; sys.argv[0] = 'packcheck'; main()"
    run = subprocess.run([sys.executable, "-c", program], env=os.environ | asked, capture_output=True, text=True)
    assert run.stderr == ""
    return run.stdout.split()


def test_gates_come_without_blanks_and_are_understood() -> None:
    gates = offered("check", "--gate", "")
    assert [gate_named(gate) for gate in gates] == list(Gate)
    assert offered("draw", "--gate", "pl") == ["plug-in"]


def test_formats_are_those_of_the_command() -> None:
    assert offered("check", "--format", "") == list(FORMATS)
    assert offered("coverage", "--format", "h") == ["html"]
    assert offered("compare", "--format", "x") == []


def test_names_of_rules_and_faults_are_those_that_come_along() -> None:
    rules = {file.stem for file in shipped_folder("rules").rglob("*.yaml")}
    assert set(offered("rules", "show", "")) == rules
    assert set(offered("lesson", "make", "x.yaml", "--fault", "bar")) == {n for n in BY_NAME if n.startswith("bar")}


@pytest.mark.skipif(not shutil.which("bash"), reason="bash is not installed")
def test_bash_itself_takes_it(tmp_path: Path) -> None:
    (tmp_path / "packcheck").write_text(f'#!/bin/sh\nexec {sys.executable} -m packcheck "$@"\n')
    (tmp_path / "packcheck").chmod(0o755)
    shown = subprocess.run([tmp_path / "packcheck"], capture_output=True, text=True, check=True,
                           env=os.environ | {"_PACKCHECK_COMPLETE": "source_bash"}).stdout  # fmt: skip
    name = next(line for line in shown.splitlines() if line.endswith("() {")).removesuffix("() {")
    asked = f"COMP_WORDS=(packcheck check --gate pl); COMP_CWORD=3; {name} packcheck; echo ${{COMPREPLY[@]}}"
    path = f"{tmp_path}{os.pathsep}{os.environ['PATH']}"
    run = subprocess.run(["bash", "-c", f"{shown}\n{asked}"], capture_output=True, text=True,
                         env=os.environ | {"PATH": path})  # fmt: skip
    assert (run.stdout, run.stderr) == ("plug-in\n", "")
