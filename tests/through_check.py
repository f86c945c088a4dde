"""Layouts and records written to files and judged by ``packcheck check``: no function but the command is called."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from workshop import Data, clean_record, pack_of, stick_layout, to_yaml

from packcheck.app.cli import main

Findings = dict[str, list[dict[str, Any]]]


def answer(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """Return what the command prints as JSON."""
    with pytest.raises(SystemExit):
        main([*arguments, "--format", "json"])
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def found_in(
    layout: Data, folder: Path, capsys: pytest.CaptureFixture[str], record: Data | None = None, outcome: str = "broken"
) -> tuple[Findings, str]:
    """Judge a layout, or a record of it; return its findings of one outcome by rule, and the verdict."""
    path = folder / "drawn.yaml"
    path.write_text(to_yaml(layout), encoding="utf-8")
    if record:
        path = folder / "record.yaml"
        path.write_text(to_yaml({**record, "layout": "drawn.yaml"}), encoding="utf-8")
    judged = answer(["check", str(path)], capsys)["files"][0]
    found: Findings = {}
    for finding in judged["findings"]:
        for told in (finding, *finding["consequences"]):
            if told["outcome"] == outcome:
                found.setdefault(told["rule"], []).append(told)
    return found, judged["verdict"]


def string_of(modules: int, **module: Any) -> Data:
    """Return a string whose modules are such; its bars, joints and devices have next to no resistance."""
    layout = stick_layout(modules)
    layout["module types"]["stick"].update(module)
    layout["bar types"]["bar"]["resistance"] = "0.1 µΩ"
    layout["joint types"]["post"]["resistance"] = "0.1 µΩ"
    for device in layout["devices"].values():
        device["resistance"] = "1 µΩ"
    return layout


def amperes(text: str) -> str:
    """Return the number of a sentence such as ``a short drives 50 A through it``, as printed, in ampere."""
    found = re.search(r"drives ([\d.]+) (k?)A", text)
    assert found, text
    return str(float(found[1]) * (1000 if found[2] else 1))


def torqued(torque: str | float, accuracy: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    """Return what is said, by rule, about joint B2/P2 of a record; its band is 4.0 N·m to 5.0 N·m."""
    layout = stick_layout(6)
    record = clean_record(pack_of(layout))
    record["joints"]["B2/P2"][0] = torque
    record["instruments"]["W1"].update(accuracy=accuracy, range="2 N·m to 10 N·m")
    said = {}
    for outcome in ("undecided", "broken"):
        found, _ = found_in(layout, folder, capsys, record, outcome)
        said |= {rule: outcome for rule, findings in found.items() if any("B2/P2" in f["place"] for f in findings)}
    return said
