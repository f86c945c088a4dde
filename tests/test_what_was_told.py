"""What a record tells, cell by cell, as the bench page shows it to those who look back at what they wrote."""

from __future__ import annotations

from packcheck.model.record.told_cells import told_cells


def test_each_cell_is_told_once_with_its_unit_time_person_and_instrument() -> None:
    taken = {"at": "2026-10-05 11:20", "by": "TO", "with": {"torque": "W1"}}
    clamp = {"length": "480 mm", "taken": {"at": "2026-10-05 10:00", "by": "MK", "with": {"length": "L1"}}}
    joints = {"columns": ["torque N·m", "mark"], "taken": taken, "B1/P1": [4.5, "white"], "B1/P2": [4.4, None]}
    found = [(c.section, c.subject, c.column, c.value, c.at, c.by, c.instrument)
             for c in told_cells({"joints": joints, "clamp": clamp, "bars": {"B1": "as drawn"}})]  # fmt: skip
    assert sorted(found) == [
        ("bars", "B1", "is", "as drawn", "", "", ""),
        ("clamp", "stack", "length", "480 mm", "2026-10-05 10:00", "MK", "L1"),
        ("joints", "B1/P1", "mark", "white", "2026-10-05 11:20", "TO", ""),
        ("joints", "B1/P1", "torque", "4.5 N·m", "2026-10-05 11:20", "TO", "W1"),
        ("joints", "B1/P2", "torque", "4.4 N·m", "2026-10-05 11:20", "TO", "W1"),
    ]


def test_a_second_look_stands_in_the_table_where_the_first_was_told() -> None:
    """A lead and a bar are both conductors: each goes back to its own table."""
    again = [{"conductor": name, "condition": "sound", "at": "2026-10-06 08:00", "by": "TO", "why": "looked again"}
             for name in ("W1", "B1")]  # fmt: skip
    root = {"bars": {"B1": {"condition": "cracked"}}, "leads": {"W1": {"condition": "frayed"}}, "again": again}
    found = [(c.section, c.subject, c.value, c.why) for c in told_cells(root) if c.why]
    assert found == [("leads", "W1", "sound", "looked again"), ("bars", "B1", "sound", "looked again")]
