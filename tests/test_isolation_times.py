"""When isolation was tested: after what it lies over was made, and with the covers on while the plug is in."""

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
