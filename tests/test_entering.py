"""Entries into the text of a record: told one by one they make the same record, and no entry takes anything away."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from packcheck.app.arguments import rules_and_profile
from packcheck.files.document import CannotEdit, Editable
from packcheck.files.names import expand_names
from packcheck.files.quantities import parse_heading
from packcheck.judging.check import check
from packcheck.judging.report import Report
from packcheck.model.opening import Text
from packcheck.model.record.entering import (
    Told,
    ToldAlready,
    append,
    begin,
    describe,
    enter,
    enter_again,
    state,
)
from packcheck.model.record.sheets import SHEETS
from packcheck.rules.findings import Gate

ROOT = Path(__file__).resolve().parents[1]
CLEAN = sorted((ROOT / "layouts").glob("*/clean-*.yaml"))
CLEAN = [path for path in CLEAN if "expect" not in path.name]


@cache
def layout_of(path: Path) -> Text:
    layout = path.parent / f"{path.parent.name}.yaml"
    return Text(layout.read_bytes(), layout.name)


def judged(content: bytes, layout: Text) -> Report:
    rules, _ = rules_and_profile(None, None)
    return check(content, "record.yaml", rules=rules, gate=Gate.RELEASE, layout=layout)


def taken_of(table: dict[str, Any], row: Any, column: str, headings: list[str]) -> dict[str, str]:
    """Return when, by whom and with what a cell of a record was taken, by plain reading of the file."""
    taken = dict(table.get("taken", {}))
    if isinstance(row, dict):
        taken |= {key: row[key] for key in ("at", "by", "with", "state") if key in row}
    elif isinstance(row, list) and "at" in headings:
        taken["at"] = row[headings.index("at")]
    with_ = taken.get("with", "")
    taken["with"] = with_.get(column, "") if isinstance(with_, dict) else with_
    return {key: str(value) for key, value in taken.items()}


def told_by(section: str, table: dict[str, Any]) -> Iterator[Told]:
    """Yield every cell of a table by itself; a reading with both its ends."""
    parted = [
        (h, "") if h in SHEETS[section].columns or h == "at" else parse_heading(h) for h in table.get("columns", [])
    ]
    names = [name for name, _ in parted]
    for key, row in table.items():
        if key in ("columns", "taken"):
            continue
        if isinstance(row, str):
            cells = {"is": (row, "")}
        elif isinstance(row, list):
            cells = {name: (item, unit) for (name, unit), item in zip(parted, row, strict=True)}
        else:
            cells = {name: (item, "") for name, item in row.items()}
        ends = {name: cells.pop(name)[0] for name in ("between", "and") if name in cells}
        for subject in expand_names(key):
            for column, (item, unit) in cells.items():
                if column in ("at", "by", "with", "state") or item == "none":
                    continue
                taken = taken_of(table, row, column, names)
                value = f"{item} {unit}" if unit and not isinstance(item, str) else item
                yield Told(section, subject, {**ends, column: value}, taken.get("at", ""), taken.get("by", ""),
                           taken["with"], taken.get("state", ""))  # fmt: skip


def told_anew(root: Any, layout: Text, order: random.Random) -> Editable:
    """Return a record into which everything of another was told one by one, in any order."""
    of = root["of"]
    record = Editable.of(begin(layout.name, of["name"], of["revision"], of["pack"], ""), "record.yaml")
    record = Editable.of(record.content.replace(b', sha256: ""', b""), "record.yaml")
    for section in ("people", "instruments"):
        for name, spec in root[section].items():
            record = describe(record, section, name, spec)
    told = [
        one for section in SHEETS if section in root and section != "clamp" for one in told_by(section, root[section])
    ]
    order.shuffle(told)
    for one in told:
        record = enter(record, one)
    clamp = root.get("clamp", {})
    for column in ("length", "torque"):
        if column in clamp:
            taken = clamp["taken"]
            record = enter(record, Told("clamp", "stack", {column: clamp[column]}, taken["at"], taken["by"],
                                        taken["with"][column]))  # fmt: skip
    for section in ("again", "work", "notes"):
        for entry in root.get(section, []):
            record = append(record, section, entry)
    return state(record, "extra", "none") if root.get("extra") == "none" else record


SMALLER = [path for path in CLEAN if path.parent.name not in ("tern-96", "heron-2x15")]
"""Each entry reads the whole record anew: what all take grows with their square."""


@pytest.mark.parametrize("path", SMALLER, ids=lambda path: path.stem)
def test_a_record_told_cell_by_cell_is_judged_as_the_one_written_in_tables(path: Path) -> None:
    layout, old = layout_of(path), path.read_bytes()
    root = Editable.of(old, path.name).document.root
    new = told_anew(root, layout, random.Random(path.stem))
    one, other = judged(old, layout), judged(new.content, layout)
    assert other.judgement.verdict is one.judgement.verdict
    assert {t.rule: (t.met, t.broken, t.undecided, t.unproven) for t in other.judgement.tallies} == {
        t.rule: (t.met, t.broken, t.undecided, t.unproven) for t in one.judgement.tallies
    }


HEAD = b"record: 1\nlayout: one.yaml\nof: {name: one, revision: 1}\n"


def record_of(body: str) -> Editable:
    return Editable.of(HEAD + body.encode(), "record.yaml")


def told(section: str, subject: str, instrument: str = "", **cells: Any) -> Told:
    named = {name.replace("_", " "): value for name, value in cells.items()}
    return Told(section, subject, named, "2026-10-05 11:20", "MK", instrument)


@pytest.mark.parametrize(("body", "entry", "line"), [
    ("", told("joints", "B1/P1", "W1", torque="4.5 N·m"),
     "  B1/P1: {torque: 4.5 N·m, at: 2026-10-05 11:20, by: MK, with: {torque: W1}}\n"),
    ("", told("caps", "P1.A", **{"is": "on"}), '  P1.A: {is: "on", at: 2026-10-05 11:20, by: MK}\n'),
    ("joints:\n  columns: [torque N·m, resistance µΩ]\n  B1/P1: [4.50, none] # dry\n",
     told("joints", "B1/P1", "R1", resistance="82 µΩ"),
     "  B1/P1: [4.50, {is: 82 µΩ, at: 2026-10-05 11:20, by: MK, with: R1}] # dry\n"),
    ("joints:\n  columns: [torque N·m]\n  B1/P1: [4.50] # dry\n", told("joints", "B1/P1", "R1", resistance="82 µΩ"),
     "  B1/P1: {torque: 4.50 N·m, resistance: {is: 82 µΩ, at: 2026-10-05 11:20, by: MK, with: R1}} # dry\n"),
    ("joints:\n  columns: [torque N·m]\n  B1/P1: [{is: 4.5, by: TO}]\n", told("joints", "B1/P1", mark="white"),
     "  B1/P1: {torque: {is: 4.5 N·m, by: TO}, mark: {is: white, at: 2026-10-05 11:20, by: MK}}\n"),
    ("joints:\n  B1/P1:\n    torque: 4.5 N·m\n", told("joints", "B1/P1", mark="white"),
     "    mark: {is: white, at: 2026-10-05 11:20, by: MK}\n"),
    ("joints:\n  B1/P1: {torque: none}\n", told("joints", "B1/P1", "W1", torque="4.5 N·m"),
     "  B1/P1: {torque: {is: 4.5 N·m, at: 2026-10-05 11:20, by: MK, with: W1}}\n"),
    ("bars:\n  B1..B9 by 2: as drawn\n", told("bars", "B5", condition="bent"),
     "  B1..B3 by 2: as drawn\n  B5: {is: as drawn, condition: {is: bent, at: 2026-10-05 11:20, by: MK}}\n"
     "  B7..B9 by 2: as drawn\n"),
    ("clamp: {length: 160 mm}\n", told("clamp", "stack", "W1", torque="6 N·m"),
     "clamp: {length: 160 mm, torque: {is: 6 N·m, at: 2026-10-05 11:20, by: MK, with: W1}}\n"),
])  # fmt: skip
def test_an_entry_stands_where_a_person_would_have_written_it(body: str, entry: Told, line: str) -> None:
    new = enter(record_of(body), entry)
    assert line in new.text
    assert new.text.startswith(HEAD.decode())


@pytest.mark.parametrize("body", [
    "joints:\n  columns: [torque N·m]\n  B1/P1: [4.5]\n", "joints:\n  B1/P1: {torque: 4.5 N·m}\n",
    "joints:\n  B1/P1: {torque: {is: 4.5 N·m, by: TO}}\n", "joints:\n  columns: [torque N·m]\n  B1/P1..B1/P3: [4.5]\n",
])  # fmt: skip
def test_what_is_told_is_told_again_with_a_reason_and_never_overwritten(body: str) -> None:
    record, entry = record_of(body), told("joints", "B1/P1", "W1", torque="4.6 N·m")
    with pytest.raises(ToldAlready, match="torque of B1/P1"):
        enter(record, entry)
    new = enter_again(record, entry, "nut: eased", "fastener")
    assert new.text == record.text + (
        "\nagain:\n  - {at: 2026-10-05 11:20, by: MK, joint: B1/P1, torque: 4.6 N·m, with: W1, "
        'why: "nut: eased", replaced: fastener}\n'
    )


def test_a_word_is_not_told_twice_but_more_of_the_same_part_is() -> None:
    record = record_of("covers:\n  CA: fitted\n")
    with pytest.raises(ToldAlready):
        enter(record, told("covers", "CA", **{"is": "not fitted"}))
    assert "CA: {is: fitted, screws: {is: 4, at: 2026-10-05 11:20, by: MK}}" in enter(
        record, told("covers", "CA", screws=4)
    ).text  # fmt: skip


def test_an_instrument_can_be_described_further_but_not_otherwise() -> None:
    record = record_of("instruments:\n  V1: {kind: multimeter}\n")
    assert (
        "V1: {kind: multimeter, due: 2027-02-01}" in describe(record, "instruments", "V1", {"due": "2027-02-01"}).text
    )
    with pytest.raises(ToldAlready, match="kind of V1"):
        describe(record, "instruments", "V1", {"kind": "click wrench"})


def test_readings_in_a_shape_of_their_own_are_refused_not_mangled() -> None:
    with pytest.raises(CannotEdit):
        enter(record_of("joints:\n  columns: [torque N·m]\n  B1/P1:\n  - 4.5\n"), told("joints", "B1/P1", mark="red"))
    with pytest.raises(CannotEdit, match="can be told again"):
        enter_again(record_of(""), Told("probes", "N1", {"on": "P1"}, "2026-10-05", "MK"), "moved")
