"""Isolation tests that cannot have been read as they are written."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from faulty_builds import shipped_rules

from packcheck.files import clock
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.rules.findings import Gate

FOLDER = shipped_folder("layouts") / "skerry-24"


@pytest.fixture(autouse=True)
def _november(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 11, 25, 12, 0))


def found(tmp_path: Path, old: str, new: str) -> dict[str, str]:
    """Return what each rule finds in the clean record after one change of its text."""
    (tmp_path / "skerry-24.yaml").write_text((FOLDER / "skerry-24.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    text = (FOLDER / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    assert text.count(old) == 1
    path = tmp_path / "record.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return {f.rule: f.found for f in check_file(path, rules=shipped_rules(), gate=Gate.RELEASE).judgement.findings}


@pytest.mark.parametrize("volts", [47.7, 60.0, 190.0])
def test_a_pole_that_reads_more_with_the_resistor_on_it_was_not_read_so(tmp_path: Path, volts: float) -> None:
    """47.56 V without it, by a meter of 0.03 % + 2 mV."""
    rules = found(tmp_path, "resistor in: 0.180 V", f"resistor in: {volts} V")
    assert "a resistor put in raises no reading" in rules["isolation-low"]


def test_poles_that_nothing_joins_read_nothing(tmp_path: Path) -> None:
    rules = found(tmp_path, "by: AV, state: plug in, with: {poles", "by: AV, state: plug out, with: {poles")
    assert "190.21 ± 0.06 V between the poles, where the parts on record give 0 V" in rules["isolation-poles-differ"]
