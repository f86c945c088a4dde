"""The road of one number: a joint's torque from the file to the sentence about it, and the rooms it comes through."""

from __future__ import annotations

import sys
from decimal import Decimal
from itertools import groupby
from pathlib import Path
from types import FrameType
from typing import Any

from packcheck.facts.tables import table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.model.record.entry import Entry
from packcheck.render.terminal import render_terminal
from packcheck.rules.catalogue import Measured, Row
from packcheck.rules.findings import Finding
from packcheck.rules.library import load_rules

JOINT, WRITTEN = "B01/P01", "6.21"
PACKAGE = str(Path(sys.modules["packcheck"].__file__ or "").parent)
HELPERS = {("files", "quantities"), ("judging", "to_do.py")}
"""What the road borrows on its way: numbers put into words, and the loop over findings and what follows from them."""


def carries_it(thing: Any) -> bool:
    """Return whether something is the torque, or holds it."""
    match thing:
        case Decimal():
            return thing == Decimal(WRITTEN)
        case Entry():
            return thing.value == float(WRITTEN)
        case Measured():
            return thing.written.startswith(WRITTEN)
        case Row() | Finding():
            return thing.subject == JOINT
        case str():
            return WRITTEN in thing
    return False


def rooms_of(record: Path) -> list[str]:
    """Return the rooms whose functions hand the torque on, in order, while a record is checked and its answer shown."""
    rules, found = load_rules([shipped_folder("rules")], table_by_name()), list[str]()

    def watch(frame: FrameType, event: str, value: Any) -> None:
        file = frame.f_code.co_filename
        if event != "return" or not file.startswith(PACKAGE) or not carries_it(value):
            return
        room, within = Path(file).relative_to(PACKAGE).parts[:2]
        if not found or (room, within) not in HELPERS:
            found.append(room)

    before = sys.getprofile()
    sys.setprofile(watch)
    try:
        render_terminal(check_file(record, rules=rules))
    finally:
        sys.setprofile(before)
    return [room for room, _ in groupby(found)]


def test_a_torque_comes_through_each_room_once(tmp_path: Path) -> None:
    layout, record = (
        shipped_folder("layouts") / "skerry-24" / f"{name}.yaml" for name in ("skerry-24", "clean-sk-0417")
    )
    (tmp_path / layout.name).write_text(layout.read_text(encoding="utf-8"), encoding="utf-8")
    text = record.read_text(encoding="utf-8")
    assert text.count(f"{JOINT}: [4.5,") == 1
    (tmp_path / record.name).write_text(text.replace(f"{JOINT}: [4.5,", f"{JOINT}: [{WRITTEN},"), encoding="utf-8")
    assert rooms_of(tmp_path / record.name) == ["files", "model", "facts", "rules", "judging", "render"]
