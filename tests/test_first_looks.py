"""A record that tells no steps of the work still has times: of the bench, of its joints, of the look at its covers."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from faulty_builds import shipped_rules

from packcheck.files import clock
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.rules.findings import Gate

FOLDER = shipped_folder("layouts") / "plover-16"
COVERS = "covers:\n  C1: as drawn\n"
AT_FOUR = "covers:\n  taken: {at: 2026-10-12 16:00, by: MK}\n  C1: as drawn\n"
AT_SIX = "covers:\n  taken: {at: 2026-10-12 18:00, by: MK}\n  C1: "


@pytest.fixture(autouse=True)
def _november(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 11, 25, 12, 0))


def turned(tmp_path: Path, **changes: str) -> list[str]:
    """Return what stands in the wrong order in the clean record without its work, after some changes of its text."""
    (tmp_path / "plover-16.yaml").write_text((FOLDER / "plover-16.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    text = (FOLDER / "clean-pl-0052.yaml").read_text(encoding="utf-8")
    text = text[: text.index("\nwork:")] + "\n" + changes.get("more", "")
    for old, new in (
        (COVERS, changes.get("covers", COVERS)),
        ("2026-10-12 14:50", changes.get("joints", "2026-10-12 14:50")),
    ):
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "record.yaml"
    path.write_text(text, encoding="utf-8")
    findings = check_file(path, rules=shipped_rules(), gate=Gate.RELEASE).judgement.findings
    return [finding.found for finding in findings if finding.rule == "written-out-of-order"]


def test_a_clean_record_without_its_work_has_nothing_out_of_order(tmp_path: Path) -> None:
    assert turned(tmp_path) == []
    assert turned(tmp_path, covers=AT_FOUR) == []


def test_a_torque_older_than_the_reading_of_its_loose_module_is_of_another_joint(tmp_path: Path) -> None:
    (found,) = turned(tmp_path, joints="2025-10-12 14:50")
    assert "loose reading at 2026-10-12 13:05, but torque of a joint on it at 2025-10-12 14:50" in found


def test_a_cover_first_seen_on_after_the_plug_was_in_leaves_open_who_had_it_on(tmp_path: Path) -> None:
    """The mains were read with the plug in at 16:40, and past K1 at 16:45."""
    found = turned(tmp_path, covers=AT_SIX + "as drawn\n")
    assert any("cover first seen on at 2026-10-12 18:00, but reading with the disconnect in at 2026-10-12 16:40" in f
               for f in found)  # fmt: skip


def test_a_second_look_at_a_cover_leaves_the_first_as_it_was(tmp_path: Path) -> None:
    look = "again:\n  - {at: 2026-10-12 18:00, by: AV, cover: C1, screws: 8, why: counted again}\n"
    assert turned(tmp_path, covers=AT_FOUR, more=look) == []
    late = "again:\n  - {at: 2026-10-12 18:00, by: AV, cover: C1, is: fitted, screws: 8, why: put on}\n"
    assert turned(tmp_path, covers=AT_FOUR.replace("as drawn", "not fitted"), more=late) != []
