"""When isolation was tested, and a reading under load taken: after what they lie over was made, with the covers on."""

from __future__ import annotations

import pytest
from faulty_builds import every_finding, judged

from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import Text, open_bytes
from packcheck.rules.findings import Gate

FOLDER = shipped_folder("layouts") / "skerry-24"
TEXT = (FOLDER / "clean-sk-0417.yaml").read_text("utf-8")
LAYOUT = Text((FOLDER / "skerry-24.yaml").read_bytes(), "skerry-24.yaml")
TESTED = "2026-10-05 15:20"
LAST_JOINT = "2026-10-05 13:45"
"""The latest torque on the way between the poles, of the leads, as that record has it."""


def pairs(text: str) -> set[str]:
    """Return which two acts stand the wrong way round."""
    record = open_bytes(text.encode(), "record.yaml", LAYOUT).record
    assert record is not None
    found = every_finding(judged(record, Gate.RELEASE))
    return {f.found.split(",")[0] + ": " + f.found.split(" at ")[0].split(", ", 1)[1]
            for f in found if f.rule == "written-out-of-order"}  # fmt: skip


def taken_at(moment: str) -> str:
    head, name, rest = TEXT.partition("isolation:")
    assert TESTED in rest
    return head + name + rest.replace(TESTED, moment, 1)


@pytest.mark.parametrize(("moment", "joints"), [(LAST_JOINT, False), ("2026-10-05 13:44", True), (TESTED, False)])
def test_a_joint_made_after_the_isolation_test_was_not_tested(moment: str, joints: bool) -> None:
    assert ("whole pack: torque of its joints" in pairs(taken_at(moment))) is joints


def test_a_test_with_the_plug_in_before_the_covers_is_told() -> None:
    told = pairs(taken_at("2026-10-05 13:46"))
    assert told <= {"whole pack: cover"}
    assert "whole pack: cover" in pairs(taken_at("2026-10-05 09:00"))


@pytest.mark.parametrize(("moment", "found"), [("2026-10-13 12:00", False), ("2026-10-12 12:00", True)])
def test_a_reading_under_load_before_its_joints_were_made_is_told(moment: str, found: bool) -> None:
    folder = shipped_folder("layouts") / "plover-16"
    row = f"  C6 at work: {{between: S06, and: S05, value: 3.27 V, load: 50 A, state: live, at: {moment}}}\n\nprobes:\n"
    text = (folder / "clean-pl-0052.yaml").read_text("utf-8").replace("probes:\n", row, 1)
    opened = open_bytes(text.encode(), "record.yaml", Text((folder / "plover-16.yaml").read_bytes(), "plover-16.yaml"))
    assert opened.record is not None
    told = [f.found for f in every_finding(judged(opened.record, Gate.RELEASE)) if f.rule == "written-out-of-order"]
    assert any(one.startswith("C6 at work, torque of its joints") for one in told) is found
